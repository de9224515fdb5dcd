"""Who opened what is restricted: written by the register, never changed."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from governance.papers.models import Paper
from governance.scans.models import Scan


class Opening(models.Model):
    """A person read a page or took a file that tells what is in a restricted paper or scan. place: the name of the
    address, such as ``papers:paper``. Kept for people who ask who saw it: one row an opening."""

    paper = models.ForeignKey(Paper, on_delete=models.CASCADE, null=True, related_name="openings")
    scan = models.ForeignKey(Scan, on_delete=models.CASCADE, null=True, related_name="openings")
    place = models.CharField(max_length=100)
    opened_at = models.DateTimeField(auto_now_add=True)
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="openings")

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("opening of something restricted")
        verbose_name_plural = _("openings of something restricted")
        indexes = [models.Index(fields=["paper", "-opened_at"], name="opening_of_paper")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(paper__isnull=False) | models.Q(scan__isnull=False), name="opening_of_something"
            ),
        ]
