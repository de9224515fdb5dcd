"""The index of the words of places, and on PostgreSQL that of the beginnings of catalogue numbers."""

from django.db import migrations

from governance.search import places_index


def make(apps, schema_editor):
    places_index.make(schema_editor.connection)


def drop(apps, schema_editor):
    places_index.drop(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("material", "0005_determination_dates")]

    operations = [migrations.RunPython(make, drop)]
