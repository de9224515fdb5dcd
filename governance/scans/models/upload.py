"""Files on their way: a part of a file is never taken for the whole."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from governance.scans.models.scan import Scan


class Upload(models.Model):
    """A file that is being sent in pieces (the open protocol tus 1.0), and what became of it.

    token: 32 hexadecimal digits, the address and the name of the part that is on disk. scan: once it is whole and
    sound. problem: why it was refused, in words.
    """

    token = models.CharField(max_length=32, unique=True)
    name = models.CharField(max_length=500)
    size_bytes = models.BigIntegerField()
    received_bytes = models.BigIntegerField(default=0)
    started_at = models.DateTimeField(auto_now_add=True)
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="uploads")
    scan = models.ForeignKey(Scan, on_delete=models.CASCADE, null=True, blank=True, related_name="uploads")
    was_known = models.BooleanField(default=False)
    problem = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("upload")
        verbose_name_plural = _("uploads")
        constraints = [
            models.CheckConstraint(condition=Q(token__regex=r"^[0-9a-f]{32}$"), name="upload_token_form"),
            models.CheckConstraint(
                condition=Q(received_bytes__gte=0, received_bytes__lte=F("size_bytes")), name="upload_not_beyond_end"
            ),
            models.CheckConstraint(
                condition=Q(scan__isnull=True) | Q(received_bytes=F("size_bytes"), problem=""),
                name="upload_scan_only_if_whole",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_whole(self) -> bool:
        """Whether the last byte is there."""
        return self.received_bytes == self.size_bytes

    @property
    def is_settled(self) -> bool:
        """Whether it became a scan or was refused."""
        return self.scan_id is not None or self.problem != ""

    @property
    def state(self) -> str:
        """For scripts: receiving, checking, received, or refused."""
        if self.problem:
            return "refused"
        if self.scan_id is not None:
            return "received"
        return "checking" if self.is_whole else "receiving"
