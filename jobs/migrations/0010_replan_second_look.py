"""A longer search behind a replan that was made in a hurry."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0009_order_of_the_pulls"), ("loading", "0014_planrun_improves")]

    operations = [
        migrations.AddField(
            model_name="replan",
            name="second_look",
            field=models.BooleanField(default=False),
        ),
    ]
