"""A run that goes on looking for a better plan though the plan before still holds."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("loading", "0013_run_enough")]

    operations = [
        migrations.AddField(
            model_name="planrun",
            name="improves",
            field=models.BooleanField(default=False),
        ),
    ]
