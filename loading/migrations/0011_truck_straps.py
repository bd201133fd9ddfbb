import django.db.models.lookups
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("loading", "0010_dock_study"),
    ]

    operations = [
        migrations.AddField(
            model_name="truck",
            name="straps",
            field=models.JSONField(blank=True, default=list),
        ),
        migrations.AddConstraint(
            model_name="truck",
            constraint=models.CheckConstraint(
                condition=django.db.models.lookups.Exact(
                    models.Func(
                        models.F("straps"), function="jsonb_typeof", output_field=models.TextField()
                    ),
                    models.Value("array"),
                ),
                name="truck_straps_is_list",
            ),
        ),
    ]
