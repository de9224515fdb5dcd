"""Files that came in: kept whole, with how their columns were mapped and what was done with their rows."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.material.models import Accession


class Batch(models.Model):
    """One file brought in: its bytes, its hash, its mapping, its state. Committed once, in one transaction; and, if
    that was a mistake, taken back once, with all specimens that it made.

    mapping: {header of the file: Darwin Core term, or "" to leave it aside}. dates: {term: order in which label-style
    dates of that column were confirmed to be read}. changes: the answers about rows that differ.
    """

    class State(models.TextChoices):
        RECEIVED = "received", _("Received")
        COMMITTED = "committed", _("In the register")
        DISCARDED = "discarded", _("Discarded")
        TAKEN_BACK = "taken-back", _("Taken back")

    file_name = models.CharField(_("file"), max_length=255)
    data = models.BinaryField()
    sha256 = models.CharField(max_length=64, db_index=True)
    state = models.CharField(max_length=10, choices=State, default=State.RECEIVED)
    accession = models.ForeignKey(
        Accession, on_delete=models.PROTECT, null=True, blank=True, related_name="batches",
        help_text=_("for rows that name no accession"),
    )  # fmt: skip
    mapping = models.JSONField(default=dict)
    dates = models.JSONField(default=dict)
    changes = models.JSONField(default=dict)
    received_at = models.DateTimeField(auto_now_add=True)
    received_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="batches")
    committed_at = models.DateTimeField(null=True, blank=True)
    committed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="batches_committed"
    )
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="batches_taken_back"
    )
    taken_back_why = models.CharField(max_length=100, blank=True)
    summary = models.JSONField(default=dict)

    history = HistoricalRecords(excluded_fields=["data"])

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("file brought in")
        verbose_name_plural = _("files brought in")
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=["received", "committed", "discarded", "taken-back"]), name="batch_state_known"
            ),
            models.CheckConstraint(
                condition=(
                    ~Q(state__in=["committed", "taken-back"]) & Q(committed_at__isnull=True, committed_by__isnull=True)
                )
                | Q(state__in=["committed", "taken-back"], committed_at__isnull=False, committed_by__isnull=False),
                name="batch_committed_by_somebody",
            ),
            models.CheckConstraint(
                condition=(
                    ~Q(state="taken-back")
                    & Q(taken_back_at__isnull=True, taken_back_by__isnull=True, taken_back_why="")
                )
                | (
                    Q(state="taken-back", taken_back_at__isnull=False, taken_back_by__isnull=False)
                    & ~Q(taken_back_why="")
                ),
                name="batch_taken_back_for_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return self.file_name


class ColumnChoice(models.Model):
    """How a person mapped a header that was not known, kept for the next file."""

    header_key = models.CharField(max_length=200, unique=True)
    term = models.CharField(max_length=60, blank=True)
    chosen_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True)
    chosen_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["header_key"]
