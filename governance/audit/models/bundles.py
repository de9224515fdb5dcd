"""Evidence files that are made in the background: how far each is, and where it is kept for a day."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _


class EvidenceBundle(models.Model):
    """A large evidence file, made for one person. No record: it is made from the records, and gone after a day.

    of, values: what it is about, as its address says. step, done, total, sign_at: how far the work is. stored_name: its
    key in the store. papers, scans: keys of those whose content is in it; restricted since, it is given out no more.
    """

    class State(models.TextChoices):
        WAITING = "waiting", _("Waiting")
        RUNNING = "running", _("Being made")
        DONE = "done", _("Made")
        FAILED = "failed", _("Stopped by an error")

    of = models.CharField(max_length=200)
    values = models.JSONField(default=dict)
    title = models.CharField(max_length=300)
    role = models.CharField(max_length=20)
    state = models.CharField(max_length=10, choices=State, default=State.WAITING)
    step = models.CharField(max_length=200, blank=True)
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    sign_at = models.DateTimeField(help_text=_("newest sign of life"))
    stored_name = models.CharField(max_length=100, blank=True)
    size_bytes = models.PositiveBigIntegerField(default=0)
    papers = models.JSONField(default=list)
    scans = models.JSONField(default=list)
    asked_at = models.DateTimeField(auto_now_add=True)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="evidence_bundles")

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("evidence file")
        verbose_name_plural = _("evidence files")
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=["waiting", "running", "done", "failed"]), name="evidencebundle_state_known"
            ),
        ]

    def __str__(self) -> str:
        return self.title
