import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("material", "0002_initial"),
        ("papers", "0001_initial"),
        ("people", "0001_initial"),
        ("sites", "0001_initial"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="historicalcondition",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalpaper",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalpaper",
            name="issuer_agent",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="people.agent",
            ),
        ),
        migrations.AddField(
            model_name="historicalpaperstatus",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalpaperversion",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalversioncap",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalversionperson",
            name="agent",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="people.agent",
            ),
        ),
        migrations.AddField(
            model_name="historicalversionperson",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalversionplace",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalversionseason",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalversiontaxon",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="historicalversionword",
            name="history_user",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="paper",
            name="issuer_agent",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="issued_papers",
                to="people.agent",
            ),
        ),
        migrations.AddField(
            model_name="historicalpaperversion",
            name="paper",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="papers.paper",
            ),
        ),
        migrations.AddField(
            model_name="historicalpaperstatus",
            name="paper",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="papers.paper",
            ),
        ),
        migrations.AddField(
            model_name="paperlink",
            name="accession",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="paper_links",
                to="material.accession",
            ),
        ),
        migrations.AddField(
            model_name="paperlink",
            name="event",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="paper_links",
                to="material.samplingevent",
            ),
        ),
        migrations.AddField(
            model_name="paperlink",
            name="linked_by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="links_made",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="paperlink",
            name="paper",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="links", to="papers.paper"
            ),
        ),
        migrations.AddField(
            model_name="paperlink",
            name="part",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="paper_links",
                to="material.part",
            ),
        ),
        migrations.AddField(
            model_name="paperlink",
            name="site",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="paper_links",
                to="sites.site",
            ),
        ),
        migrations.AddField(
            model_name="paperlink",
            name="specimen",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="paper_links",
                to="material.specimen",
            ),
        ),
        migrations.AddField(
            model_name="paperlink",
            name="unlinked_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="links_ended",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="paperstatus",
            name="paper",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="statuses", to="papers.paper"
            ),
        ),
        migrations.AddField(
            model_name="paperversion",
            name="paper",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="versions", to="papers.paper"
            ),
        ),
        migrations.AddField(
            model_name="historicalversionword",
            name="version",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="papers.paperversion",
            ),
        ),
        migrations.AddField(
            model_name="historicalversiontaxon",
            name="version",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="papers.paperversion",
            ),
        ),
        migrations.AddField(
            model_name="historicalversionseason",
            name="version",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="papers.paperversion",
            ),
        ),
        migrations.AddField(
            model_name="historicalversionplace",
            name="version",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="papers.paperversion",
            ),
        ),
        migrations.AddField(
            model_name="historicalversionperson",
            name="version",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="papers.paperversion",
            ),
        ),
        migrations.AddField(
            model_name="historicalversioncap",
            name="version",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="papers.paperversion",
            ),
        ),
        migrations.AddField(
            model_name="historicalcondition",
            name="version",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="papers.paperversion",
            ),
        ),
        migrations.AddField(
            model_name="condition",
            name="version",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="%(class)ss", to="papers.paperversion"
            ),
        ),
        migrations.AddField(
            model_name="receivedfile",
            name="received_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="paper_files", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="receivedfile",
            name="taken_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="paper_files_taken",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="versioncap",
            name="version",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="%(class)ss", to="papers.paperversion"
            ),
        ),
        migrations.AddField(
            model_name="versionperson",
            name="agent",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="named_on",
                to="people.agent",
            ),
        ),
        migrations.AddField(
            model_name="versionperson",
            name="version",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="%(class)ss", to="papers.paperversion"
            ),
        ),
        migrations.AddField(
            model_name="versionplace",
            name="version",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="%(class)ss", to="papers.paperversion"
            ),
        ),
        migrations.AddField(
            model_name="versionseason",
            name="version",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="%(class)ss", to="papers.paperversion"
            ),
        ),
        migrations.AddField(
            model_name="versiontaxon",
            name="version",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="%(class)ss", to="papers.paperversion"
            ),
        ),
        migrations.AddField(
            model_name="versionword",
            name="version",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="%(class)ss", to="papers.paperversion"
            ),
        ),
        migrations.AddConstraint(
            model_name="paper",
            constraint=models.CheckConstraint(
                condition=models.Q(("reference", ""), _negated=True),
                name="paper_has_reference",
                violation_error_message="Write its number.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paper",
            constraint=models.CheckConstraint(
                condition=models.Q(("layers__range", (1, 511))),
                name="paper_serves_a_layer",
                violation_error_message="Choose at least one layer that the paper answers.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paper",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "kind__in",
                        [
                            "landowner-consent",
                            "occupier-consent",
                            "community-consent",
                            "collecting-permit",
                            "research-permit",
                            "species-licence",
                            "protected-site-consent",
                            "prior-informed-consent",
                            "mutually-agreed-terms",
                            "access-permit",
                            "certificate-of-compliance",
                            "export-permit",
                            "import-permit",
                            "cites-export-permit",
                            "cites-import-permit",
                            "cites-reexport-certificate",
                            "cites-certificate-of-origin",
                            "cites-exchange-label",
                            "phytosanitary-certificate",
                            "veterinary-certificate",
                            "material-transfer-agreement",
                            "deed-of-transfer",
                            "salvage-permit",
                            "exemption",
                            "other",
                        ],
                    )
                ),
                name="paper_kind_known",
                violation_error_message="Choose one of the kinds.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperlink",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("accession__isnull", True),
                        ("all_accessions", False),
                        ("event__isnull", True),
                        ("part__isnull", True),
                        ("site__isnull", True),
                        ("specimen__isnull", False),
                    ),
                    models.Q(
                        ("accession__isnull", True),
                        ("all_accessions", False),
                        ("event__isnull", True),
                        ("part__isnull", False),
                        ("site__isnull", True),
                        ("specimen__isnull", True),
                    ),
                    models.Q(
                        ("accession__isnull", False),
                        ("all_accessions", False),
                        ("event__isnull", True),
                        ("part__isnull", True),
                        ("site__isnull", True),
                        ("specimen__isnull", True),
                    ),
                    models.Q(
                        ("accession__isnull", True),
                        ("all_accessions", False),
                        ("event__isnull", False),
                        ("part__isnull", True),
                        ("site__isnull", True),
                        ("specimen__isnull", True),
                    ),
                    models.Q(
                        ("accession__isnull", True),
                        ("all_accessions", False),
                        ("event__isnull", True),
                        ("part__isnull", True),
                        ("site__isnull", False),
                        ("specimen__isnull", True),
                    ),
                    models.Q(
                        ("accession__isnull", True),
                        ("all_accessions", True),
                        ("event__isnull", True),
                        ("part__isnull", True),
                        ("site__isnull", True),
                        ("specimen__isnull", True),
                    ),
                    _connector="OR",
                ),
                name="paperlink_one_target",
                violation_error_message="A link has exactly one target.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperlink",
            constraint=models.CheckConstraint(
                condition=models.Q(("unlinked_at__isnull", False), ("unlinked_by__isnull", True), _connector="OR"),
                name="paperlink_end_has_time",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperlink",
            constraint=models.UniqueConstraint(
                condition=models.Q(("unlinked_at__isnull", True)),
                fields=("paper", "specimen"),
                name="paperlink_specimen_once",
                violation_error_message="The paper is already linked to it.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperlink",
            constraint=models.UniqueConstraint(
                condition=models.Q(("unlinked_at__isnull", True)),
                fields=("paper", "part"),
                name="paperlink_part_once",
                violation_error_message="The paper is already linked to it.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperlink",
            constraint=models.UniqueConstraint(
                condition=models.Q(("unlinked_at__isnull", True)),
                fields=("paper", "accession"),
                name="paperlink_accession_once",
                violation_error_message="The paper is already linked to it.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperlink",
            constraint=models.UniqueConstraint(
                condition=models.Q(("unlinked_at__isnull", True)),
                fields=("paper", "event"),
                name="paperlink_event_once",
                violation_error_message="The paper is already linked to it.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperlink",
            constraint=models.UniqueConstraint(
                condition=models.Q(("unlinked_at__isnull", True)),
                fields=("paper", "site"),
                name="paperlink_site_once",
                violation_error_message="The paper is already linked to it.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperlink",
            constraint=models.UniqueConstraint(
                condition=models.Q(("all_accessions", True), ("unlinked_at__isnull", True)),
                fields=("paper",),
                name="paperlink_all_once",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperstatus",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("to_on__isnull", True),
                    models.Q(("state", "suspended"), ("to_on__gte", models.F("from_on"))),
                    _connector="OR",
                ),
                name="paperstatus_period",
                violation_error_message="Only a suspension has a last day, and it is not before its first.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperstatus",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("state__in", ["applied", "refused", "granted", "suspended", "revoked", "surrendered"])
                ),
                name="paperstatus_state_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperstatus",
            constraint=models.UniqueConstraint(
                condition=models.Q(("state__in", ["revoked", "surrendered"])),
                fields=("paper",),
                name="paperstatus_ends_once",
                violation_error_message="The paper was already revoked or surrendered.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperversion",
            constraint=models.UniqueConstraint(
                fields=("paper", "in_force_from"),
                name="paperversion_start_once",
                violation_error_message="Another version of this paper starts on the same day.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperversion",
            constraint=models.UniqueConstraint(
                condition=models.Q(("in_force_from__isnull", True)),
                fields=("paper",),
                name="paperversion_unknown_start_once",
                violation_error_message="Another version of this paper starts on an unknown day, too.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperversion",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("in_force_from__isnull", True),
                    ("in_force_to__isnull", True),
                    ("in_force_to__gte", models.F("in_force_from")),
                    _connector="OR",
                ),
                name="paperversion_period",
                violation_error_message="The last day is before the first day.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperversion",
            constraint=models.CheckConstraint(
                condition=models.Q(("assistants__in", ["", "not-allowed", "supervised", "allowed"])),
                name="paperversion_assistants_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="condition",
            constraint=models.CheckConstraint(
                condition=models.Q(("text", ""), _negated=True), name="condition_written"
            ),
        ),
        migrations.AddConstraint(
            model_name="condition",
            constraint=models.CheckConstraint(
                condition=models.Q(("page__isnull", True), ("page__gte", 1), _connector="OR"),
                name="condition_page_from_one",
            ),
        ),
        migrations.AddConstraint(
            model_name="receivedfile",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("taken_at__isnull", True), ("taken_by__isnull", True)),
                    models.Q(("taken_at__isnull", False), ("taken_by__isnull", False)),
                    _connector="OR",
                ),
                name="receivedfile_taken_by_somebody",
            ),
        ),
        migrations.AddConstraint(
            model_name="versioncap",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("each__in", ["together", "species"]), ("per__in", ["paper", "year", "site", "event"])
                ),
                name="versioncap_words_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="versionperson",
            constraint=models.CheckConstraint(
                condition=models.Q(("name", ""), _negated=True), name="versionperson_named"
            ),
        ),
        migrations.AddConstraint(
            model_name="versionplace",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("country", ""),
                    ("geojson", ""),
                    ("longitude_deg__isnull", True),
                    ("site", ""),
                    ("subdivision", ""),
                    _negated=True,
                ),
                name="versionplace_says_something",
                violation_error_message="Name a country, a subdivision or a site, or give an area.",
            ),
        ),
        migrations.AddConstraint(
            model_name="versionplace",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("latitude_deg__isnull", True), ("longitude_deg__isnull", True), ("radius_m__isnull", True)
                    ),
                    models.Q(
                        ("geojson", ""),
                        ("latitude_deg__isnull", False),
                        ("latitude_deg__range", (-90, 90)),
                        ("longitude_deg__isnull", False),
                        ("longitude_deg__range", (-180, 180)),
                        ("radius_m__gte", 0),
                        ("radius_m__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="versionplace_whole_disc",
                violation_error_message="A point has a longitude, a latitude and a radius in metres.",
            ),
        ),
        migrations.AddConstraint(
            model_name="versionplace",
            constraint=models.CheckConstraint(
                condition=models.Q(("boundary_error_m__isnull", True), ("boundary_error_m__gte", 0), _connector="OR"),
                name="versionplace_error_positive",
                violation_error_message="The error of a boundary is zero or more metres.",
            ),
        ),
        migrations.AddConstraint(
            model_name="versionseason",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("from_day__range", (1, 31)),
                    ("from_month__range", (1, 12)),
                    ("to_day__range", (1, 31)),
                    ("to_month__range", (1, 12)),
                ),
                name="versionseason_in_calendar",
                violation_error_message="A season runs from a day and month to a day and month.",
            ),
        ),
        migrations.AddConstraint(
            model_name="versiontaxon",
            constraint=models.CheckConstraint(
                condition=models.Q(("name", ""), _negated=True), name="versiontaxon_named"
            ),
        ),
        migrations.AddConstraint(
            model_name="versionword",
            constraint=models.CheckConstraint(
                condition=models.Q(("word", ""), _negated=True), name="versionword_written"
            ),
        ),
        migrations.AddConstraint(
            model_name="versionword",
            constraint=models.CheckConstraint(
                condition=models.Q(("subject__in", ["methods", "sexes", "life_stages"])),
                name="versionword_subject_known",
            ),
        ),
    ]
