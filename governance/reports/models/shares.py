"""Pages shared with a provider, an authority or a landowner: the link, what it was opened for, and what they wrote."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.people.models import Agent
from governance.papers.models import Paper
from governance.reports.models.reports import Report, ReportLanguage


class ShareLink(models.Model):
    """A page that one reader opens without an account. About a country, a paper or a landowner: exactly one of them.
    Only the hash of its secret is kept: the link is shown once. open_until: its last day."""

    name = models.CharField(_("for whom"), max_length=300)
    country = models.CharField(_("country"), max_length=2, blank=True)
    paper = models.ForeignKey(
        Paper, on_delete=models.PROTECT, null=True, blank=True, related_name="share_links", verbose_name=_("paper")
    )
    agent = models.ForeignKey(
        Agent, on_delete=models.PROTECT, null=True, blank=True, related_name="share_links", verbose_name=_("landowner")
    )
    language = models.CharField(_("language"), max_length=5, choices=ReportLanguage, default=ReportLanguage.EN)
    greeting = models.TextField(_("words at the top"), blank=True)
    shows_material = models.BooleanField(_("shows the material and what became of it"), default=True)
    takes_messages = models.BooleanField(_("lets them leave a message"), default=True)
    secret_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    open_until = models.DateField(_("open until"))
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="share_links_made")
    revoked_at = models.DateTimeField(null=True, blank=True, editable=False)
    revoked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="share_links_revoked",
    )  # fmt: skip
    revoked_why = models.CharField(max_length=200, blank=True, editable=False)

    history = HistoricalRecords(excluded_fields=["secret_sha256"])

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("shared page")
        verbose_name_plural = _("shared pages")
        constraints = [
            models.CheckConstraint(
                condition=~Q(name=""), name="sharelink_named", violation_error_message=_("Say for whom it is.")
            ),
            models.CheckConstraint(
                condition=(~Q(country="") & Q(paper__isnull=True, agent__isnull=True))
                | Q(country="", paper__isnull=False, agent__isnull=True)
                | Q(country="", paper__isnull=True, agent__isnull=False),
                name="sharelink_about_one",
                violation_error_message=_("It is about a country, a paper or a landowner: one of them."),
            ),
            models.CheckConstraint(
                condition=Q(country="") | Q(country__regex=r"^[A-Z]{2}$"),
                name="sharelink_country_form",
                violation_error_message=_("A country is two capital letters (ISO 3166-1)."),
            ),
            models.CheckConstraint(condition=Q(language__in=["en", "es", "fr", "pt"]), name="sharelink_language_known"),
            models.CheckConstraint(
                condition=Q(revoked_at__isnull=True, revoked_by__isnull=True, revoked_why="")
                | (Q(revoked_at__isnull=False, revoked_by__isnull=False) & ~Q(revoked_why="")),
                name="sharelink_revoked_for_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class ShareReport(models.Model):
    """An issued report that a shared page lets its reader download."""

    link = models.ForeignKey(ShareLink, on_delete=models.CASCADE, related_name="shared_reports")
    report = models.ForeignKey(Report, on_delete=models.PROTECT, related_name="shared_by")

    history = HistoricalRecords()

    class Meta:
        ordering = ["link", "-report"]
        verbose_name = _("report of a shared page")
        verbose_name_plural = _("reports of shared pages")
        constraints = [models.UniqueConstraint(fields=["link", "report"], name="sharereport_once")]


class ShareVisit(models.Model):
    """A shared page was opened, a file taken, or the address refused. Nothing of the visitor is kept but the time."""

    class What(models.TextChoices):
        PAGE = "page", _("Opened")
        FILE = "file", _("File taken")
        REFUSED = "refused", _("Refused")

    link = models.ForeignKey(ShareLink, on_delete=models.CASCADE, related_name="visits")
    at = models.DateTimeField(auto_now_add=True)
    what = models.CharField(max_length=7, choices=What)
    report = models.ForeignKey(Report, on_delete=models.PROTECT, null=True, blank=True, related_name="visits")
    format = models.CharField(max_length=4, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        verbose_name = _("visit to a shared page")
        verbose_name_plural = _("visits to shared pages")
        constraints = [
            models.CheckConstraint(condition=Q(what__in=["page", "file", "refused"]), name="sharevisit_known"),
        ]


class ShareMessage(models.Model):
    """What the reader of a shared page wrote to the museum."""

    link = models.ForeignKey(ShareLink, on_delete=models.CASCADE, related_name="messages")
    received_at = models.DateTimeField(auto_now_add=True)
    name = models.CharField(_("your name"), max_length=200)
    contact = models.CharField(_("how to reach you"), max_length=300, blank=True)
    text = models.TextField(_("message"))
    read_at = models.DateTimeField(null=True, blank=True, editable=False)
    read_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="share_messages_read",
    )  # fmt: skip

    history = HistoricalRecords()

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("message from a shared page")
        verbose_name_plural = _("messages from shared pages")
        constraints = [
            models.CheckConstraint(
                condition=~Q(name="") & ~Q(text=""),
                name="sharemessage_whole",
                violation_error_message=_("Give your name and a message."),
            ),
            models.CheckConstraint(
                condition=Q(read_at__isnull=True, read_by__isnull=True)
                | Q(read_at__isnull=False, read_by__isnull=False),
                name="sharemessage_read_by",
            ),
        ]
