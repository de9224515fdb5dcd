import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("material", "0001_initial"),
        ("names", "0001_initial"),
        ("people", "0001_initial"),
        ("sites", "0001_initial"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="accession",
            name="source",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="accessions",
                to="people.agent",
                verbose_name="source",
            ),
        ),
        migrations.AddField(
            model_name="delivery",
            name="accession",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="deliveries", to="material.accession"
            ),
        ),
        migrations.AddField(
            model_name="determination",
            name="name",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="determinations", to="names.writtenname"
            ),
        ),
        migrations.AddField(
            model_name="historicalaccession",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalaccession",
            name="source",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="people.agent",
                verbose_name="source",
            ),
        ),
        migrations.AddField(
            model_name="historicaldelivery",
            name="accession",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="material.accession",
            ),
        ),
        migrations.AddField(
            model_name="historicaldelivery",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicaldetermination",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicaldetermination",
            name="name",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="names.writtenname",
            ),
        ),
        migrations.AddField(
            model_name="historicalpart",
            name="accession",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="material.accession",
            ),
        ),
        migrations.AddField(
            model_name="historicalpart",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalsamplingevent",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalsamplingevent",
            name="site",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="sites.site",
            ),
        ),
        migrations.AddField(
            model_name="historicalspecimen",
            name="accession",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="material.accession",
            ),
        ),
        migrations.AddField(
            model_name="historicalspecimen",
            name="delivery",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="material.delivery",
                verbose_name="delivery",
            ),
        ),
        migrations.AddField(
            model_name="historicalspecimen",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalspecimen",
            name="name",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="names.writtenname",
            ),
        ),
        migrations.AddField(
            model_name="part",
            name="accession",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="parts", to="material.accession"
            ),
        ),
        migrations.AddField(
            model_name="historicalspecimen",
            name="part",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="material.part",
                verbose_name="part",
            ),
        ),
        migrations.AddField(
            model_name="samplingevent",
            name="site",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="events",
                to="sites.site",
            ),
        ),
        migrations.AddField(
            model_name="historicalspecimen",
            name="event",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="material.samplingevent",
            ),
        ),
        migrations.AddField(
            model_name="specimen",
            name="accession",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="specimens", to="material.accession"
            ),
        ),
        migrations.AddField(
            model_name="specimen",
            name="delivery",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="specimens",
                to="material.delivery",
                verbose_name="delivery",
            ),
        ),
        migrations.AddField(
            model_name="specimen",
            name="event",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="specimens", to="material.samplingevent"
            ),
        ),
        migrations.AddField(
            model_name="specimen",
            name="name",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="specimens", to="names.writtenname"
            ),
        ),
        migrations.AddField(
            model_name="specimen",
            name="parent",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="children",
                to="material.specimen",
                verbose_name="taken from",
            ),
        ),
        migrations.AddField(
            model_name="specimen",
            name="part",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="specimens",
                to="material.part",
                verbose_name="part",
            ),
        ),
        migrations.AddField(
            model_name="historicalspecimen",
            name="parent",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="material.specimen",
                verbose_name="taken from",
            ),
        ),
        migrations.AddField(
            model_name="historicaldetermination",
            name="specimen",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="material.specimen",
            ),
        ),
        migrations.AddField(
            model_name="determination",
            name="specimen",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="determinations", to="material.specimen"
            ),
        ),
        migrations.AddField(
            model_name="touch",
            name="by",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddConstraint(
            model_name="accession",
            constraint=models.CheckConstraint(
                condition=models.Q(("number", ""), _negated=True),
                name="accession_numbered",
                violation_error_message="Give the accession a number.",
            ),
        ),
        migrations.AddConstraint(
            model_name="accession",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("received_on__isnull", True),
                    ("accessioned_on__isnull", True),
                    ("accessioned_on__gte", models.F("received_on")),
                    _connector="OR",
                ),
                name="accession_received_first",
                violation_error_message="The day of accession is before the day of receipt.",
            ),
        ),
        migrations.AddConstraint(
            model_name="accession",
            constraint=models.CheckConstraint(
                condition=models.Q(("total_kind__in", ["actual", "estimated", "bulk"])),
                name="accession_total_kind_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="delivery",
            constraint=models.UniqueConstraint(fields=("accession", "number"), name="delivery_number_once"),
        ),
        migrations.AddConstraint(
            model_name="delivery",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("quarantine_out_on__isnull", True),
                    models.Q(
                        ("quarantine_in_on__isnull", False), ("quarantine_out_on__gte", models.F("quarantine_in_on"))
                    ),
                    _connector="OR",
                ),
                name="delivery_quarantine_order",
                violation_error_message="Material leaves quarantine after it went in: check the two days.",
            ),
        ),
        migrations.AddConstraint(
            model_name="part",
            constraint=models.UniqueConstraint(
                fields=("accession", "letter"),
                name="part_letter_once",
                violation_error_message="The accession already has a part of this name.",
            ),
        ),
        migrations.AddConstraint(
            model_name="part",
            constraint=models.CheckConstraint(
                condition=models.Q(("letter", ""), _negated=True),
                name="part_lettered",
                violation_error_message="Give the part a letter.",
            ),
        ),
        migrations.AddIndex(
            model_name="samplingevent",
            index=models.Index(fields=["earliest_on", "id"], name="event_by_day"),
        ),
        migrations.AddConstraint(
            model_name="samplingevent",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("earliest_on__isnull", True),
                    ("latest_on__isnull", True),
                    ("latest_on__gte", models.F("earliest_on")),
                    _connector="OR",
                ),
                name="event_period",
                violation_error_message="The last day is before the first day.",
            ),
        ),
        migrations.AddConstraint(
            model_name="samplingevent",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("reading__in", ["run", "vague"]),
                    models.Q(("earliest_on__isnull", True), ("latest_on__isnull", True)),
                    _connector="OR",
                ),
                name="event_days_only_if_read",
            ),
        ),
        migrations.AddConstraint(
            model_name="samplingevent",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("latitude_deg__isnull", True), ("longitude_deg__isnull", True)),
                    models.Q(
                        ("latitude_deg__isnull", False),
                        ("latitude_deg__range", (-90, 90)),
                        ("longitude_deg__isnull", False),
                        ("longitude_deg__range", (-180, 180)),
                    ),
                    _connector="OR",
                ),
                name="event_on_earth",
            ),
        ),
        migrations.AddConstraint(
            model_name="samplingevent",
            constraint=models.CheckConstraint(
                condition=models.Q(("radius_m__isnull", True), ("radius_m__gt", 0), _connector="OR"),
                name="event_radius_positive",
            ),
        ),
        migrations.AddConstraint(
            model_name="specimen",
            constraint=models.UniqueConstraint(
                condition=models.Q(("catalog_number", ""), _negated=True),
                fields=("catalog_number",),
                name="specimen_number_once",
                violation_error_message="Another specimen has this catalogue number.",
            ),
        ),
        migrations.AddConstraint(
            model_name="specimen",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("count_low__gte", 0),
                    models.Q(("count_high__isnull", True), ("count_high__gte", models.F("count_low")), _connector="OR"),
                ),
                name="specimen_count_range",
                violation_error_message="The largest number is below the smallest.",
            ),
        ),
        migrations.AddConstraint(
            model_name="specimen",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("parent__isnull", True), models.Q(("parent", models.F("id")), _negated=True), _connector="OR"
                ),
                name="specimen_not_own_parent",
                violation_error_message="A specimen cannot be taken from itself.",
            ),
        ),
        migrations.AddConstraint(
            model_name="specimen",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind", "part"), _negated=True), ("parent__isnull", False), _connector="OR"
                ),
                name="specimen_part_has_parent",
                violation_error_message="Say which specimen this part was taken from.",
            ),
        ),
        migrations.AddConstraint(
            model_name="specimen",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["specimen", "lot", "bulk", "part"])), name="specimen_kind_known"
            ),
        ),
        migrations.AddConstraint(
            model_name="determination",
            constraint=models.UniqueConstraint(
                condition=models.Q(("is_current", True)),
                fields=("specimen",),
                name="determination_one_current",
                violation_error_message="Another determination is the current one.",
            ),
        ),
        migrations.AddConstraint(
            model_name="touch",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "scope__in",
                        [
                            "all",
                            "accession",
                            "part",
                            "delivery",
                            "event",
                            "site",
                            "specimen",
                            "names",
                            "paper",
                            "country",
                        ],
                    )
                ),
                name="touch_scope_known",
            ),
        ),
    ]
