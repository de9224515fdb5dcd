"""Versions of a plan as they were, and what compliance said of one."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from governance.plans.models.plan import FieldPlan


class PlanVersion(models.Model):
    """The whole of a plan after a change: what it says, as one object. Written once, never changed.

    contents: plan, stops with targets and traps, ways home, papers, decisions (``queries.contents``).
    """

    plan = models.ForeignKey(FieldPlan, on_delete=models.CASCADE, related_name="versions")
    number = models.PositiveIntegerField(_("version"))
    kept_at = models.DateTimeField(auto_now_add=True)
    kept_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="plan_versions")
    why = models.CharField(max_length=200, blank=True)
    contents = models.JSONField()

    class Meta:
        ordering = ["plan", "-number"]
        verbose_name = _("version of a plan")
        verbose_name_plural = _("versions of plans")
        constraints = [
            models.UniqueConstraint(fields=["plan", "number"], name="planversion_number_once"),
            models.CheckConstraint(condition=Q(number__gte=1), name="planversion_number_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.plan_id}, {self.number}"


class PlanSignOff(models.Model):
    """Compliance looked at a version and let it go, with a remark; what the check said at that moment is kept.

    verdicts: {stop key: strip of nine digits}; judged: what was used (engine, papers with versions, rules, house).
    """

    version = models.ForeignKey(PlanVersion, on_delete=models.PROTECT, related_name="sign_offs")
    signed_at = models.DateTimeField(auto_now_add=True)
    signed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="plan_sign_offs")
    remark = models.TextField(_("remark"))
    verdicts = models.JSONField(default=dict)
    judged = models.JSONField(default=dict)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True,
        related_name="plan_sign_offs_withdrawn",
    )  # fmt: skip
    withdrawn_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["version", "pk"]
        verbose_name = _("sign-off of a plan")
        verbose_name_plural = _("sign-offs of plans")
        constraints = [
            models.CheckConstraint(
                condition=~Q(remark=""),
                name="plansignoff_with_remark",
                violation_error_message=_("Say what you looked at, and what is still open."),
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="plansignoff_withdrawal_whole",
            ),
        ]
