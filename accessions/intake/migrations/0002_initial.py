import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("intake", "0001_initial"),
        ("material", "0002_initial"),
    ]

    operations = [
        migrations.AddField(
            model_name="batch",
            name="accession",
            field=models.ForeignKey(
                blank=True,
                help_text="for rows that name no accession",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="batches",
                to="material.accession",
            ),
        ),
    ]
