import django.core.validators
import django.db.models.deletion
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("material", "0003_arrival"),
        ("papers", "0004_condition_asks"),
        ("people", "__first__"),
        ("scans", "0002_words_index"),
        ("sites", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="FieldPlan",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "reference",
                    models.CharField(
                        help_text="A short number of your own, such as FP-2027-03",
                        max_length=60,
                        unique=True,
                        verbose_name="plan number",
                    ),
                ),
                ("title", models.CharField(max_length=200, verbose_name="title")),
                ("leader", models.CharField(blank=True, max_length=200, verbose_name="led by")),
                (
                    "language",
                    models.CharField(
                        choices=[("en", "English"), ("es", "Español"), ("fr", "Français"), ("pt", "Português")],
                        default="en",
                        max_length=5,
                        verbose_name="language of the field pack",
                    ),
                ),
                ("uses", models.JSONField(blank=True, default=list, verbose_name="uses meant for the material")),
                (
                    "contacts",
                    models.TextField(
                        blank=True,
                        help_text="In an emergency or when plans change: who, by which number",
                        verbose_name="whom to tell",
                    ),
                ),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                ("closed_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("closed_why", models.CharField(blank=True, editable=False, max_length=200)),
                (
                    "accession",
                    models.OneToOneField(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="field_plan",
                        to="material.accession",
                    ),
                ),
                (
                    "closed_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plans_closed",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "copied_from",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="copies",
                        to="plans.fieldplan",
                    ),
                ),
            ],
            options={
                "verbose_name": "field plan",
                "verbose_name_plural": "field plans",
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("reference", ""), _negated=True),
                        name="fieldplan_numbered",
                        violation_error_message="Give the plan a number.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("title", ""), _negated=True),
                        name="fieldplan_titled",
                        violation_error_message="Give the plan a title.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("language__in", ["en", "es", "fr", "pt"])), name="fieldplan_language_known"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("closed_at__isnull", True), ("closed_by__isnull", True), ("closed_why", "")),
                            models.Q(
                                ("closed_at__isnull", False),
                                ("closed_by__isnull", False),
                                models.Q(("closed_why", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="fieldplan_closed_for_a_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Consignment",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("from_country", models.CharField(blank=True, max_length=2, verbose_name="export from")),
                ("to_country", models.CharField(blank=True, max_length=2, verbose_name="import to")),
                ("exported_on", models.CharField(blank=True, max_length=200, verbose_name="leaves the country on")),
                ("imported_on", models.CharField(blank=True, max_length=200, verbose_name="arrives on")),
                ("transferred_on", models.CharField(blank=True, max_length=200, verbose_name="changes hands on")),
                ("carrier", models.CharField(blank=True, max_length=200, verbose_name="carrier")),
                (
                    "cites",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not known"), ("none", "No listed species"), ("listed", "With listed species")],
                        default="",
                        max_length=10,
                        verbose_name="CITES",
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="consignments", to="plans.fieldplan"
                    ),
                ),
            ],
            options={
                "verbose_name": "way home",
                "verbose_name_plural": "ways home",
                "ordering": ["plan", "position", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("from_country", ""), ("from_country__regex", "^[A-Z]{2}$"), _connector="OR"),
                            models.Q(("to_country", ""), ("to_country__regex", "^[A-Z]{2}$"), _connector="OR"),
                        ),
                        name="consignment_country_form",
                        violation_error_message="A country is two capital letters (ISO 3166-1).",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("cites__in", ["", "none", "listed"])), name="consignment_cites_known"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Application",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "layer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Land"),
                            (1, "Collecting"),
                            (2, "Species"),
                            (3, "Protected site"),
                            (4, "Access (ABS)"),
                            (5, "Export"),
                            (6, "Import"),
                            (7, "CITES"),
                            (8, "Transfer"),
                        ],
                        verbose_name="layer",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("landowner-consent", "Landowner’s consent"),
                            ("occupier-consent", "Occupier’s consent"),
                            ("community-consent", "Community consent"),
                            ("collecting-permit", "Collecting permit"),
                            ("research-permit", "Research permit"),
                            ("species-licence", "Species licence"),
                            ("protected-site-consent", "Protected-site consent"),
                            ("prior-informed-consent", "Prior informed consent (PIC)"),
                            ("mutually-agreed-terms", "Mutually agreed terms (MAT)"),
                            ("access-permit", "Access permit (ABS)"),
                            ("certificate-of-compliance", "Certificate of compliance (IRCC)"),
                            ("export-permit", "Export permit"),
                            ("import-permit", "Import permit"),
                            ("cites-export-permit", "CITES export permit"),
                            ("cites-import-permit", "CITES import permit"),
                            ("cites-reexport-certificate", "CITES re-export certificate"),
                            ("cites-certificate-of-origin", "CITES certificate of origin"),
                            ("cites-exchange-label", "CITES label for scientific exchange"),
                            ("phytosanitary-certificate", "Phytosanitary certificate"),
                            ("veterinary-certificate", "Veterinary certificate"),
                            ("material-transfer-agreement", "Material transfer agreement (MTA)"),
                            ("deed-of-transfer", "Deed of transfer"),
                            ("deed-of-gift", "Deed of gift"),
                            ("bequest", "Bequest"),
                            ("proof-of-purchase", "Proof of purchase"),
                            ("exchange-agreement", "Exchange agreement"),
                            ("salvage-permit", "Salvage permit"),
                            ("exemption", "Exemption"),
                            ("other", "Other"),
                        ],
                        max_length=40,
                        verbose_name="kind of paper",
                    ),
                ),
                (
                    "authority",
                    models.CharField(
                        blank=True, help_text="Authority, owner or community", max_length=300, verbose_name="ask"
                    ),
                ),
                ("contact", models.TextField(blank=True, verbose_name="contact")),
                (
                    "number",
                    models.CharField(
                        blank=True, help_text="The authority’s file number", max_length=100, verbose_name="their number"
                    ),
                ),
                (
                    "start_by",
                    models.DateField(
                        blank=True, help_text="Blank: as the check works it out", null=True, verbose_name="start by"
                    ),
                ),
                ("asked_on", models.DateField(blank=True, null=True, verbose_name="asked on")),
                ("promised_on", models.DateField(blank=True, null=True, verbose_name="promised for")),
                ("granted_on", models.DateField(blank=True, null=True, verbose_name="granted on")),
                ("refused_on", models.DateField(blank=True, null=True, verbose_name="refused on")),
                ("dropped_on", models.DateField(blank=True, null=True, verbose_name="given up on")),
                ("note", models.TextField(blank=True, verbose_name="note")),
                ("all_stops", models.BooleanField(default=True, verbose_name="for all stops")),
                (
                    "assignee",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="applications",
                        to=settings.AUTH_USER_MODEL,
                        verbose_name="who asks",
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="applications",
                        to="papers.paper",
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="applications", to="plans.fieldplan"
                    ),
                ),
            ],
            options={
                "verbose_name": "application",
                "verbose_name_plural": "applications",
                "ordering": ["plan", "layer", "pk"],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("layer__lt", 9)), name="application_layer_known"),
                    models.CheckConstraint(
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
                                    "deed-of-gift",
                                    "bequest",
                                    "proof-of-purchase",
                                    "exchange-agreement",
                                    "salvage-permit",
                                    "exemption",
                                    "other",
                                ],
                            )
                        ),
                        name="application_kind_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("granted_on__isnull", True),
                            ("asked_on__isnull", True),
                            ("granted_on__gte", models.F("asked_on")),
                            _connector="OR",
                        ),
                        name="application_granted_after_asked",
                        violation_error_message="It was granted before it was asked for: check the two days.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("refused_on__isnull", True),
                            models.Q(("asked_on__isnull", False), ("refused_on__gte", models.F("asked_on"))),
                            _connector="OR",
                        ),
                        name="application_refused_after_asked",
                        violation_error_message="Only what was asked for is refused, and not before: check the two days.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("promised_on__isnull", True),
                            models.Q(("asked_on__isnull", False), ("promised_on__gte", models.F("asked_on"))),
                            _connector="OR",
                        ),
                        name="application_promised_after_asked",
                        violation_error_message="An answer is promised for a day after it was asked: check the two days.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("granted_on__isnull", True), ("paper__isnull", True)),
                            models.Q(("granted_on__isnull", False), ("paper__isnull", False)),
                            _connector="OR",
                        ),
                        name="application_granted_with_paper",
                        violation_error_message="What was granted is a paper on file.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("granted_on__isnull", True), ("refused_on__isnull", True)),
                            models.Q(("dropped_on__isnull", True), ("granted_on__isnull", True)),
                            models.Q(("dropped_on__isnull", True), ("refused_on__isnull", True)),
                            _connector="OR",
                        ),
                        name="application_one_end",
                        violation_error_message="It was granted, refused or given up: one of them.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalApplication",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "layer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Land"),
                            (1, "Collecting"),
                            (2, "Species"),
                            (3, "Protected site"),
                            (4, "Access (ABS)"),
                            (5, "Export"),
                            (6, "Import"),
                            (7, "CITES"),
                            (8, "Transfer"),
                        ],
                        verbose_name="layer",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("landowner-consent", "Landowner’s consent"),
                            ("occupier-consent", "Occupier’s consent"),
                            ("community-consent", "Community consent"),
                            ("collecting-permit", "Collecting permit"),
                            ("research-permit", "Research permit"),
                            ("species-licence", "Species licence"),
                            ("protected-site-consent", "Protected-site consent"),
                            ("prior-informed-consent", "Prior informed consent (PIC)"),
                            ("mutually-agreed-terms", "Mutually agreed terms (MAT)"),
                            ("access-permit", "Access permit (ABS)"),
                            ("certificate-of-compliance", "Certificate of compliance (IRCC)"),
                            ("export-permit", "Export permit"),
                            ("import-permit", "Import permit"),
                            ("cites-export-permit", "CITES export permit"),
                            ("cites-import-permit", "CITES import permit"),
                            ("cites-reexport-certificate", "CITES re-export certificate"),
                            ("cites-certificate-of-origin", "CITES certificate of origin"),
                            ("cites-exchange-label", "CITES label for scientific exchange"),
                            ("phytosanitary-certificate", "Phytosanitary certificate"),
                            ("veterinary-certificate", "Veterinary certificate"),
                            ("material-transfer-agreement", "Material transfer agreement (MTA)"),
                            ("deed-of-transfer", "Deed of transfer"),
                            ("deed-of-gift", "Deed of gift"),
                            ("bequest", "Bequest"),
                            ("proof-of-purchase", "Proof of purchase"),
                            ("exchange-agreement", "Exchange agreement"),
                            ("salvage-permit", "Salvage permit"),
                            ("exemption", "Exemption"),
                            ("other", "Other"),
                        ],
                        max_length=40,
                        verbose_name="kind of paper",
                    ),
                ),
                (
                    "authority",
                    models.CharField(
                        blank=True, help_text="Authority, owner or community", max_length=300, verbose_name="ask"
                    ),
                ),
                ("contact", models.TextField(blank=True, verbose_name="contact")),
                (
                    "number",
                    models.CharField(
                        blank=True, help_text="The authority’s file number", max_length=100, verbose_name="their number"
                    ),
                ),
                (
                    "start_by",
                    models.DateField(
                        blank=True, help_text="Blank: as the check works it out", null=True, verbose_name="start by"
                    ),
                ),
                ("asked_on", models.DateField(blank=True, null=True, verbose_name="asked on")),
                ("promised_on", models.DateField(blank=True, null=True, verbose_name="promised for")),
                ("granted_on", models.DateField(blank=True, null=True, verbose_name="granted on")),
                ("refused_on", models.DateField(blank=True, null=True, verbose_name="refused on")),
                ("dropped_on", models.DateField(blank=True, null=True, verbose_name="given up on")),
                ("note", models.TextField(blank=True, verbose_name="note")),
                ("all_stops", models.BooleanField(default=True, verbose_name="for all stops")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "assignee",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                        verbose_name="who asks",
                    ),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paper",
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.fieldplan",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical application",
                "verbose_name_plural": "historical applications",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalConsignment",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("from_country", models.CharField(blank=True, max_length=2, verbose_name="export from")),
                ("to_country", models.CharField(blank=True, max_length=2, verbose_name="import to")),
                ("exported_on", models.CharField(blank=True, max_length=200, verbose_name="leaves the country on")),
                ("imported_on", models.CharField(blank=True, max_length=200, verbose_name="arrives on")),
                ("transferred_on", models.CharField(blank=True, max_length=200, verbose_name="changes hands on")),
                ("carrier", models.CharField(blank=True, max_length=200, verbose_name="carrier")),
                (
                    "cites",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not known"), ("none", "No listed species"), ("listed", "With listed species")],
                        default="",
                        max_length=10,
                        verbose_name="CITES",
                    ),
                ),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.fieldplan",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical way home",
                "verbose_name_plural": "historical ways home",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalFieldPlan",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "reference",
                    models.CharField(
                        db_index=True,
                        help_text="A short number of your own, such as FP-2027-03",
                        max_length=60,
                        verbose_name="plan number",
                    ),
                ),
                ("title", models.CharField(max_length=200, verbose_name="title")),
                ("leader", models.CharField(blank=True, max_length=200, verbose_name="led by")),
                (
                    "language",
                    models.CharField(
                        choices=[("en", "English"), ("es", "Español"), ("fr", "Français"), ("pt", "Português")],
                        default="en",
                        max_length=5,
                        verbose_name="language of the field pack",
                    ),
                ),
                ("uses", models.JSONField(blank=True, default=list, verbose_name="uses meant for the material")),
                (
                    "contacts",
                    models.TextField(
                        blank=True,
                        help_text="In an emergency or when plans change: who, by which number",
                        verbose_name="whom to tell",
                    ),
                ),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                ("closed_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("closed_why", models.CharField(blank=True, editable=False, max_length=200)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "accession",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="material.accession",
                    ),
                ),
                (
                    "closed_by",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "copied_from",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.fieldplan",
                    ),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "historical field plan",
                "verbose_name_plural": "historical field plans",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalStop",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("name", models.CharField(max_length=200, verbose_name="stop")),
                (
                    "country",
                    models.CharField(
                        blank=True, help_text="ISO 3166-1, two letters", max_length=2, verbose_name="country"
                    ),
                ),
                (
                    "longitude_deg",
                    models.FloatField(
                        blank=True,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(-180),
                            django.core.validators.MaxValueValidator(180),
                        ],
                        verbose_name="longitude",
                    ),
                ),
                (
                    "latitude_deg",
                    models.FloatField(
                        blank=True,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(-90),
                            django.core.validators.MaxValueValidator(90),
                        ],
                        verbose_name="latitude",
                    ),
                ),
                (
                    "radius_m",
                    models.FloatField(
                        blank=True,
                        help_text="How far from the point you will collect",
                        null=True,
                        verbose_name="radius (m)",
                    ),
                ),
                (
                    "area",
                    models.TextField(
                        blank=True, help_text="GeoJSON, longitude first, WGS84", verbose_name="drawn area"
                    ),
                ),
                ("first_on", models.DateField(blank=True, null=True, verbose_name="first day")),
                ("last_on", models.DateField(blank=True, null=True, verbose_name="last day")),
                (
                    "methods",
                    models.CharField(
                        blank=True, help_text="Separate several by |", max_length=500, verbose_name="methods"
                    ),
                ),
                (
                    "people",
                    models.CharField(
                        blank=True, help_text="Separate several by |", max_length=1000, verbose_name="people"
                    ),
                ),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "consignment",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        help_text="Blank: the first of the plan",
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.consignment",
                        verbose_name="way home",
                    ),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.fieldplan",
                    ),
                ),
                (
                    "site",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="sites.site",
                        verbose_name="registered site",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical stop",
                "verbose_name_plural": "historical stops",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="PlanVersion",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.PositiveIntegerField(verbose_name="version")),
                ("kept_at", models.DateTimeField(auto_now_add=True)),
                ("why", models.CharField(blank=True, max_length=200)),
                ("contents", models.JSONField()),
                (
                    "kept_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plan_versions",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="versions", to="plans.fieldplan"
                    ),
                ),
            ],
            options={
                "verbose_name": "version of a plan",
                "verbose_name_plural": "versions of plans",
                "ordering": ["plan", "-number"],
                "constraints": [
                    models.UniqueConstraint(fields=("plan", "number"), name="planversion_number_once"),
                    models.CheckConstraint(condition=models.Q(("number__gte", 1)), name="planversion_number_from_one"),
                ],
            },
        ),
        migrations.CreateModel(
            name="PlanSignOff",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("signed_at", models.DateTimeField(auto_now_add=True)),
                ("remark", models.TextField(verbose_name="remark")),
                ("verdicts", models.JSONField(default=dict)),
                ("judged", models.JSONField(default=dict)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_why", models.CharField(blank=True, max_length=200)),
                (
                    "signed_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plan_sign_offs",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plan_sign_offs_withdrawn",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "version",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="sign_offs", to="plans.planversion"
                    ),
                ),
            ],
            options={
                "verbose_name": "sign-off of a plan",
                "verbose_name_plural": "sign-offs of plans",
                "ordering": ["version", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("remark", ""), _negated=True),
                        name="plansignoff_with_remark",
                        violation_error_message="Say what you looked at, and what is still open.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at__isnull", True), ("withdrawn_by__isnull", True)),
                            models.Q(("withdrawn_at__isnull", False), ("withdrawn_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="plansignoff_withdrawal_whole",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Stop",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("name", models.CharField(max_length=200, verbose_name="stop")),
                (
                    "country",
                    models.CharField(
                        blank=True, help_text="ISO 3166-1, two letters", max_length=2, verbose_name="country"
                    ),
                ),
                (
                    "longitude_deg",
                    models.FloatField(
                        blank=True,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(-180),
                            django.core.validators.MaxValueValidator(180),
                        ],
                        verbose_name="longitude",
                    ),
                ),
                (
                    "latitude_deg",
                    models.FloatField(
                        blank=True,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(-90),
                            django.core.validators.MaxValueValidator(90),
                        ],
                        verbose_name="latitude",
                    ),
                ),
                (
                    "radius_m",
                    models.FloatField(
                        blank=True,
                        help_text="How far from the point you will collect",
                        null=True,
                        verbose_name="radius (m)",
                    ),
                ),
                (
                    "area",
                    models.TextField(
                        blank=True, help_text="GeoJSON, longitude first, WGS84", verbose_name="drawn area"
                    ),
                ),
                ("first_on", models.DateField(blank=True, null=True, verbose_name="first day")),
                ("last_on", models.DateField(blank=True, null=True, verbose_name="last day")),
                (
                    "methods",
                    models.CharField(
                        blank=True, help_text="Separate several by |", max_length=500, verbose_name="methods"
                    ),
                ),
                (
                    "people",
                    models.CharField(
                        blank=True, help_text="Separate several by |", max_length=1000, verbose_name="people"
                    ),
                ),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                (
                    "consignment",
                    models.ForeignKey(
                        blank=True,
                        help_text="Blank: the first of the plan",
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="stops",
                        to="plans.consignment",
                        verbose_name="way home",
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="stops", to="plans.fieldplan"
                    ),
                ),
                (
                    "site",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="stops",
                        to="sites.site",
                        verbose_name="registered site",
                    ),
                ),
            ],
            options={
                "verbose_name": "stop",
                "verbose_name_plural": "stops",
                "ordering": ["plan", "position", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("name", ""), _negated=True),
                        name="stop_named",
                        violation_error_message="Give the stop a name.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("first_on__isnull", True),
                            ("last_on__isnull", True),
                            ("last_on__gte", models.F("first_on")),
                            _connector="OR",
                        ),
                        name="stop_period",
                        violation_error_message="The last day is before the first day.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("latitude_deg__isnull", True),
                                ("longitude_deg__isnull", True),
                                ("radius_m__isnull", True),
                            ),
                            models.Q(
                                ("latitude_deg__isnull", False),
                                ("latitude_deg__range", (-90, 90)),
                                ("longitude_deg__isnull", False),
                                ("longitude_deg__range", (-180, 180)),
                            ),
                            _connector="OR",
                        ),
                        name="stop_whole_point",
                        violation_error_message="A point has a longitude (-180 to 180) and a latitude (-90 to 90).",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("radius_m__isnull", True), ("radius_m__gt", 0), _connector="OR"),
                        name="stop_radius_positive",
                        violation_error_message="The radius is more than zero metres.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("country", ""), ("country__regex", "^[A-Z]{2}$"), _connector="OR"),
                        name="stop_country_form",
                        violation_error_message="A country is two capital letters (ISO 3166-1).",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PlanPaper",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("linked_at", models.DateTimeField(auto_now_add=True)),
                ("why", models.CharField(blank=True, max_length=200)),
                ("unlinked_at", models.DateTimeField(blank=True, null=True)),
                ("unlinked_why", models.CharField(blank=True, max_length=200)),
                (
                    "linked_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plan_papers_made",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="plan_papers", to="papers.paper"
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="plan_papers", to="plans.fieldplan"
                    ),
                ),
                (
                    "unlinked_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plan_papers_ended",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "stop",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="plan_papers",
                        to="plans.stop",
                    ),
                ),
            ],
            options={
                "verbose_name": "paper of a plan",
                "verbose_name_plural": "papers of plans",
                "ordering": ["plan", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("unlinked_at__isnull", True), ("unlinked_by__isnull", True)),
                            models.Q(("unlinked_at__isnull", False), ("unlinked_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="planpaper_end_whole",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("stop__isnull", True), ("unlinked_at__isnull", True)),
                        fields=("plan", "paper"),
                        name="planpaper_of_plan_once",
                        violation_error_message="The paper is already attached to this plan.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("stop__isnull", False), ("unlinked_at__isnull", True)),
                        fields=("stop", "paper"),
                        name="planpaper_of_stop_once",
                        violation_error_message="The paper is already attached to this stop.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PlanNotice",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("given_on", models.DateField(verbose_name="notice given on")),
                ("note", models.CharField(max_length=300, verbose_name="to whom, and how")),
                (
                    "paper",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="notices", to="papers.paper"
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="notices", to="plans.fieldplan"
                    ),
                ),
                (
                    "stop",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="notices",
                        to="plans.stop",
                    ),
                ),
            ],
            options={
                "verbose_name": "notice given",
                "verbose_name_plural": "notices given",
                "ordering": ["plan", "given_on", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("note", ""), _negated=True),
                        name="plannotice_to_whom",
                        violation_error_message="Say to whom the notice was given, and how.",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="PlanDecision",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "layer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Land"),
                            (1, "Collecting"),
                            (2, "Species"),
                            (3, "Protected site"),
                            (4, "Access (ABS)"),
                            (5, "Export"),
                            (6, "Import"),
                            (7, "CITES"),
                            (8, "Transfer"),
                        ],
                        verbose_name="layer",
                    ),
                ),
                ("reason", models.TextField(verbose_name="not required because")),
                ("evidence", models.TextField(verbose_name="evidence")),
                ("decided_at", models.DateTimeField(auto_now_add=True)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_reason", models.TextField(blank=True)),
                (
                    "decided_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plan_decisions",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="decisions", to="plans.fieldplan"
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="plan_decisions_withdrawn",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "stop",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="decisions",
                        to="plans.stop",
                    ),
                ),
            ],
            options={
                "verbose_name": "decision about a plan",
                "verbose_name_plural": "decisions about plans",
                "ordering": ["plan", "layer", "-decided_at"],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("layer__lt", 9)), name="plandecision_layer_known"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("reason", ""), _negated=True), models.Q(("evidence", ""), _negated=True)
                        ),
                        name="plandecision_with_evidence",
                        violation_error_message="Say why no paper is required, and what shows it.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at__isnull", True), ("withdrawn_by__isnull", True)),
                            models.Q(("withdrawn_at__isnull", False), ("withdrawn_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="plandecision_withdrawal_whole",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("stop__isnull", True), ("withdrawn_at__isnull", True)),
                        fields=("plan", "layer"),
                        name="plandecision_of_plan_once",
                        violation_error_message="A decision for this layer stands already.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("stop__isnull", False), ("withdrawn_at__isnull", True)),
                        fields=("stop", "layer"),
                        name="plandecision_of_stop_once",
                        violation_error_message="A decision for this layer stands already.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalStopTrap",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("method", models.CharField(help_text="Such as Malaise trap", max_length=100, verbose_name="trap")),
                (
                    "number",
                    models.PositiveSmallIntegerField(
                        default=1, validators=[django.core.validators.MinValueValidator(1)], verbose_name="how many"
                    ),
                ),
                ("first_on", models.DateField(blank=True, null=True, verbose_name="set on")),
                ("last_on", models.DateField(blank=True, null=True, verbose_name="emptied on")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "stop",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.stop",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical trap",
                "verbose_name_plural": "historical traps",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalStopTarget",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                (
                    "name",
                    models.CharField(help_text="A scientific name at any rank", max_length=200, verbose_name="group"),
                ),
                ("kingdom", models.CharField(blank=True, max_length=50, verbose_name="kingdom")),
                (
                    "rank",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("kingdom", "kingdom"),
                            ("phylum", "phylum"),
                            ("class", "class"),
                            ("order", "order"),
                            ("superfamily", "superfamily"),
                            ("family", "family"),
                            ("subfamily", "subfamily"),
                            ("tribe", "tribe"),
                            ("genus", "genus"),
                            ("subgenus", "subgenus"),
                            ("species", "species"),
                            ("infraspecies", "infraspecies"),
                        ],
                        max_length=20,
                        verbose_name="rank",
                    ),
                ),
                (
                    "higher",
                    models.CharField(
                        blank=True,
                        help_text="Higher names, the highest first, separated by |",
                        max_length=500,
                        verbose_name="belongs to",
                    ),
                ),
                ("expected", models.CharField(blank=True, max_length=60, verbose_name="expected number")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "stop",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.stop",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical target group",
                "verbose_name_plural": "historical target groups",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalPlanNotice",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("given_on", models.DateField(verbose_name="notice given on")),
                ("note", models.CharField(max_length=300, verbose_name="to whom, and how")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paper",
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.fieldplan",
                    ),
                ),
                (
                    "stop",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.stop",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical notice given",
                "verbose_name_plural": "historical notices given",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalPlanDecision",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "layer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Land"),
                            (1, "Collecting"),
                            (2, "Species"),
                            (3, "Protected site"),
                            (4, "Access (ABS)"),
                            (5, "Export"),
                            (6, "Import"),
                            (7, "CITES"),
                            (8, "Transfer"),
                        ],
                        verbose_name="layer",
                    ),
                ),
                ("reason", models.TextField(verbose_name="not required because")),
                ("evidence", models.TextField(verbose_name="evidence")),
                ("decided_at", models.DateTimeField(blank=True, editable=False)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_reason", models.TextField(blank=True)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "decided_by",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.fieldplan",
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "stop",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.stop",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical decision about a plan",
                "verbose_name_plural": "historical decisions about plans",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalApplicationScan",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("added_at", models.DateTimeField(blank=True, editable=False)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "added_by",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "application",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.application",
                    ),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "scan",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="scans.scan",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical file of an application",
                "verbose_name_plural": "historical files of applications",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalApplicationStop",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "application",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.application",
                    ),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "stop",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.stop",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical stop of an application",
                "verbose_name_plural": "historical stops of applications",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="ApplicationStop",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "application",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="application_stops",
                        to="plans.application",
                    ),
                ),
                (
                    "stop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="application_stops", to="plans.stop"
                    ),
                ),
            ],
            options={
                "verbose_name": "stop of an application",
                "verbose_name_plural": "stops of applications",
                "ordering": ["application", "stop"],
                "constraints": [models.UniqueConstraint(fields=("application", "stop"), name="applicationstop_once")],
            },
        ),
        migrations.CreateModel(
            name="StopTarget",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                (
                    "name",
                    models.CharField(help_text="A scientific name at any rank", max_length=200, verbose_name="group"),
                ),
                ("kingdom", models.CharField(blank=True, max_length=50, verbose_name="kingdom")),
                (
                    "rank",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("kingdom", "kingdom"),
                            ("phylum", "phylum"),
                            ("class", "class"),
                            ("order", "order"),
                            ("superfamily", "superfamily"),
                            ("family", "family"),
                            ("subfamily", "subfamily"),
                            ("tribe", "tribe"),
                            ("genus", "genus"),
                            ("subgenus", "subgenus"),
                            ("species", "species"),
                            ("infraspecies", "infraspecies"),
                        ],
                        max_length=20,
                        verbose_name="rank",
                    ),
                ),
                (
                    "higher",
                    models.CharField(
                        blank=True,
                        help_text="Higher names, the highest first, separated by |",
                        max_length=500,
                        verbose_name="belongs to",
                    ),
                ),
                ("expected", models.CharField(blank=True, max_length=60, verbose_name="expected number")),
                (
                    "stop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="targets", to="plans.stop"
                    ),
                ),
            ],
            options={
                "verbose_name": "target group",
                "verbose_name_plural": "target groups",
                "ordering": ["stop", "position", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("name", ""), _negated=True),
                        name="stoptarget_named",
                        violation_error_message="Name the group.",
                    ),
                    models.CheckConstraint(
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
                        name="stoptarget_rank_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="StopTrap",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("method", models.CharField(help_text="Such as Malaise trap", max_length=100, verbose_name="trap")),
                (
                    "number",
                    models.PositiveSmallIntegerField(
                        default=1, validators=[django.core.validators.MinValueValidator(1)], verbose_name="how many"
                    ),
                ),
                ("first_on", models.DateField(blank=True, null=True, verbose_name="set on")),
                ("last_on", models.DateField(blank=True, null=True, verbose_name="emptied on")),
                (
                    "stop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="traps", to="plans.stop"
                    ),
                ),
            ],
            options={
                "verbose_name": "trap",
                "verbose_name_plural": "traps",
                "ordering": ["stop", "position", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("method", ""), _negated=True),
                        name="stoptrap_named",
                        violation_error_message="Name the kind of trap.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("first_on__isnull", True),
                            ("last_on__isnull", True),
                            ("last_on__gte", models.F("first_on")),
                            _connector="OR",
                        ),
                        name="stoptrap_period",
                        violation_error_message="The trap is emptied before it is set.",
                    ),
                    models.CheckConstraint(condition=models.Q(("number__gte", 1)), name="stoptrap_number_positive"),
                ],
            },
        ),
        migrations.CreateModel(
            name="ApplicationScan",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("added_at", models.DateTimeField(auto_now_add=True)),
                (
                    "added_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="application_scans_added",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "application",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="application_scans",
                        to="plans.application",
                    ),
                ),
                (
                    "scan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="application_scans", to="scans.scan"
                    ),
                ),
            ],
            options={
                "verbose_name": "file of an application",
                "verbose_name_plural": "files of applications",
                "ordering": ["application", "pk"],
                "constraints": [models.UniqueConstraint(fields=("application", "scan"), name="applicationscan_once")],
            },
        ),
    ]
