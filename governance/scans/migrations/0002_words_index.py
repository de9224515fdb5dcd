"""The index of the words of all pages."""

from django.db import migrations

from governance.scans import words_index


def make(apps, schema_editor):
    words_index.make(schema_editor.connection)


def drop(apps, schema_editor):
    words_index.drop(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("scans", "0001_initial")]

    operations = [migrations.RunPython(make, drop)]
