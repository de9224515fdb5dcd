import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("names", "0001_initial"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="historicaltaxon",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicaltaxonlist",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="taxon",
            name="parent",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="children",
                to="names.taxon",
            ),
        ),
        migrations.AddField(
            model_name="historicaltaxon",
            name="parent",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="names.taxon",
            ),
        ),
        migrations.AddField(
            model_name="taxon",
            name="taxon_list",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="taxa",
                to="names.taxonlist",
            ),
        ),
        migrations.AddField(
            model_name="historicaltaxon",
            name="taxon_list",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="names.taxonlist",
            ),
        ),
        migrations.AddField(
            model_name="writtenname",
            name="taxon",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.PROTECT, related_name="written_names", to="names.taxon"
            ),
        ),
        migrations.AddConstraint(
            model_name="taxon",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "rank__in",
                        [
                            "",
                            "kingdom",
                            "phylum",
                            "class",
                            "order",
                            "superfamily",
                            "family",
                            "subfamily",
                            "tribe",
                            "genus",
                            "subgenus",
                            "species",
                            "infraspecies",
                        ],
                    )
                ),
                name="taxon_rank_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="taxon",
            constraint=models.CheckConstraint(condition=models.Q(("name", ""), _negated=True), name="taxon_named"),
        ),
    ]
