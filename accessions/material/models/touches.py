"""Marks of what changed, until verdicts were looked at again."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q


class Touch(models.Model):
    """A mark that facts or papers changed and whose verdicts are therefore to be looked at again.

    Written in the transaction of the change, taken away in that of the new verdicts: if the machine stops between the
    two, the mark is still there. ``scope`` names what changed, ``key`` its primary key (0 for all).
    """

    class Scope(models.TextChoices):
        ALL = "all"
        ACCESSION = "accession"
        PART = "part"
        DELIVERY = "delivery"
        EVENT = "event"
        SITE = "site"
        SPECIMEN = "specimen"
        NAMES = "names"
        PAPER = "paper"
        COUNTRY = "country"

    scope = models.CharField(max_length=10, choices=Scope)
    key = models.BigIntegerField(default=0)
    why = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(scope__in=["all", "accession", "part", "delivery", "event", "site", "specimen", "names",
                                       "paper", "country"]),
                name="touch_scope_known",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"{self.scope} {self.key}: {self.why}"
