import simple_history.models
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="HistoricalTaxon",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("name", models.CharField(max_length=200, verbose_name="name")),
                ("key", models.CharField(db_index=True, editable=False, max_length=200)),
                ("rank", models.CharField(blank=True, max_length=20, verbose_name="rank")),
                ("lineage", models.TextField(db_index=True, editable=False)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical taxon",
                "verbose_name_plural": "historical taxa",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalTaxonList",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("name", models.CharField(db_index=True, max_length=200, verbose_name="name")),
                ("source", models.CharField(max_length=300, verbose_name="source")),
                ("checked_on", models.DateField(blank=True, null=True, verbose_name="checked on")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical list of taxa",
                "verbose_name_plural": "historical lists of taxa",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="Taxon",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=200, verbose_name="name")),
                ("key", models.CharField(db_index=True, editable=False, max_length=200)),
                ("rank", models.CharField(blank=True, max_length=20, verbose_name="rank")),
                ("lineage", models.TextField(editable=False, unique=True)),
            ],
            options={
                "verbose_name": "taxon",
                "verbose_name_plural": "taxa",
                "ordering": ["lineage"],
            },
        ),
        migrations.CreateModel(
            name="TaxonList",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=200, unique=True, verbose_name="name")),
                ("source", models.CharField(max_length=300, verbose_name="source")),
                ("checked_on", models.DateField(blank=True, null=True, verbose_name="checked on")),
            ],
            options={
                "verbose_name": "list of taxa",
                "verbose_name_plural": "lists of taxa",
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="WrittenName",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("scientific_name", models.TextField(blank=True)),
                ("scientific_name_authorship", models.TextField(blank=True)),
                ("taxon_rank", models.TextField(blank=True)),
                ("kingdom", models.TextField(blank=True)),
                ("phylum", models.TextField(blank=True)),
                ("class_name", models.TextField(blank=True)),
                ("order", models.TextField(blank=True)),
                ("superfamily", models.TextField(blank=True)),
                ("family", models.TextField(blank=True)),
                ("subfamily", models.TextField(blank=True)),
                ("tribe", models.TextField(blank=True)),
                ("genus", models.TextField(blank=True)),
                ("subgenus", models.TextField(blank=True)),
                ("specific_epithet", models.TextField(blank=True)),
                ("infraspecific_epithet", models.TextField(blank=True)),
                ("higher_classification", models.TextField(blank=True)),
                ("identification_qualifier", models.TextField(blank=True)),
                ("verbatim_identification", models.TextField(blank=True)),
                ("digest", models.CharField(editable=False, max_length=64, unique=True)),
                ("shown", models.CharField(blank=True, db_index=True, max_length=300, verbose_name="name")),
                ("rank", models.CharField(blank=True, max_length=20, verbose_name="rank")),
                ("qualified", models.BooleanField(default=False, verbose_name="with a doubt")),
            ],
            options={
                "verbose_name": "name as written",
                "verbose_name_plural": "names as written",
            },
        ),
    ]
