"""Specimens that were removed from the register, since they should never have been entered."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from accessions.material.models.accessions import Accession


class Removal(models.Model):
    """That a specimen was removed from the register: which number it had, who did it, when and why. Never changed.

    specimen: its key, which no other specimen ever gets; no foreign key, since the specimen is gone. intake: key of the
    file brought in that was taken back with it; null: it was removed alone.
    """

    specimen = models.BigIntegerField(unique=True)
    catalog_number = models.CharField(_("catalogue number"), max_length=200, blank=True, db_index=True)
    accession = models.ForeignKey(Accession, on_delete=models.PROTECT, related_name="removals")
    intake = models.BigIntegerField(null=True, blank=True)
    why = models.CharField(_("reason"), max_length=100)
    removed_at = models.DateTimeField()
    removed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="removals")

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("removal of a specimen")
        verbose_name_plural = _("removals of specimens")
        constraints = [
            models.CheckConstraint(
                condition=~Q(why=""), name="removal_reasoned", violation_error_message=_("Give the reason.")
            ),
        ]

    def __str__(self) -> str:
        return self.catalog_number or f"#{self.specimen}"
