"""Papers files that were brought in."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _


class ReceivedFile(models.Model):
    """A papers file that was brought in: kept whole, with what was done with it. Taken into the register once."""

    file_name = models.CharField(_("file"), max_length=255)
    data = models.BinaryField()
    sha256 = models.CharField(max_length=64, db_index=True)
    received_at = models.DateTimeField(auto_now_add=True)
    received_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="paper_files")
    taken_at = models.DateTimeField(null=True, blank=True)
    taken_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="paper_files_taken"
    )
    summary = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("papers file")
        verbose_name_plural = _("papers files")
        constraints = [
            models.CheckConstraint(
                condition=Q(taken_at__isnull=True, taken_by__isnull=True)
                | Q(taken_at__isnull=False, taken_by__isnull=False),
                name="receivedfile_taken_by_somebody",
            ),
        ]

    def __str__(self) -> str:
        return self.file_name
