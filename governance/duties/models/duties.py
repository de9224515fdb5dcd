"""Duties that follow from rules and from promises, each with its day, and what became of it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.material.models import Accession
from governance.duties.models.benefits import BenefitPromise
from governance.duties.models.rules import DutyKind, DutyRule
from governance.papers.models import Paper
from governance.plans.models import FieldPlan
from governance.scans.models import Scan
from governance.usedesk.models import MadeUse


class Duty(models.Model):
    """One thing to be done by one day. Worked out from rules and promises, never typed; what became of it is entered.

    source: what it follows from, stable: "rule-12", "paper-5/report/01-31", "promise-3". occurrence: which one of it.
    due_on null: the day is not known. because: code and values of ``engine.duties.Because``. about_from, about_to: the
    time that a report is about. accession, use, plan: what it is counted from, where there is such a thing.
    done: with evidence; accepted: by the authority; waived: for a reason. dropped: it is no longer asked for, since a
    rule or a fact changed; taken up again if it comes back. moved_why: why the day changed last.
    """

    source = models.CharField(max_length=60)
    occurrence = models.CharField(max_length=120)
    rule = models.ForeignKey(DutyRule, on_delete=models.PROTECT, null=True, blank=True, related_name="duties")
    promise = models.ForeignKey(BenefitPromise, on_delete=models.PROTECT, null=True, blank=True, related_name="duties")
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, null=True, blank=True, related_name="duties")
    kind = models.CharField(_("what is to be done"), max_length=10, choices=DutyKind)
    what = models.TextField(_("in words"))
    to_whom = models.CharField(_("to whom"), max_length=300, blank=True)
    label = models.CharField(max_length=300, blank=True)
    accession = models.ForeignKey(Accession, on_delete=models.PROTECT, null=True, blank=True, related_name="duties")
    use = models.ForeignKey(MadeUse, on_delete=models.PROTECT, null=True, blank=True, related_name="duties_after")
    plan = models.ForeignKey(FieldPlan, on_delete=models.SET_NULL, null=True, blank=True, related_name="duties")
    due_on = models.DateField(_("due on"), null=True, blank=True)
    counted_from = models.DateField(null=True, blank=True)
    about_from = models.DateField(_("about the time from"), null=True, blank=True)
    about_to = models.DateField(_("to"), null=True, blank=True)
    because = models.JSONField(default=dict)
    moved_why = models.CharField(max_length=300, blank=True)
    assignee = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="duties",
        verbose_name=_("who sees to it"),
    )  # fmt: skip
    note = models.TextField(_("note"), blank=True)
    done_on = models.DateField(_("done on"), null=True, blank=True)
    done_how = models.TextField(_("how, and where the proof is"), blank=True)
    is_nil = models.BooleanField(_("nil return: nothing was taken"), default=False)
    done_scan = models.ForeignKey(Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="duties_done")
    done_at = models.DateTimeField(null=True, blank=True, editable=False)
    done_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="duties_done",
    )  # fmt: skip
    accepted_on = models.DateField(_("accepted on"), null=True, blank=True)
    accepted_how = models.TextField(_("by whom, and how"), blank=True)
    accepted_scan = models.ForeignKey(
        Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="duties_accepted"
    )
    accepted_at = models.DateTimeField(null=True, blank=True, editable=False)
    accepted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="duties_accepted",
    )  # fmt: skip
    waived_on = models.DateField(_("waived on"), null=True, blank=True)
    waived_why = models.TextField(_("because"), blank=True)
    waived_at = models.DateTimeField(null=True, blank=True, editable=False)
    waived_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="duties_waived",
    )  # fmt: skip
    dropped_on = models.DateField(null=True, blank=True, editable=False)
    dropped_why = models.CharField(max_length=300, blank=True, editable=False)

    history = HistoricalRecords()

    class Meta:
        ordering = [F("due_on").asc(nulls_last=True), "pk"]
        verbose_name = _("duty")
        verbose_name_plural = _("duties")
        indexes = [models.Index(fields=["due_on", "id"], name="duty_by_day")]
        constraints = [
            models.UniqueConstraint(fields=["source", "occurrence"], name="duty_once"),
            models.CheckConstraint(
                condition=Q(about_from__isnull=True) | Q(about_to__isnull=True) | Q(about_to__gte=F("about_from")),
                name="duty_about_period",
            ),
            models.CheckConstraint(
                condition=Q(done_on__isnull=True, done_at__isnull=True, done_how="", is_nil=False)
                | (Q(done_on__isnull=False, done_at__isnull=False) & ~Q(done_how="")),
                name="duty_done_with_evidence",
                violation_error_message=_("Say how it was done, and where the proof is."),
            ),
            models.CheckConstraint(
                condition=Q(accepted_on__isnull=True, accepted_at__isnull=True, accepted_by__isnull=True,
                            accepted_how="")
                | (Q(accepted_on__isnull=False, accepted_at__isnull=False, accepted_by__isnull=False,
                     done_on__isnull=False, accepted_on__gte=F("done_on")) & ~Q(accepted_how="")),
                name="duty_accepted_after_done",
                violation_error_message=_("Only what was done is accepted, and not before that day; say by whom."),
            ),
            models.CheckConstraint(
                condition=Q(waived_on__isnull=True, waived_at__isnull=True, waived_by__isnull=True, waived_why="")
                | (Q(waived_on__isnull=False, waived_at__isnull=False, waived_by__isnull=False, done_on__isnull=True)
                   & ~Q(waived_why="")),
                name="duty_waived_for_a_reason",
                violation_error_message=_("Say why it is waived; what was done cannot be waived."),
            ),
            models.CheckConstraint(
                condition=Q(dropped_on__isnull=True, dropped_why="")
                | (Q(dropped_on__isnull=False) & ~Q(dropped_why="")),
                name="duty_dropped_for_a_reason",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return self.what


class DutyRun(models.Model):
    """Duties were worked out: when, of which state of the register (``mark``), and how many came, moved, went."""

    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="duty_runs"
    )
    why = models.CharField(max_length=200)
    mark = models.CharField(max_length=64, help_text=_("SHA-256 of what the duties were worked out from"))
    made = models.PositiveIntegerField(default=0)
    moved = models.PositiveIntegerField(default=0)
    dropped = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("run over the duties")
        verbose_name_plural = _("runs over the duties")
