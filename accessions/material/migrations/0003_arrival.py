import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("material", "0002_initial"),
        ("people", "0001_initial"),
        ("people", "__first__"),
    ]

    operations = [
        migrations.AlterModelOptions(
            name="delivery",
            options={
                "ordering": ["accession", "number", "pk"],
                "verbose_name": "delivery",
                "verbose_name_plural": "deliveries",
            },
        ),
        migrations.AddField(
            model_name="delivery",
            name="boxes",
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="boxes"),
        ),
        migrations.AddField(
            model_name="delivery",
            name="contents",
            field=models.CharField(blank=True, max_length=300, verbose_name="contents"),
        ),
        migrations.AddField(
            model_name="delivery",
            name="entry_number",
            field=models.CharField(blank=True, max_length=30, verbose_name="entry number"),
        ),
        migrations.AddField(
            model_name="delivery",
            name="quarantine_by",
            field=models.CharField(blank=True, max_length=200, verbose_name="quarantine by"),
        ),
        migrations.AddField(
            model_name="delivery",
            name="quarantine_waived",
            field=models.CharField(
                blank=True, help_text="Such as: in ethanol", max_length=200, verbose_name="no quarantine because"
            ),
        ),
        migrations.AddField(
            model_name="delivery",
            name="received_by",
            field=models.CharField(blank=True, max_length=200, verbose_name="received by"),
        ),
        migrations.AddField(
            model_name="delivery",
            name="released_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="delivery",
            name="released_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="deliveries_released",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="delivery",
            name="sender",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="deliveries",
                to="people.agent",
                verbose_name="from",
            ),
        ),
        migrations.AddField(
            model_name="delivery",
            name="treatment_degrees_c",
            field=models.FloatField(blank=True, null=True, verbose_name="temperature (°C)"),
        ),
        migrations.AddField(
            model_name="delivery",
            name="treatment_hours",
            field=models.PositiveIntegerField(blank=True, null=True, verbose_name="hours"),
        ),
        migrations.AddField(
            model_name="historicaldelivery",
            name="boxes",
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="boxes"),
        ),
        migrations.AddField(
            model_name="historicaldelivery",
            name="contents",
            field=models.CharField(blank=True, max_length=300, verbose_name="contents"),
        ),
        migrations.AddField(
            model_name="historicaldelivery",
            name="entry_number",
            field=models.CharField(blank=True, max_length=30, verbose_name="entry number"),
        ),
        migrations.AddField(
            model_name="historicaldelivery",
            name="quarantine_by",
            field=models.CharField(blank=True, max_length=200, verbose_name="quarantine by"),
        ),
        migrations.AddField(
            model_name="historicaldelivery",
            name="quarantine_waived",
            field=models.CharField(
                blank=True, help_text="Such as: in ethanol", max_length=200, verbose_name="no quarantine because"
            ),
        ),
        migrations.AddField(
            model_name="historicaldelivery",
            name="received_by",
            field=models.CharField(blank=True, max_length=200, verbose_name="received by"),
        ),
        migrations.AddField(
            model_name="historicaldelivery",
            name="released_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="historicaldelivery",
            name="released_by",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="historicaldelivery",
            name="sender",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="people.agent",
                verbose_name="from",
            ),
        ),
        migrations.AddField(
            model_name="historicaldelivery",
            name="treatment_degrees_c",
            field=models.FloatField(blank=True, null=True, verbose_name="temperature (°C)"),
        ),
        migrations.AddField(
            model_name="historicaldelivery",
            name="treatment_hours",
            field=models.PositiveIntegerField(blank=True, null=True, verbose_name="hours"),
        ),
        migrations.AlterField(
            model_name="delivery",
            name="accession",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="deliveries",
                to="material.accession",
            ),
        ),
        migrations.AddConstraint(
            model_name="delivery",
            constraint=models.UniqueConstraint(
                condition=models.Q(("entry_number", ""), _negated=True),
                fields=("entry_number",),
                name="delivery_entry_number_once",
                violation_error_message="Another delivery has this entry number.",
            ),
        ),
        migrations.AddConstraint(
            model_name="delivery",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("accession__isnull", False), ("number__gte", 1)),
                    models.Q(("accession__isnull", True), ("number", 0), models.Q(("entry_number", ""), _negated=True)),
                    _connector="OR",
                ),
                name="delivery_is_known_by_a_number",
                violation_error_message="A delivery without an accession has an entry number.",
            ),
        ),
        migrations.AddConstraint(
            model_name="delivery",
            constraint=models.CheckConstraint(
                condition=models.Q(("quarantine_waived", ""), ("quarantine_in_on__isnull", True), _connector="OR"),
                name="delivery_quarantine_or_none",
                violation_error_message="Either it was in quarantine, or say why not; not both.",
            ),
        ),
        migrations.AddConstraint(
            model_name="delivery",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("released_at__isnull", True), ("released_by__isnull", True)),
                    models.Q(
                        ("released_at__isnull", False),
                        ("released_by__isnull", False),
                        models.Q(
                            ("quarantine_out_on__isnull", False),
                            models.Q(("quarantine_waived", ""), _negated=True),
                            _connector="OR",
                        ),
                    ),
                    _connector="OR",
                ),
                name="delivery_released_after_quarantine",
                violation_error_message="It is released once it is out of quarantine, or needs none for a reason.",
            ),
        ),
        migrations.AddField(
            model_name="delivery",
            name="brought_by",
            field=models.CharField(
                blank=True,
                help_text="Who handed it over: a person, a carrier, the post",
                max_length=200,
                verbose_name="brought by",
            ),
        ),
        migrations.AddField(
            model_name="historicaldelivery",
            name="brought_by",
            field=models.CharField(
                blank=True,
                help_text="Who handed it over: a person, a carrier, the post",
                max_length=200,
                verbose_name="brought by",
            ),
        ),
    ]
