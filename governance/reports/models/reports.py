"""A report from draft to issued: what it is about, its rows, its files, and how it was sent."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.material.models import Accession
from accessions.people.models import Agent
from governance.duties.models import Duty
from governance.papers.models import Paper
from governance.scans.models import Scan


class ReportKind(models.TextChoices):
    """What a report is for."""

    PROVIDER = "provider", _("Compliance report to a provider country")
    BENEFITS = "benefits", _("Annual report on benefits")
    AGENCY = "agency", _("Return to the authority of a permit")
    LANDOWNER = "landowner", _("Report to a landowner")
    DILIGENCE = "diligence", _("Due-diligence sheet")
    CERTIFICATE = "certificate", _("Check of a certificate of compliance")


class ReportLanguage(models.TextChoices):
    """Languages of which there is a file of words, as they call themselves."""

    EN = "en", "English"
    ES = "es", "Español"
    FR = "fr", "Français"
    PT = "pt", "Português"


class Report(models.Model):
    """One report. A draft until issued; what was issued is never changed: a corrected one follows it (``corrects``).

    country, paper, agent, accession: what it is about, by kind. left_out: keys of parts that are left out. texts: what
    people wrote, by key. contents: all but the rows, as ``contents.as_json`` writes it; null: not composed yet.
    digest: SHA-256 over contents and the digests of the tables, of issued ones.
    work: how far composing or issuing in the background is. work_mark: of the work that may put its rows in force.
    changed: what the newest work found that differs from what stood here before it.
    """

    class Work(models.TextChoices):
        NONE = "", _("At rest")
        WAITING = "waiting", _("Waiting")
        RUNNING = "running", _("Running")
        FAILED = "failed", _("Stopped by an error")

    reference = models.CharField(_("report number"), max_length=60, unique=True)
    kind = models.CharField(_("kind"), max_length=12, choices=ReportKind)
    title = models.CharField(_("title"), max_length=300, blank=True, help_text=_("Blank: as its kind and subject say"))
    language = models.CharField(_("language"), max_length=5, choices=ReportLanguage, default=ReportLanguage.EN)
    country = models.CharField(_("country"), max_length=2, blank=True)
    paper = models.ForeignKey(
        Paper, on_delete=models.PROTECT, null=True, blank=True, related_name="reports", verbose_name=_("paper")
    )
    agent = models.ForeignKey(
        Agent, on_delete=models.PROTECT, null=True, blank=True, related_name="reports", verbose_name=_("landowner")
    )
    accession = models.ForeignKey(
        Accession, on_delete=models.PROTECT, null=True, blank=True, related_name="reports", verbose_name=_("accession")
    )
    period_from = models.DateField(_("period from"), null=True, blank=True)
    period_to = models.DateField(_("to"), null=True, blank=True)
    addressee = models.TextField(_("addressed to"), blank=True)
    left_out = models.JSONField(_("parts left out"), default=list, blank=True)
    texts = models.JSONField(_("what people wrote"), default=dict, blank=True)
    duty = models.ForeignKey(
        Duty, on_delete=models.PROTECT, null=True, blank=True, related_name="reports", verbose_name=_("duty it answers")
    )
    corrects = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrected_by",
        verbose_name=_("corrects"),
    )  # fmt: skip
    contents = models.JSONField(null=True, blank=True, editable=False)
    composed_at = models.DateTimeField(null=True, blank=True, editable=False)
    composed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="reports_composed",
    )  # fmt: skip
    work = models.CharField(max_length=8, choices=Work, default="", blank=True, editable=False)
    work_step = models.CharField(max_length=200, blank=True, editable=False)
    work_done = models.PositiveIntegerField(default=0, editable=False, help_text=_("rows so far"))
    work_total = models.PositiveIntegerField(default=0, editable=False)
    work_mark = models.CharField(max_length=32, blank=True, editable=False)
    work_sign = models.DateTimeField(null=True, blank=True, editable=False, help_text=_("newest sign of life"))
    changed = models.JSONField(null=True, blank=True, editable=False)
    issued_at = models.DateTimeField(null=True, blank=True, editable=False)
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="reports_issued",
    )  # fmt: skip
    digest = models.CharField(max_length=64, blank=True, editable=False)
    withdrawn_at = models.DateTimeField(null=True, blank=True, editable=False)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="reports_withdrawn",
    )  # fmt: skip
    withdrawn_why = models.CharField(max_length=300, blank=True, editable=False)

    history = HistoricalRecords(excluded_fields=[
        "contents", "work", "work_step", "work_done", "work_total", "work_mark", "work_sign", "changed",
    ])  # fmt: skip

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("report")
        verbose_name_plural = _("reports")
        constraints = [
            models.CheckConstraint(condition=~Q(reference=""), name="report_numbered"),
            models.CheckConstraint(
                condition=Q(kind__in=["provider", "benefits", "agency", "landowner", "diligence", "certificate"],
                            language__in=["en", "es", "fr", "pt"], work__in=["", "waiting", "running", "failed"]),
                name="report_words_known",
            ),
            models.CheckConstraint(
                condition=Q(country="") | Q(country__regex=r"^[A-Z]{2}$"),
                name="report_country_form",
                violation_error_message=_("A country is two capital letters (ISO 3166-1)."),
            ),
            models.CheckConstraint(
                condition=(Q(kind__in=["provider", "benefits"]) & (~Q(country="") | Q(paper__isnull=False)))
                | Q(kind__in=["agency", "certificate"], paper__isnull=False)
                | Q(kind="landowner", agent__isnull=False)
                | (Q(kind="diligence") & (Q(paper__isnull=False) | Q(accession__isnull=False))),
                name="report_about_something",
                violation_error_message=_("Say what it is about: the country, the paper, the landowner or accession."),
            ),
            models.CheckConstraint(
                condition=Q(period_from__isnull=True) | Q(period_to__isnull=True)
                | Q(period_to__gte=F("period_from")),
                name="report_period",
                violation_error_message=_("The last day is before the first day."),
            ),
            models.CheckConstraint(
                condition=Q(contents__isnull=True, composed_at__isnull=True, composed_by__isnull=True)
                | Q(contents__isnull=False, composed_at__isnull=False, composed_by__isnull=False),
                name="report_composed_by",
            ),
            models.CheckConstraint(
                condition=Q(issued_at__isnull=True, issued_by__isnull=True, digest="")
                | (Q(issued_at__isnull=False, issued_by__isnull=False, contents__isnull=False) & ~Q(digest="")),
                name="report_issued_whole",
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True, withdrawn_why="")
                | (Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False, issued_at__isnull=False)
                   & ~Q(withdrawn_why="")),
                name="report_withdrawn_for_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(corrects__isnull=True) | ~Q(corrects=F("id")), name="report_corrects_another"
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return self.reference


class ReportTable(models.Model):
    """A table behind the figures of a report: of a draft as last composed, of an issued one for good. batch: "" in
    force; else the mark of the work that writes it."""

    report = models.ForeignKey(Report, on_delete=models.CASCADE, related_name="tables")
    key = models.CharField(max_length=40)
    batch = models.CharField(max_length=32, blank=True, default="")
    position = models.PositiveSmallIntegerField(default=0)
    columns = models.JSONField(default=list)
    row_count = models.PositiveIntegerField(default=0)
    sha256 = models.CharField(max_length=64, help_text=_("of the rows as JSON lines"))

    class Meta:
        ordering = ["report", "position"]
        verbose_name = _("table of a report")
        verbose_name_plural = _("tables of reports")
        constraints = [models.UniqueConstraint(fields=["report", "key", "batch"], name="reporttable_once")]


class ReportChunk(models.Model):
    """Some rows of a table: JSON lines, gzip."""

    table = models.ForeignKey(ReportTable, on_delete=models.CASCADE, related_name="chunks")
    number = models.PositiveIntegerField()
    data = models.BinaryField()

    class Meta:
        ordering = ["table", "number"]
        verbose_name = _("rows of a report")
        verbose_name_plural = _("rows of reports")
        constraints = [models.UniqueConstraint(fields=["table", "number"], name="reportchunk_once")]


class ReportFile(models.Model):
    """A file of an issued report, as it was issued."""

    class Format(models.TextChoices):
        DOCX = "docx", _("Document (DOCX)")
        XLSX = "xlsx", _("Workbook (XLSX)")

    report = models.ForeignKey(Report, on_delete=models.CASCADE, related_name="files")
    format = models.CharField(max_length=4, choices=Format)
    name = models.CharField(max_length=200)
    data = models.BinaryField()
    size_bytes = models.PositiveBigIntegerField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["report", "format"]
        verbose_name = _("file of a report")
        verbose_name_plural = _("files of reports")
        constraints = [
            models.UniqueConstraint(fields=["report", "format"], name="reportfile_one_of_a_format"),
            models.CheckConstraint(condition=Q(format__in=["docx", "xlsx"]), name="reportfile_format_known"),
        ]


class ReportSending(models.Model):
    """A report was sent: when, to whom, how, and the proof. Voided, never deleted."""

    report = models.ForeignKey(Report, on_delete=models.PROTECT, related_name="sendings")
    sent_on = models.DateField(_("sent on"))
    to_whom = models.CharField(_("to whom"), max_length=300)
    how = models.CharField(_("how"), max_length=200, help_text=_("Such as registered mail, e-mail, their portal"))
    proof = models.TextField(_("proof"), help_text=_("Such as the number of the receipt, and where it is kept"))
    scan = models.ForeignKey(Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="report_sendings")
    duty = models.ForeignKey(Duty, on_delete=models.PROTECT, null=True, blank=True, related_name="sendings")
    recorded_at = models.DateTimeField(auto_now_add=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="reports_sent")
    voided_at = models.DateTimeField(null=True, blank=True, editable=False)
    voided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="report_sendings_voided",
    )  # fmt: skip
    voided_why = models.CharField(max_length=200, blank=True, editable=False)

    history = HistoricalRecords()

    class Meta:
        ordering = ["report", "sent_on", "pk"]
        verbose_name = _("sending of a report")
        verbose_name_plural = _("sendings of reports")
        constraints = [
            models.CheckConstraint(
                condition=~Q(to_whom="") & ~Q(how="") & ~Q(proof=""),
                name="reportsending_proved",
                violation_error_message=_("Say to whom and how it was sent, and what proves it."),
            ),
            models.CheckConstraint(
                condition=Q(voided_at__isnull=True, voided_by__isnull=True, voided_why="")
                | (Q(voided_at__isnull=False, voided_by__isnull=False) & ~Q(voided_why="")),
                name="reportsending_voided_for_a_reason",
            ),
        ]
