import django.db.models.deletion
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("duties", "0001_initial"),
        ("material", "0004_pool_member"),
        ("papers", "0005_terms_of_use"),
        ("people", "0001_initial"),
        ("people", "__first__"),
        ("scans", "0002_words_index"),
    ]

    operations = [
        migrations.CreateModel(
            name="HistoricalShareLink",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("name", models.CharField(max_length=300, verbose_name="for whom")),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="country")),
                (
                    "language",
                    models.CharField(
                        choices=[("en", "English"), ("es", "Español"), ("fr", "Français"), ("pt", "Português")],
                        default="en",
                        max_length=5,
                        verbose_name="language",
                    ),
                ),
                ("greeting", models.TextField(blank=True, verbose_name="words at the top")),
                (
                    "shows_material",
                    models.BooleanField(default=True, verbose_name="shows the material and what became of it"),
                ),
                ("takes_messages", models.BooleanField(default=True, verbose_name="lets them leave a message")),
                ("open_until", models.DateField(verbose_name="open until")),
                ("made_at", models.DateTimeField(blank=True, editable=False)),
                ("revoked_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("revoked_why", models.CharField(blank=True, editable=False, max_length=200)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "agent",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="people.agent",
                        verbose_name="landowner",
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
                    "made_by",
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
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paper",
                        verbose_name="paper",
                    ),
                ),
                (
                    "revoked_by",
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
            ],
            options={
                "verbose_name": "historical shared page",
                "verbose_name_plural": "historical shared pages",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="Report",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("reference", models.CharField(max_length=60, unique=True, verbose_name="report number")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("provider", "Compliance report to a provider country"),
                            ("benefits", "Annual report on benefits"),
                            ("agency", "Return to the authority of a permit"),
                            ("landowner", "Report to a landowner"),
                            ("diligence", "Due-diligence sheet"),
                            ("certificate", "Check of a certificate of compliance"),
                        ],
                        max_length=12,
                        verbose_name="kind",
                    ),
                ),
                (
                    "title",
                    models.CharField(
                        blank=True, help_text="Blank: as its kind and subject say", max_length=300, verbose_name="title"
                    ),
                ),
                (
                    "language",
                    models.CharField(
                        choices=[("en", "English"), ("es", "Español"), ("fr", "Français"), ("pt", "Português")],
                        default="en",
                        max_length=5,
                        verbose_name="language",
                    ),
                ),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="country")),
                ("period_from", models.DateField(blank=True, null=True, verbose_name="period from")),
                ("period_to", models.DateField(blank=True, null=True, verbose_name="to")),
                ("addressee", models.TextField(blank=True, verbose_name="addressed to")),
                ("left_out", models.JSONField(blank=True, default=list, verbose_name="parts left out")),
                ("texts", models.JSONField(blank=True, default=dict, verbose_name="what people wrote")),
                ("contents", models.JSONField(blank=True, editable=False, null=True)),
                ("composed_at", models.DateTimeField(blank=True, editable=False, null=True)),
                (
                    "work",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "At rest"),
                            ("waiting", "Waiting"),
                            ("running", "Running"),
                            ("failed", "Stopped by an error"),
                        ],
                        default="",
                        editable=False,
                        max_length=8,
                    ),
                ),
                ("work_step", models.CharField(blank=True, editable=False, max_length=200)),
                ("work_done", models.PositiveIntegerField(default=0, editable=False, help_text="rows so far")),
                ("work_total", models.PositiveIntegerField(default=0, editable=False)),
                ("work_mark", models.CharField(blank=True, editable=False, max_length=32)),
                (
                    "work_sign",
                    models.DateTimeField(blank=True, editable=False, help_text="newest sign of life", null=True),
                ),
                ("changed", models.JSONField(blank=True, editable=False, null=True)),
                ("issued_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("digest", models.CharField(blank=True, editable=False, max_length=64)),
                ("withdrawn_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("withdrawn_why", models.CharField(blank=True, editable=False, max_length=300)),
                (
                    "accession",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reports",
                        to="material.accession",
                        verbose_name="accession",
                    ),
                ),
                (
                    "agent",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reports",
                        to="people.agent",
                        verbose_name="landowner",
                    ),
                ),
                (
                    "composed_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reports_composed",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "corrects",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="corrected_by",
                        to="reports.report",
                        verbose_name="corrects",
                    ),
                ),
                (
                    "duty",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reports",
                        to="duties.duty",
                        verbose_name="duty it answers",
                    ),
                ),
                (
                    "issued_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reports_issued",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reports",
                        to="papers.paper",
                        verbose_name="paper",
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reports_withdrawn",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "report",
                "verbose_name_plural": "reports",
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("reference", ""), _negated=True), name="report_numbered"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind__in", ["provider", "benefits", "agency", "landowner", "diligence", "certificate"]),
                            ("language__in", ["en", "es", "fr", "pt"]),
                            ("work__in", ["", "waiting", "running", "failed"]),
                        ),
                        name="report_words_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("country", ""), ("country__regex", "^[A-Z]{2}$"), _connector="OR"),
                        name="report_country_form",
                        violation_error_message="A country is two capital letters (ISO 3166-1).",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("kind__in", ["provider", "benefits"]),
                                models.Q(
                                    models.Q(("country", ""), _negated=True), ("paper__isnull", False), _connector="OR"
                                ),
                            ),
                            models.Q(("kind__in", ["agency", "certificate"]), ("paper__isnull", False)),
                            models.Q(("agent__isnull", False), ("kind", "landowner")),
                            models.Q(
                                ("kind", "diligence"),
                                models.Q(("paper__isnull", False), ("accession__isnull", False), _connector="OR"),
                            ),
                            _connector="OR",
                        ),
                        name="report_about_something",
                        violation_error_message="Say what it is about: the country, the paper, the landowner or accession.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("period_from__isnull", True),
                            ("period_to__isnull", True),
                            ("period_to__gte", models.F("period_from")),
                            _connector="OR",
                        ),
                        name="report_period",
                        violation_error_message="The last day is before the first day.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("composed_at__isnull", True), ("composed_by__isnull", True), ("contents__isnull", True)
                            ),
                            models.Q(
                                ("composed_at__isnull", False),
                                ("composed_by__isnull", False),
                                ("contents__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="report_composed_by",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("digest", ""), ("issued_at__isnull", True), ("issued_by__isnull", True)),
                            models.Q(
                                ("contents__isnull", False),
                                ("issued_at__isnull", False),
                                ("issued_by__isnull", False),
                                models.Q(("digest", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="report_issued_whole",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("withdrawn_at__isnull", True), ("withdrawn_by__isnull", True), ("withdrawn_why", "")
                            ),
                            models.Q(
                                ("issued_at__isnull", False),
                                ("withdrawn_at__isnull", False),
                                ("withdrawn_by__isnull", False),
                                models.Q(("withdrawn_why", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="report_withdrawn_for_a_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("corrects__isnull", True),
                            models.Q(("corrects", models.F("id")), _negated=True),
                            _connector="OR",
                        ),
                        name="report_corrects_another",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalReportSending",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("sent_on", models.DateField(verbose_name="sent on")),
                ("to_whom", models.CharField(max_length=300, verbose_name="to whom")),
                (
                    "how",
                    models.CharField(
                        help_text="Such as registered mail, e-mail, their portal", max_length=200, verbose_name="how"
                    ),
                ),
                (
                    "proof",
                    models.TextField(
                        help_text="Such as the number of the receipt, and where it is kept", verbose_name="proof"
                    ),
                ),
                ("recorded_at", models.DateTimeField(blank=True, editable=False)),
                ("voided_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("voided_why", models.CharField(blank=True, editable=False, max_length=200)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "duty",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="duties.duty",
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
                    "recorded_by",
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
                (
                    "voided_by",
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
                    "report",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="reports.report",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical sending of a report",
                "verbose_name_plural": "historical sendings of reports",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalReport",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("reference", models.CharField(db_index=True, max_length=60, verbose_name="report number")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("provider", "Compliance report to a provider country"),
                            ("benefits", "Annual report on benefits"),
                            ("agency", "Return to the authority of a permit"),
                            ("landowner", "Report to a landowner"),
                            ("diligence", "Due-diligence sheet"),
                            ("certificate", "Check of a certificate of compliance"),
                        ],
                        max_length=12,
                        verbose_name="kind",
                    ),
                ),
                (
                    "title",
                    models.CharField(
                        blank=True, help_text="Blank: as its kind and subject say", max_length=300, verbose_name="title"
                    ),
                ),
                (
                    "language",
                    models.CharField(
                        choices=[("en", "English"), ("es", "Español"), ("fr", "Français"), ("pt", "Português")],
                        default="en",
                        max_length=5,
                        verbose_name="language",
                    ),
                ),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="country")),
                ("period_from", models.DateField(blank=True, null=True, verbose_name="period from")),
                ("period_to", models.DateField(blank=True, null=True, verbose_name="to")),
                ("addressee", models.TextField(blank=True, verbose_name="addressed to")),
                ("left_out", models.JSONField(blank=True, default=list, verbose_name="parts left out")),
                ("texts", models.JSONField(blank=True, default=dict, verbose_name="what people wrote")),
                ("composed_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("issued_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("digest", models.CharField(blank=True, editable=False, max_length=64)),
                ("withdrawn_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("withdrawn_why", models.CharField(blank=True, editable=False, max_length=300)),
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
                        verbose_name="accession",
                    ),
                ),
                (
                    "agent",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="people.agent",
                        verbose_name="landowner",
                    ),
                ),
                (
                    "composed_by",
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
                    "duty",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="duties.duty",
                        verbose_name="duty it answers",
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
                    "issued_by",
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
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paper",
                        verbose_name="paper",
                    ),
                ),
                (
                    "withdrawn_by",
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
                    "corrects",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="reports.report",
                        verbose_name="corrects",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical report",
                "verbose_name_plural": "historical reports",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="ReportFile",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "format",
                    models.CharField(choices=[("docx", "Document (DOCX)"), ("xlsx", "Workbook (XLSX)")], max_length=4),
                ),
                ("name", models.CharField(max_length=200)),
                ("data", models.BinaryField()),
                ("size_bytes", models.PositiveBigIntegerField()),
                ("sha256", models.CharField(max_length=64)),
                (
                    "report",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="files", to="reports.report"
                    ),
                ),
            ],
            options={
                "verbose_name": "file of a report",
                "verbose_name_plural": "files of reports",
                "ordering": ["report", "format"],
                "constraints": [
                    models.UniqueConstraint(fields=("report", "format"), name="reportfile_one_of_a_format"),
                    models.CheckConstraint(
                        condition=models.Q(("format__in", ["docx", "xlsx"])), name="reportfile_format_known"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ReportSending",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("sent_on", models.DateField(verbose_name="sent on")),
                ("to_whom", models.CharField(max_length=300, verbose_name="to whom")),
                (
                    "how",
                    models.CharField(
                        help_text="Such as registered mail, e-mail, their portal", max_length=200, verbose_name="how"
                    ),
                ),
                (
                    "proof",
                    models.TextField(
                        help_text="Such as the number of the receipt, and where it is kept", verbose_name="proof"
                    ),
                ),
                ("recorded_at", models.DateTimeField(auto_now_add=True)),
                ("voided_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("voided_why", models.CharField(blank=True, editable=False, max_length=200)),
                (
                    "duty",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sendings",
                        to="duties.duty",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reports_sent",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "report",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="sendings", to="reports.report"
                    ),
                ),
                (
                    "scan",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="report_sendings",
                        to="scans.scan",
                    ),
                ),
                (
                    "voided_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="report_sendings_voided",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "sending of a report",
                "verbose_name_plural": "sendings of reports",
                "ordering": ["report", "sent_on", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("to_whom", ""), _negated=True),
                            models.Q(("how", ""), _negated=True),
                            models.Q(("proof", ""), _negated=True),
                        ),
                        name="reportsending_proved",
                        violation_error_message="Say to whom and how it was sent, and what proves it.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("voided_at__isnull", True), ("voided_by__isnull", True), ("voided_why", "")),
                            models.Q(
                                ("voided_at__isnull", False),
                                ("voided_by__isnull", False),
                                models.Q(("voided_why", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="reportsending_voided_for_a_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ReportTable",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("key", models.CharField(max_length=40)),
                ("batch", models.CharField(blank=True, default="", max_length=32)),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("columns", models.JSONField(default=list)),
                ("row_count", models.PositiveIntegerField(default=0)),
                ("sha256", models.CharField(help_text="of the rows as JSON lines", max_length=64)),
                (
                    "report",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="tables", to="reports.report"
                    ),
                ),
            ],
            options={
                "verbose_name": "table of a report",
                "verbose_name_plural": "tables of reports",
                "ordering": ["report", "position"],
                "constraints": [models.UniqueConstraint(fields=("report", "key", "batch"), name="reporttable_once")],
            },
        ),
        migrations.CreateModel(
            name="ReportChunk",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.PositiveIntegerField()),
                ("data", models.BinaryField()),
                (
                    "table",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="chunks", to="reports.reporttable"
                    ),
                ),
            ],
            options={
                "verbose_name": "rows of a report",
                "verbose_name_plural": "rows of reports",
                "ordering": ["table", "number"],
                "constraints": [models.UniqueConstraint(fields=("table", "number"), name="reportchunk_once")],
            },
        ),
        migrations.CreateModel(
            name="ShareLink",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=300, verbose_name="for whom")),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="country")),
                (
                    "language",
                    models.CharField(
                        choices=[("en", "English"), ("es", "Español"), ("fr", "Français"), ("pt", "Português")],
                        default="en",
                        max_length=5,
                        verbose_name="language",
                    ),
                ),
                ("greeting", models.TextField(blank=True, verbose_name="words at the top")),
                (
                    "shows_material",
                    models.BooleanField(default=True, verbose_name="shows the material and what became of it"),
                ),
                ("takes_messages", models.BooleanField(default=True, verbose_name="lets them leave a message")),
                ("secret_sha256", models.CharField(editable=False, max_length=64, unique=True)),
                ("open_until", models.DateField(verbose_name="open until")),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                ("revoked_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("revoked_why", models.CharField(blank=True, editable=False, max_length=200)),
                (
                    "agent",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="share_links",
                        to="people.agent",
                        verbose_name="landowner",
                    ),
                ),
                (
                    "made_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="share_links_made",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="share_links",
                        to="papers.paper",
                        verbose_name="paper",
                    ),
                ),
                (
                    "revoked_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="share_links_revoked",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "shared page",
                "verbose_name_plural": "shared pages",
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("name", ""), _negated=True),
                        name="sharelink_named",
                        violation_error_message="Say for whom it is.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                models.Q(("country", ""), _negated=True),
                                ("agent__isnull", True),
                                ("paper__isnull", True),
                            ),
                            models.Q(("agent__isnull", True), ("country", ""), ("paper__isnull", False)),
                            models.Q(("agent__isnull", False), ("country", ""), ("paper__isnull", True)),
                            _connector="OR",
                        ),
                        name="sharelink_about_one",
                        violation_error_message="It is about a country, a paper or a landowner: one of them.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("country", ""), ("country__regex", "^[A-Z]{2}$"), _connector="OR"),
                        name="sharelink_country_form",
                        violation_error_message="A country is two capital letters (ISO 3166-1).",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("language__in", ["en", "es", "fr", "pt"])), name="sharelink_language_known"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("revoked_at__isnull", True), ("revoked_by__isnull", True), ("revoked_why", "")),
                            models.Q(
                                ("revoked_at__isnull", False),
                                ("revoked_by__isnull", False),
                                models.Q(("revoked_why", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="sharelink_revoked_for_a_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalShareReport",
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
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "report",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="reports.report",
                    ),
                ),
                (
                    "link",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="reports.sharelink",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical report of a shared page",
                "verbose_name_plural": "historical reports of shared pages",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalShareMessage",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("received_at", models.DateTimeField(blank=True, editable=False)),
                ("name", models.CharField(max_length=200, verbose_name="your name")),
                ("contact", models.CharField(blank=True, max_length=300, verbose_name="how to reach you")),
                ("text", models.TextField(verbose_name="message")),
                ("read_at", models.DateTimeField(blank=True, editable=False, null=True)),
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
                    "read_by",
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
                    "link",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="reports.sharelink",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical message from a shared page",
                "verbose_name_plural": "historical messages from shared pages",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="ShareMessage",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("received_at", models.DateTimeField(auto_now_add=True)),
                ("name", models.CharField(max_length=200, verbose_name="your name")),
                ("contact", models.CharField(blank=True, max_length=300, verbose_name="how to reach you")),
                ("text", models.TextField(verbose_name="message")),
                ("read_at", models.DateTimeField(blank=True, editable=False, null=True)),
                (
                    "link",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="messages", to="reports.sharelink"
                    ),
                ),
                (
                    "read_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="share_messages_read",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "message from a shared page",
                "verbose_name_plural": "messages from shared pages",
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("name", ""), _negated=True), models.Q(("text", ""), _negated=True)
                        ),
                        name="sharemessage_whole",
                        violation_error_message="Give your name and a message.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("read_at__isnull", True), ("read_by__isnull", True)),
                            models.Q(("read_at__isnull", False), ("read_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="sharemessage_read_by",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ShareReport",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "link",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="shared_reports",
                        to="reports.sharelink",
                    ),
                ),
                (
                    "report",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="shared_by", to="reports.report"
                    ),
                ),
            ],
            options={
                "verbose_name": "report of a shared page",
                "verbose_name_plural": "reports of shared pages",
                "ordering": ["link", "-report"],
                "constraints": [models.UniqueConstraint(fields=("link", "report"), name="sharereport_once")],
            },
        ),
        migrations.CreateModel(
            name="ShareVisit",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("at", models.DateTimeField(auto_now_add=True)),
                (
                    "what",
                    models.CharField(
                        choices=[("page", "Opened"), ("file", "File taken"), ("refused", "Refused")], max_length=7
                    ),
                ),
                ("format", models.CharField(blank=True, max_length=4)),
                (
                    "link",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="visits", to="reports.sharelink"
                    ),
                ),
                (
                    "report",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="visits",
                        to="reports.report",
                    ),
                ),
            ],
            options={
                "verbose_name": "visit to a shared page",
                "verbose_name_plural": "visits to shared pages",
                "ordering": ["-at", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("what__in", ["page", "file", "refused"])), name="sharevisit_known"
                    )
                ],
            },
        ),
    ]
