from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0008_leaving"),
        ("loading", "0011_truck_straps"),
    ]

    operations = [
        migrations.AddField(
            model_name="load",
            name="besides",
            field=models.ManyToManyField(
                blank=True, related_name="loads_besides", to="inventory.release"
            ),
        ),
    ]
