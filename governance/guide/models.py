"""The first steps of a register, and which of them were skipped."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords


class Step(models.TextChoices):
    """What leads from an empty register to one that answers, in the order of the work."""

    HOUSE = "house", _("Your institution and people")
    INTAKE = "intake", _("Bring in a spreadsheet")
    SHEETS = "sheets", _("A sheet for each country")
    PAPERS = "papers", _("Register the papers")
    LINKS = "links", _("Link papers to accessions")
    VERDICTS = "verdicts", _("Read the verdicts")
    QUESTION = "question", _("Ask a first question")
    PLAN = "plan", _("Plan the next trip")


class SkippedStep(models.Model):
    """A first step that the institution leaves out. Taken up again, never deleted."""

    step = models.CharField(_("step"), max_length=20, choices=Step)
    skipped_at = models.DateTimeField(auto_now_add=True)
    skipped_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    taken_up_at = models.DateTimeField(null=True, blank=True)
    taken_up_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    history = HistoricalRecords()

    class Meta:
        ordering = ["pk"]
        verbose_name = _("skipped step")
        verbose_name_plural = _("skipped steps")
        constraints = [
            models.CheckConstraint(
                condition=Q(step__in=Step.values),
                name="skippedstep_known",
                violation_error_message=_("Choose one of the first steps."),
            ),
            models.CheckConstraint(
                condition=Q(taken_up_at__isnull=True, taken_up_by__isnull=True)
                | Q(taken_up_at__isnull=False, taken_up_by__isnull=False),
                name="skippedstep_taken_up_whole",
            ),
            models.UniqueConstraint(
                fields=["step"],
                condition=Q(taken_up_at__isnull=True),
                name="skippedstep_one_stands",
                violation_error_message=_("This step is skipped already."),
            ),
        ]

    def __str__(self) -> str:
        return str(Step(self.step).label)
