"""What is in the basket of a request, and every code that was read at the desk."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.material.models import Specimen
from governance.usedesk.models.requests import RequestDecision, UseRequest


class RequestItem(models.Model):
    """A specimen in the basket of a request. decision null: not decided, or the decision was withdrawn."""

    request = models.ForeignKey(UseRequest, on_delete=models.CASCADE, related_name="items")
    specimen = models.ForeignKey(Specimen, on_delete=models.PROTECT, related_name="request_items")
    decision = models.ForeignKey(RequestDecision, on_delete=models.PROTECT, null=True, blank=True, related_name="items")
    note = models.CharField(_("note"), max_length=200, blank=True)
    added_at = models.DateTimeField(auto_now_add=True)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="request_items")

    history = HistoricalRecords()

    class Meta:
        ordering = ["request", "pk"]
        verbose_name = _("specimen of a request")
        verbose_name_plural = _("specimens of requests")
        constraints = [
            models.UniqueConstraint(
                fields=["request", "specimen"],
                name="requestitem_once",
                violation_error_message=_("This specimen is in the request already."),
            ),
        ]


class ScanLine(models.Model):
    """One code that was read at the desk, and what came of it: kept so that nothing read is lost.

    key: made by the page that read it, so that a line that is sent again after a broken connection counts once.
    """

    class Outcome(models.TextChoices):
        ADDED = "added", _("Added")
        ALREADY_IN = "already-in", _("Already in the basket")
        UNKNOWN = "unknown", _("No such number")
        SEVERAL = "several", _("Several specimens have this number")
        TAKEN_OUT = "taken-out", _("Taken out again")

    request = models.ForeignKey(UseRequest, on_delete=models.CASCADE, related_name="scan_lines")
    key = models.CharField(max_length=64)
    code = models.CharField(_("code as read"), max_length=300)
    specimen = models.ForeignKey(Specimen, on_delete=models.PROTECT, null=True, blank=True, related_name="scan_lines")
    outcome = models.CharField(_("outcome"), max_length=12, choices=Outcome)
    read_at = models.DateTimeField(auto_now_add=True)
    read_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="scan_lines")

    class Meta:
        ordering = ["request", "-pk"]
        verbose_name = _("code read")
        verbose_name_plural = _("codes read")
        constraints = [
            models.UniqueConstraint(fields=["request", "key"], name="scanline_once"),
            models.CheckConstraint(
                condition=Q(outcome__in=["added", "already-in", "unknown", "several", "taken-out"]),
                name="scanline_outcome_known",
            ),
            models.CheckConstraint(
                condition=Q(specimen__isnull=False) | Q(outcome__in=["unknown", "several", "taken-out"]),
                name="scanline_of_a_specimen",
            ),
        ]
