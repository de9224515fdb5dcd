"""Applications for the papers that a plan still lacks, from the wish to the paper."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from governance.engine.tables import Layer
from governance.papers.models import Paper, PaperKind
from governance.plans.models.plan import FieldPlan
from governance.plans.models.stops import Stop
from governance.scans.models import Scan
from governance.verdicts.models import LAYERS


class Application(models.Model):
    """One paper to be asked for. Its state is told by its days: asked, promised for, granted or refused, given up.

    promised_on: the day for which an answer was promised. paper: what was granted; it is set together with granted_on.
    all_stops: else it is for its own stops alone; if those are taken out of the plan it is for none.
    """

    plan = models.ForeignKey(FieldPlan, on_delete=models.CASCADE, related_name="applications")
    layer = models.PositiveSmallIntegerField(_("layer"), choices=LAYERS)
    kind = models.CharField(_("kind of paper"), max_length=40, choices=PaperKind)
    authority = models.CharField(_("ask"), max_length=300, blank=True, help_text=_("Authority, owner or community"))
    contact = models.TextField(_("contact"), blank=True)
    assignee = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="applications",
        verbose_name=_("who asks"),
    )  # fmt: skip
    number = models.CharField(_("their number"), max_length=100, blank=True, help_text=_("The authority’s file number"))
    start_by = models.DateField(_("start by"), null=True, blank=True, help_text=_("Blank: as the check works it out"))
    asked_on = models.DateField(_("asked on"), null=True, blank=True)
    promised_on = models.DateField(_("promised for"), null=True, blank=True)
    granted_on = models.DateField(_("granted on"), null=True, blank=True)
    refused_on = models.DateField(_("refused on"), null=True, blank=True)
    dropped_on = models.DateField(_("given up on"), null=True, blank=True)
    note = models.TextField(_("note"), blank=True)
    all_stops = models.BooleanField(_("for all stops"), default=True)
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, null=True, blank=True, related_name="applications")

    history = HistoricalRecords()

    class Meta:
        ordering = ["plan", "layer", "pk"]
        verbose_name = _("application")
        verbose_name_plural = _("applications")
        constraints = [
            models.CheckConstraint(condition=Q(layer__lt=len(Layer)), name="application_layer_known"),
            models.CheckConstraint(condition=Q(kind__in=PaperKind.values), name="application_kind_known"),
            models.CheckConstraint(
                condition=Q(granted_on__isnull=True) | Q(asked_on__isnull=True) | Q(granted_on__gte=F("asked_on")),
                name="application_granted_after_asked",
                violation_error_message=_("It was granted before it was asked for: check the two days."),
            ),
            models.CheckConstraint(
                condition=Q(refused_on__isnull=True) | (Q(asked_on__isnull=False) & Q(refused_on__gte=F("asked_on"))),
                name="application_refused_after_asked",
                violation_error_message=_("Only what was asked for is refused, and not before: check the two days."),
            ),
            models.CheckConstraint(
                condition=Q(promised_on__isnull=True) | (Q(asked_on__isnull=False) & Q(promised_on__gte=F("asked_on"))),
                name="application_promised_after_asked",
                violation_error_message=_("An answer is promised for a day after it was asked: check the two days."),
            ),
            models.CheckConstraint(
                condition=Q(granted_on__isnull=True, paper__isnull=True)
                | Q(granted_on__isnull=False, paper__isnull=False),
                name="application_granted_with_paper",
                violation_error_message=_("What was granted is a paper on file."),
            ),
            models.CheckConstraint(
                condition=Q(granted_on__isnull=True, refused_on__isnull=True)
                | Q(granted_on__isnull=True, dropped_on__isnull=True)
                | Q(refused_on__isnull=True, dropped_on__isnull=True),
                name="application_one_end",
                violation_error_message=_("It was granted, refused or given up: one of them."),
            ),
        ]

    class State(models.TextChoices):
        TO_ASK = "to-ask", _("To ask")
        ASKED = "asked", _("Asked")
        PROMISED = "promised", _("Promised")
        GRANTED = "granted", _("Granted")
        REFUSED = "refused", _("Refused")
        DROPPED = "dropped", _("Given up")

    @property
    def state(self) -> State:
        """Where it stands, by its days."""
        if self.granted_on:
            return self.State.GRANTED
        if self.refused_on:
            return self.State.REFUSED
        if self.dropped_on:
            return self.State.DROPPED
        if self.promised_on:
            return self.State.PROMISED
        return self.State.ASKED if self.asked_on else self.State.TO_ASK


class ApplicationStop(models.Model):
    """A stop for which a paper is asked."""

    application = models.ForeignKey(Application, on_delete=models.CASCADE, related_name="application_stops")
    stop = models.ForeignKey(Stop, on_delete=models.CASCADE, related_name="application_stops")

    history = HistoricalRecords()

    class Meta:
        ordering = ["application", "stop"]
        verbose_name = _("stop of an application")
        verbose_name_plural = _("stops of applications")
        constraints = [models.UniqueConstraint(fields=["application", "stop"], name="applicationstop_once")]


class ApplicationScan(models.Model):
    """A file that belongs to an application: the letter, the form, the answer.

    keeps_scans: a scan that is here has its place, though it is filed nowhere else.
    """

    keeps_scans = True

    application = models.ForeignKey(Application, on_delete=models.CASCADE, related_name="application_scans")
    scan = models.ForeignKey(Scan, on_delete=models.PROTECT, related_name="application_scans")
    added_at = models.DateTimeField(auto_now_add=True)
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="application_scans_added"
    )

    history = HistoricalRecords()

    class Meta:
        ordering = ["application", "pk"]
        verbose_name = _("file of an application")
        verbose_name_plural = _("files of applications")
        constraints = [models.UniqueConstraint(fields=["application", "scan"], name="applicationscan_once")]
