import django.db.models.deletion
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("material", "0003_arrival"),
        ("people", "__first__"),
        ("sites", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="HistoricalScan",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("sha256", models.CharField(db_index=True, max_length=64)),
                ("size_bytes", models.BigIntegerField()),
                ("media_type", models.CharField(max_length=100)),
                ("stored_name", models.CharField(db_index=True, max_length=100)),
                ("original_name", models.CharField(max_length=500, verbose_name="name")),
                ("page_count", models.PositiveIntegerField(null=True, verbose_name="pages")),
                ("has_scripts", models.BooleanField(default=False)),
                ("remarks", models.JSONField(default=list, help_text="what the check noted, in sentences")),
                (
                    "text_state",
                    models.CharField(
                        choices=[
                            ("waiting", "Waiting to be read"),
                            ("read", "Read"),
                            ("without", "Holds no words that could be read"),
                            ("no-reader", "A picture, and no text recognition is installed"),
                            ("failed", "Could not be read"),
                        ],
                        default="waiting",
                        max_length=10,
                    ),
                ),
                ("text_note", models.CharField(blank=True, max_length=300)),
                ("restricted_to", models.PositiveSmallIntegerField(default=63)),
                ("papers_restricted_to", models.PositiveSmallIntegerField(default=63)),
                ("received_at", models.DateTimeField(blank=True, editable=False)),
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
                    "received_by",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "historical scan",
                "verbose_name_plural": "historical scans",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="Scan",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("sha256", models.CharField(max_length=64, unique=True)),
                ("size_bytes", models.BigIntegerField()),
                ("media_type", models.CharField(max_length=100)),
                ("stored_name", models.CharField(max_length=100, unique=True)),
                ("original_name", models.CharField(max_length=500, verbose_name="name")),
                ("page_count", models.PositiveIntegerField(null=True, verbose_name="pages")),
                ("has_scripts", models.BooleanField(default=False)),
                ("remarks", models.JSONField(default=list, help_text="what the check noted, in sentences")),
                (
                    "text_state",
                    models.CharField(
                        choices=[
                            ("waiting", "Waiting to be read"),
                            ("read", "Read"),
                            ("without", "Holds no words that could be read"),
                            ("no-reader", "A picture, and no text recognition is installed"),
                            ("failed", "Could not be read"),
                        ],
                        default="waiting",
                        max_length=10,
                    ),
                ),
                ("text_note", models.CharField(blank=True, max_length=300)),
                ("restricted_to", models.PositiveSmallIntegerField(default=63)),
                ("papers_restricted_to", models.PositiveSmallIntegerField(default=63)),
                ("received_at", models.DateTimeField(auto_now_add=True)),
                (
                    "received_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="scans_received",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "scan",
                "verbose_name_plural": "scans",
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("sha256__regex", "^[0-9a-f]{64}$")), name="scan_hash_form"
                    ),
                    models.CheckConstraint(condition=models.Q(("size_bytes__gt", 0)), name="scan_not_empty"),
                    models.CheckConstraint(
                        condition=models.Q(("page_count__isnull", True), ("page_count__gte", 1), _connector="OR"),
                        name="scan_has_pages",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("stored_name", ""), _negated=True),
                            models.Q(("original_name", ""), _negated=True),
                            models.Q(("media_type", ""), _negated=True),
                        ),
                        name="scan_named",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("text_state__in", ["waiting", "read", "without", "no-reader", "failed"])),
                        name="scan_text_state_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("papers_restricted_to__range", (0, 63)), ("restricted_to__range", (1, 63))),
                        name="scan_open_to_somebody",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalScanMark",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("illegible", "Illegible"),
                            ("incomplete", "Incomplete"),
                            ("translation", "Translation of"),
                            ("superseded", "Superseded by"),
                        ],
                        max_length=12,
                        verbose_name="mark",
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300, verbose_name="note")),
                ("marked_at", models.DateTimeField(blank=True, editable=False)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
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
                    "marked_by",
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
                    "other",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="scans.scan",
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
                "verbose_name": "historical mark of a scan",
                "verbose_name_plural": "historical marks of scans",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="Filing",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=500, verbose_name="name")),
                ("edition", models.PositiveSmallIntegerField(default=1, verbose_name="edition")),
                ("filed_at", models.DateTimeField(auto_now_add=True)),
                ("taken_off_at", models.DateTimeField(blank=True, null=True)),
                ("taken_off_why", models.CharField(blank=True, max_length=200)),
                (
                    "filed_as",
                    models.CharField(
                        choices=[
                            ("permit", "Permit, consent or licence"),
                            ("title", "Deed or other document of title"),
                            ("declaration", "Declaration for customs or an authority"),
                            ("letter", "Letter or mail"),
                            ("field-notes", "Field notes"),
                            ("labels", "Photograph of labels"),
                            ("receipt", "Receipt, or proof that something was sent"),
                            ("other", "Other"),
                            ("unsorted", "Not sorted yet"),
                        ],
                        default="unsorted",
                        max_length=12,
                        verbose_name="what it is",
                    ),
                ),
                (
                    "accession",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="filings",
                        to="material.accession",
                    ),
                ),
                (
                    "filed_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="%(class)ss_made",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "replaces",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="replaced_by",
                        to="scans.filing",
                    ),
                ),
                (
                    "site",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="filings",
                        to="sites.site",
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
                (
                    "scan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="%(class)ss", to="scans.scan"
                    ),
                ),
                ("filed_why", models.CharField(blank=True, max_length=200)),
            ],
            options={
                "verbose_name": "filing",
                "verbose_name_plural": "filings",
                "ordering": ["-pk"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("accession__isnull", False), ("site__isnull", True)),
                            models.Q(("accession__isnull", True), ("site__isnull", False)),
                            _connector="OR",
                        ),
                        name="filing_one_target",
                        violation_error_message="A scan is filed with one accession or one site.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "filed_as__in",
                                [
                                    "permit",
                                    "title",
                                    "declaration",
                                    "letter",
                                    "field-notes",
                                    "labels",
                                    "receipt",
                                    "other",
                                    "unsorted",
                                ],
                            )
                        ),
                        name="filing_filed_as_known",
                    ),
                    models.CheckConstraint(condition=models.Q(("name", ""), _negated=True), name="filing_named"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("edition", 1), ("replaces__isnull", True)),
                            models.Q(("edition__gt", 1), ("replaces__isnull", False)),
                            _connector="OR",
                        ),
                        name="filing_edition",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("taken_off_at__isnull", True), ("taken_off_by__isnull", True)),
                            models.Q(("taken_off_at__isnull", False), ("taken_off_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="filing_end_whole",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("taken_off_at__isnull", True)),
                        fields=("scan", "accession"),
                        name="filing_accession_once",
                        violation_error_message="The scan is filed there already.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("taken_off_at__isnull", True)),
                        fields=("scan", "site"),
                        name="filing_site_once",
                        violation_error_message="The scan is filed there already.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ScanMark",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("illegible", "Illegible"),
                            ("incomplete", "Incomplete"),
                            ("translation", "Translation of"),
                            ("superseded", "Superseded by"),
                        ],
                        max_length=12,
                        verbose_name="mark",
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300, verbose_name="note")),
                ("marked_at", models.DateTimeField(auto_now_add=True)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                (
                    "marked_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="scans_marked",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "other",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="marks_of_others",
                        to="scans.scan",
                    ),
                ),
                (
                    "scan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="marks", to="scans.scan"
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="scan_marks_withdrawn",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "mark of a scan",
                "verbose_name_plural": "marks of scans",
                "ordering": ["scan", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind__in", ["illegible", "incomplete"]), ("other__isnull", True)),
                            ("kind", "superseded"),
                            models.Q(("kind", "translation"), ("other__isnull", False)),
                            _connector="OR",
                        ),
                        name="scanmark_of_what",
                        violation_error_message="A translation names the scan that it translates.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("other__isnull", True),
                            models.Q(("other", models.F("scan")), _negated=True),
                            _connector="OR",
                        ),
                        name="scanmark_not_of_itself",
                        violation_error_message="A scan cannot be a translation of itself or supersede itself.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at__isnull", True), ("withdrawn_by__isnull", True)),
                            models.Q(("withdrawn_at__isnull", False), ("withdrawn_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="scanmark_withdrawal_whole",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("withdrawn_at__isnull", True)),
                        fields=("scan", "kind"),
                        name="scanmark_stands_once",
                        violation_error_message="The scan has this mark already.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ScanPage",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.PositiveIntegerField()),
                ("text", models.TextField(blank=True)),
                ("folded", models.TextField(blank=True)),
                ("words", models.JSONField(default=list)),
                (
                    "source",
                    models.CharField(
                        blank=True,
                        choices=[("file", "text of the file"), ("recognised", "recognised in the picture")],
                        max_length=10,
                    ),
                ),
                ("printed_page", models.PositiveIntegerField(null=True)),
                ("printed_of", models.PositiveIntegerField(null=True)),
                (
                    "scan",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="pages", to="scans.scan"
                    ),
                ),
            ],
            options={
                "verbose_name": "page of a scan",
                "verbose_name_plural": "pages of scans",
                "ordering": ["scan", "number"],
                "constraints": [
                    models.UniqueConstraint(fields=("scan", "number"), name="scanpage_number_once"),
                    models.CheckConstraint(condition=models.Q(("number__gte", 1)), name="scanpage_from_one"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("printed_of__isnull", True), ("printed_page__isnull", True)),
                            models.Q(
                                ("printed_of__gte", models.F("printed_page")),
                                ("printed_of__isnull", False),
                                ("printed_page__gte", 1),
                                ("printed_page__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="scanpage_printed_within",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Upload",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("token", models.CharField(max_length=32, unique=True)),
                ("name", models.CharField(max_length=500)),
                ("size_bytes", models.BigIntegerField()),
                ("received_bytes", models.BigIntegerField(default=0)),
                ("started_at", models.DateTimeField(auto_now_add=True)),
                ("was_known", models.BooleanField(default=False)),
                ("problem", models.CharField(blank=True, max_length=500)),
                (
                    "scan",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="uploads",
                        to="scans.scan",
                    ),
                ),
                (
                    "started_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="uploads", to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "verbose_name": "upload",
                "verbose_name_plural": "uploads",
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("token__regex", "^[0-9a-f]{32}$")), name="upload_token_form"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("received_bytes__gte", 0), ("received_bytes__lte", models.F("size_bytes"))),
                        name="upload_not_beyond_end",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("scan__isnull", True),
                            models.Q(("problem", ""), ("received_bytes", models.F("size_bytes"))),
                            _connector="OR",
                        ),
                        name="upload_scan_only_if_whole",
                    ),
                ],
            },
        ),
    ]
