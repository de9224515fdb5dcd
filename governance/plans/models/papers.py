"""Papers that speak for a plan or for one of its stops, and decisions that a layer needs none."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from governance.engine.tables import Layer
from governance.papers.models import Paper
from governance.plans.models.plan import FieldPlan
from governance.plans.models.stops import Stop
from governance.verdicts.models import LAYERS


class PlanPaper(models.Model):
    """A paper linked to a plan, or to one stop of it alone. Dated as links are; it goes only with its stop.

    A paper that is linked to the site of a stop, or to all accessions, speaks without being linked to the plan.
    """

    plan = models.ForeignKey(FieldPlan, on_delete=models.CASCADE, related_name="plan_papers")
    stop = models.ForeignKey(Stop, on_delete=models.CASCADE, null=True, blank=True, related_name="plan_papers")
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, related_name="plan_papers")
    linked_at = models.DateTimeField(auto_now_add=True)
    linked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="plan_papers_made")
    why = models.CharField(max_length=200, blank=True)
    unlinked_at = models.DateTimeField(null=True, blank=True)
    unlinked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="plan_papers_ended"
    )
    unlinked_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["plan", "pk"]
        verbose_name = _("paper of a plan")
        verbose_name_plural = _("papers of plans")
        constraints = [
            models.CheckConstraint(
                condition=Q(unlinked_at__isnull=True, unlinked_by__isnull=True)
                | Q(unlinked_at__isnull=False, unlinked_by__isnull=False),
                name="planpaper_end_whole",
            ),
            models.UniqueConstraint(
                fields=["plan", "paper"],
                condition=Q(unlinked_at__isnull=True, stop__isnull=True),
                name="planpaper_of_plan_once",
                violation_error_message=_("The paper is already linked to this plan."),
            ),
            models.UniqueConstraint(
                fields=["stop", "paper"],
                condition=Q(unlinked_at__isnull=True, stop__isnull=False),
                name="planpaper_of_stop_once",
                violation_error_message=_("The paper is already linked to this stop."),
            ),
        ]


class PlanNotice(models.Model):
    """A notice that was given before the first day, as a paper asks: to its issuer, for the plan or for one stop."""

    plan = models.ForeignKey(FieldPlan, on_delete=models.CASCADE, related_name="notices")
    stop = models.ForeignKey(Stop, on_delete=models.CASCADE, null=True, blank=True, related_name="notices")
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, related_name="notices")
    given_on = models.DateField(_("notice given on"))
    note = models.CharField(_("to whom, and how"), max_length=300)

    history = HistoricalRecords()

    class Meta:
        ordering = ["plan", "given_on", "pk"]
        verbose_name = _("notice given")
        verbose_name_plural = _("notices given")
        constraints = [
            models.CheckConstraint(
                condition=~Q(note=""),
                name="plannotice_to_whom",
                violation_error_message=_("Say to whom the notice was given, and how."),
            ),
        ]


class PlanDecision(models.Model):
    """A person's decision that a layer needs no paper, for a plan or one stop: why, on what evidence, who.

    It counts as "not required" (the contract, section 7.1) until it is withdrawn; it is never deleted.
    """

    plan = models.ForeignKey(FieldPlan, on_delete=models.CASCADE, related_name="decisions")
    stop = models.ForeignKey(Stop, on_delete=models.CASCADE, null=True, blank=True, related_name="decisions")
    layer = models.PositiveSmallIntegerField(_("layer"), choices=LAYERS)
    reason = models.TextField(_("not required because"))
    evidence = models.TextField(_("evidence"))
    decided_at = models.DateTimeField(auto_now_add=True)
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="plan_decisions")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True,
        related_name="plan_decisions_withdrawn",
    )  # fmt: skip
    withdrawn_reason = models.TextField(blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["plan", "layer", "-decided_at"]
        verbose_name = _("decision about a plan")
        verbose_name_plural = _("decisions about plans")
        constraints = [
            models.CheckConstraint(condition=Q(layer__lt=len(Layer)), name="plandecision_layer_known"),
            models.CheckConstraint(
                condition=~Q(reason="") & ~Q(evidence=""),
                name="plandecision_with_evidence",
                violation_error_message=_("Say why no paper is required, and what shows it."),
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="plandecision_withdrawal_whole",
            ),
            models.UniqueConstraint(
                fields=["plan", "layer"],
                condition=Q(withdrawn_at__isnull=True, stop__isnull=True),
                name="plandecision_of_plan_once",
                violation_error_message=_("A decision for this layer stands already."),
            ),
            models.UniqueConstraint(
                fields=["stop", "layer"],
                condition=Q(withdrawn_at__isnull=True, stop__isnull=False),
                name="plandecision_of_stop_once",
                violation_error_message=_("A decision for this layer stands already."),
            ),
        ]
