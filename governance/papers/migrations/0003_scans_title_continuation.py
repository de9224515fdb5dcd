import django.db.models.deletion
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("material", "0003_arrival"),
        ("papers", "0002_initial"),
        ("people", "0001_initial"),
        ("people", "__first__"),
        ("scans", "0002_words_index"),
    ]

    operations = [
        migrations.CreateModel(
            name="AcceptedOffer",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("field", models.CharField(max_length=40)),
                ("value", models.TextField()),
                ("read_from", models.TextField()),
                ("page", models.PositiveIntegerField(help_text="of the scan")),
                ("start", models.PositiveIntegerField()),
                ("accepted_at", models.DateTimeField(auto_now_add=True)),
                (
                    "accepted_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="offers_accepted",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="accepted_offers", to="papers.paper"
                    ),
                ),
                (
                    "scan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="accepted_offers", to="scans.scan"
                    ),
                ),
                (
                    "version",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="accepted_offers",
                        to="papers.paperversion",
                    ),
                ),
            ],
            options={
                "verbose_name": "value taken over from a scan",
                "verbose_name_plural": "values taken over from scans",
                "ordering": ["paper", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("field", ""), _negated=True),
                            models.Q(("value", ""), _negated=True),
                            models.Q(("read_from", ""), _negated=True),
                            ("page__gte", 1),
                        ),
                        name="acceptedoffer_whole",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalPaperContinuation",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "proof",
                    models.CharField(
                        choices=[
                            ("proven", "Continuation proven"),
                            ("not-proven", "Continuation not proven"),
                            ("not-looked", "Nobody has looked yet"),
                        ],
                        default="not-looked",
                        max_length=10,
                        verbose_name="proof",
                    ),
                ),
                ("evidence", models.TextField(blank=True, verbose_name="evidence")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "earlier",
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
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "later",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paper",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical continuation of a paper",
                "verbose_name_plural": "historical continuations of papers",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalReadingPage",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "subject",
                    models.CharField(
                        choices=[
                            ("valid", "Valid"),
                            ("places", "Places"),
                            ("taxa", "Taxa"),
                            ("methods", "Methods"),
                            ("people", "People"),
                            ("seasons", "Closed seasons"),
                            ("stages", "Sexes and life stages"),
                            ("caps", "Caps"),
                        ],
                        max_length=10,
                    ),
                ),
                ("page", models.PositiveIntegerField(verbose_name="page")),
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
                    "version",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paperversion",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical page of a reading",
                "verbose_name_plural": "historical pages of readings",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalTitleRecord",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("gift", "Deed of gift"),
                            ("bequest", "Bequest"),
                            ("purchase", "Purchase"),
                            ("exchange", "Exchange"),
                            ("transfer", "Transfer"),
                            ("deposit", "Deposit: title stays with the owner"),
                            ("field", "Taken by the institution’s own people"),
                            ("found", "Found in the collection, origin not known"),
                        ],
                        max_length=10,
                        verbose_name="kind",
                    ),
                ),
                ("dated_on", models.DateField(blank=True, null=True, verbose_name="dated")),
                ("given_by", models.CharField(blank=True, max_length=300, verbose_name="given by")),
                (
                    "right_held_by",
                    models.CharField(blank=True, max_length=300, verbose_name="the right to give was held by"),
                ),
                ("right_basis", models.TextField(blank=True, verbose_name="how that is known")),
                ("note", models.TextField(blank=True, verbose_name="note")),
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
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="material.accession",
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
                    "part",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="material.part",
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
                "verbose_name": "historical title record",
                "verbose_name_plural": "historical title records",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="PaperContinuation",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "proof",
                    models.CharField(
                        choices=[
                            ("proven", "Continuation proven"),
                            ("not-proven", "Continuation not proven"),
                            ("not-looked", "Nobody has looked yet"),
                        ],
                        default="not-looked",
                        max_length=10,
                        verbose_name="proof",
                    ),
                ),
                ("evidence", models.TextField(blank=True, verbose_name="evidence")),
                (
                    "earlier",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="continued_by", to="papers.paper"
                    ),
                ),
                (
                    "later",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="continues", to="papers.paper"
                    ),
                ),
            ],
            options={
                "verbose_name": "continuation of a paper",
                "verbose_name_plural": "continuations of papers",
                "ordering": ["earlier", "later"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("earlier", "later"),
                        name="papercontinuation_once",
                        violation_error_message="This continuation is recorded already.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("earlier", models.F("later")), _negated=True),
                        name="papercontinuation_of_another",
                        violation_error_message="A paper does not continue itself.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("proof__in", ["proven", "not-proven", "not-looked"])),
                        name="papercontinuation_proof_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("proof", "proven"), _negated=True),
                            models.Q(("evidence", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="papercontinuation_proven_by",
                        violation_error_message="Say by what the continuation is proven: letter, decision, rule.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PaperScan",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=500, verbose_name="name")),
                ("edition", models.PositiveSmallIntegerField(default=1, verbose_name="edition")),
                ("filed_at", models.DateTimeField(auto_now_add=True)),
                ("taken_off_at", models.DateTimeField(blank=True, null=True)),
                ("taken_off_why", models.CharField(blank=True, max_length=200)),
                ("first_page", models.PositiveIntegerField(blank=True, null=True, verbose_name="first page")),
                ("last_page", models.PositiveIntegerField(blank=True, null=True, verbose_name="last page")),
                (
                    "filed_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="%(class)ss_made",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="scans", to="papers.paper"
                    ),
                ),
                (
                    "replaces",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="replaced_by",
                        to="papers.paperscan",
                    ),
                ),
                (
                    "scan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="%(class)ss", to="scans.scan"
                    ),
                ),
                (
                    "taken_off_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="%(class)ss_ended",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                ("filed_why", models.CharField(blank=True, max_length=200)),
            ],
            options={
                "verbose_name": "scan of a paper",
                "verbose_name_plural": "scans of papers",
                "ordering": ["-pk"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("name", ""), _negated=True), name="paperscan_named"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("edition", 1), ("replaces__isnull", True)),
                            models.Q(("edition__gt", 1), ("replaces__isnull", False)),
                            _connector="OR",
                        ),
                        name="paperscan_edition",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("taken_off_at__isnull", True), ("taken_off_by__isnull", True)),
                            models.Q(("taken_off_at__isnull", False), ("taken_off_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="paperscan_end_whole",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("first_page__isnull", False), ("taken_off_at__isnull", True)),
                        fields=("paper", "scan", "first_page"),
                        name="paperscan_range_once",
                        violation_error_message="The paper has these pages already.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("first_page__isnull", True), ("taken_off_at__isnull", True)),
                        fields=("paper", "scan"),
                        name="paperscan_whole_once",
                        violation_error_message="The paper has this scan already.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("first_page__isnull", True), ("last_page__isnull", True)),
                            models.Q(
                                ("first_page__gte", 1),
                                ("first_page__isnull", False),
                                ("last_page__gte", models.F("first_page")),
                                ("last_page__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="paperscan_range",
                        violation_error_message="The pages run from a first to a last one that is not before it.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ReadingPage",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "subject",
                    models.CharField(
                        choices=[
                            ("valid", "Valid"),
                            ("places", "Places"),
                            ("taxa", "Taxa"),
                            ("methods", "Methods"),
                            ("people", "People"),
                            ("seasons", "Closed seasons"),
                            ("stages", "Sexes and life stages"),
                            ("caps", "Caps"),
                        ],
                        max_length=10,
                    ),
                ),
                ("page", models.PositiveIntegerField(verbose_name="page")),
                (
                    "version",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="reading_pages",
                        to="papers.paperversion",
                    ),
                ),
            ],
            options={
                "verbose_name": "page of a reading",
                "verbose_name_plural": "pages of readings",
                "ordering": ["version", "subject"],
                "constraints": [
                    models.UniqueConstraint(fields=("version", "subject"), name="readingpage_subject_once"),
                    models.CheckConstraint(condition=models.Q(("page__gte", 1)), name="readingpage_from_one"),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "subject__in",
                                ["valid", "places", "taxa", "methods", "people", "seasons", "stages", "caps"],
                            )
                        ),
                        name="readingpage_subject_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="TitleRecord",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("gift", "Deed of gift"),
                            ("bequest", "Bequest"),
                            ("purchase", "Purchase"),
                            ("exchange", "Exchange"),
                            ("transfer", "Transfer"),
                            ("deposit", "Deposit: title stays with the owner"),
                            ("field", "Taken by the institution’s own people"),
                            ("found", "Found in the collection, origin not known"),
                        ],
                        max_length=10,
                        verbose_name="kind",
                    ),
                ),
                ("dated_on", models.DateField(blank=True, null=True, verbose_name="dated")),
                ("given_by", models.CharField(blank=True, max_length=300, verbose_name="given by")),
                (
                    "right_held_by",
                    models.CharField(blank=True, max_length=300, verbose_name="the right to give was held by"),
                ),
                ("right_basis", models.TextField(blank=True, verbose_name="how that is known")),
                ("note", models.TextField(blank=True, verbose_name="note")),
                (
                    "accession",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="title_records",
                        to="material.accession",
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="title_records",
                        to="papers.paper",
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="title_records",
                        to="material.part",
                    ),
                ),
                (
                    "scan",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="title_records",
                        to="scans.scan",
                    ),
                ),
            ],
            options={
                "verbose_name": "title record",
                "verbose_name_plural": "title records",
                "ordering": ["accession", "dated_on", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "kind__in",
                                ["gift", "bequest", "purchase", "exchange", "transfer", "deposit", "field", "found"],
                            )
                        ),
                        name="titlerecord_kind_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("right_basis", ""), models.Q(("right_held_by", ""), _negated=True), _connector="OR"
                        ),
                        name="titlerecord_right_of_somebody",
                        violation_error_message="Say who held the right to give, not only how it is known.",
                    ),
                ],
            },
        ),
        migrations.RemoveConstraint(
            model_name="paper",
            name="paper_kind_known",
        ),
        migrations.RemoveConstraint(
            model_name="paperstatus",
            name="paperstatus_state_known",
        ),
        migrations.RemoveConstraint(
            model_name="paperstatus",
            name="paperstatus_ends_once",
        ),
        migrations.AddField(
            model_name="historicalpaper",
            name="restricted_to",
            field=models.PositiveSmallIntegerField(default=63),
        ),
        migrations.AddField(
            model_name="historicalpaper",
            name="restricted_why",
            field=models.CharField(blank=True, max_length=200, verbose_name="why it is restricted"),
        ),
        migrations.AddField(
            model_name="paper",
            name="restricted_to",
            field=models.PositiveSmallIntegerField(default=63),
        ),
        migrations.AddField(
            model_name="paper",
            name="restricted_why",
            field=models.CharField(blank=True, max_length=200, verbose_name="why it is restricted"),
        ),
        migrations.AlterField(
            model_name="historicalpaper",
            name="kind",
            field=models.CharField(
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
                verbose_name="kind",
            ),
        ),
        migrations.AlterField(
            model_name="historicalpaperstatus",
            name="state",
            field=models.CharField(
                choices=[
                    ("applied", "Applied for"),
                    ("refused", "Refused"),
                    ("granted", "Granted"),
                    ("suspended", "Suspended"),
                    ("revoked", "Revoked"),
                    ("withdrawn", "Consent withdrawn"),
                    ("surrendered", "Surrendered"),
                ],
                max_length=12,
                verbose_name="state",
            ),
        ),
        migrations.AlterField(
            model_name="paper",
            name="kind",
            field=models.CharField(
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
                verbose_name="kind",
            ),
        ),
        migrations.AlterField(
            model_name="paperstatus",
            name="state",
            field=models.CharField(
                choices=[
                    ("applied", "Applied for"),
                    ("refused", "Refused"),
                    ("granted", "Granted"),
                    ("suspended", "Suspended"),
                    ("revoked", "Revoked"),
                    ("withdrawn", "Consent withdrawn"),
                    ("surrendered", "Surrendered"),
                ],
                max_length=12,
                verbose_name="state",
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
                name="paper_kind_known",
                violation_error_message="Choose one of the kinds.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paper",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("restricted_to", 63), ("restricted_why", "")),
                    models.Q(("restricted_to__range", (1, 62)), models.Q(("restricted_why", ""), _negated=True)),
                    _connector="OR",
                ),
                name="paper_restricted_for_a_reason",
                violation_error_message="Say why the paper is open to some roles only.",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperstatus",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("state__in", ["applied", "refused", "granted", "suspended", "revoked", "withdrawn", "surrendered"])
                ),
                name="paperstatus_state_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperstatus",
            constraint=models.UniqueConstraint(
                condition=models.Q(("state__in", ["revoked", "withdrawn", "surrendered"])),
                fields=("paper",),
                name="paperstatus_ends_once",
                violation_error_message="The paper was already revoked, withdrawn or surrendered.",
            ),
        ),
    ]
