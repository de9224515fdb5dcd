"""Data quality: rows that somebody looked at and found right as they are, and the counts of each day."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords


class QualityNote(models.Model):
    """A row of a question of data quality that somebody looked at: it is right as it is, and why. Withdrawn, never
    deleted.

    question, row: their keys. digest: SHA-256 of what the row said; one that says something else by now counts again.
    said: what it said, as text, for whoever reads the note later.
    """

    question = models.CharField(max_length=60)
    row = models.CharField(max_length=200)
    digest = models.CharField(max_length=64)
    said = models.JSONField(default=list)
    why = models.CharField(_("why it is right as it is"), max_length=300)
    noted_at = models.DateTimeField(auto_now_add=True)
    noted_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="quality_notes")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn_reason = models.CharField(max_length=300, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["question", "-pk"]
        verbose_name = _("note on data quality")
        verbose_name_plural = _("notes on data quality")
        constraints = [
            models.CheckConstraint(
                condition=~Q(why=""),
                name="qualitynote_reasoned",
                violation_error_message=_("Say why it is right as it is."),
            ),
            models.CheckConstraint(condition=Q(digest__regex="^[0-9a-f]{64}$"), name="qualitynote_digest_form"),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="qualitynote_withdrawal_whole",
            ),
            models.UniqueConstraint(
                fields=["question", "row"],
                condition=Q(withdrawn_at__isnull=True),
                name="qualitynote_one_stands",
                violation_error_message=_("Somebody noted this row as right already."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.question}: {self.row}"


class QualityCount(models.Model):
    """How many rows a question of data quality found on a day, and how many of them were noted as right. The newest
    count of a day stands."""

    question = models.CharField(max_length=60)
    on = models.DateField()
    count = models.PositiveIntegerField(help_text=_("without those noted as right"))
    noted = models.PositiveIntegerField(default=0, help_text=_("noted as right"))

    class Meta:
        ordering = ["question", "-on"]
        verbose_name = _("count of data quality")
        verbose_name_plural = _("counts of data quality")
        constraints = [models.UniqueConstraint(fields=["question", "on"], name="qualitycount_once_a_day")]
