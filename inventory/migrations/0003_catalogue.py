"""Fill in the kinds that the product comes with, where the company has none of that code yet."""

from django.db import migrations

from inventory.catalogue import catalogue_kinds


def fill_in(apps, _schema_editor):
    kinds = apps.get_model("inventory", "ItemKind")
    kinds.objects.bulk_create([kinds(**kind) for kind in catalogue_kinds()], ignore_conflicts=True)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0002_places_agree")]

    operations = [migrations.RunPython(fill_in, migrations.RunPython.noop)]
