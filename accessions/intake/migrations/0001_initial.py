import simple_history.models
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Batch",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("file_name", models.CharField(max_length=255, verbose_name="file")),
                ("data", models.BinaryField()),
                ("sha256", models.CharField(db_index=True, max_length=64)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("received", "Received"),
                            ("committed", "In the register"),
                            ("discarded", "Discarded"),
                        ],
                        default="received",
                        max_length=10,
                    ),
                ),
                ("mapping", models.JSONField(default=dict)),
                ("dates", models.JSONField(default=dict)),
                ("changes", models.JSONField(default=dict)),
                ("received_at", models.DateTimeField(auto_now_add=True)),
                ("committed_at", models.DateTimeField(blank=True, null=True)),
                ("summary", models.JSONField(default=dict)),
            ],
            options={
                "verbose_name": "file brought in",
                "verbose_name_plural": "files brought in",
                "ordering": ["-pk"],
            },
        ),
        migrations.CreateModel(
            name="ColumnChoice",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("header_key", models.CharField(max_length=200, unique=True)),
                ("term", models.CharField(blank=True, max_length=60)),
                ("chosen_at", models.DateTimeField(auto_now=True)),
            ],
            options={
                "ordering": ["header_key"],
            },
        ),
        migrations.CreateModel(
            name="HistoricalBatch",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("file_name", models.CharField(max_length=255, verbose_name="file")),
                ("sha256", models.CharField(db_index=True, max_length=64)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("received", "Received"),
                            ("committed", "In the register"),
                            ("discarded", "Discarded"),
                        ],
                        default="received",
                        max_length=10,
                    ),
                ),
                ("mapping", models.JSONField(default=dict)),
                ("dates", models.JSONField(default=dict)),
                ("changes", models.JSONField(default=dict)),
                ("received_at", models.DateTimeField(blank=True, editable=False)),
                ("committed_at", models.DateTimeField(blank=True, null=True)),
                ("summary", models.JSONField(default=dict)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical file brought in",
                "verbose_name_plural": "historical files brought in",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
    ]
