"""Where heads of the seal are kept outside the register."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords


class KeptHead(models.Model):
    """The head of the chain at a moment, and where it is kept besides: in a ledger, a mailbox, a notary's file."""

    number = models.BigIntegerField(_("entry"))
    sha256 = models.CharField(max_length=64)
    where = models.CharField(_("kept where"), max_length=300)
    kept_at = models.DateTimeField(auto_now_add=True)
    kept_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+")

    history = HistoricalRecords()

    class Meta:
        ordering = ["-number", "-pk"]
        verbose_name = _("kept head of the seal")
        verbose_name_plural = _("kept heads of the seal")
        constraints = [
            models.CheckConstraint(
                condition=~Q(where=""), name="kepthead_somewhere", violation_error_message=_("Say where it is kept.")
            ),
            models.CheckConstraint(condition=Q(number__gt=0), name="kepthead_number_positive"),
            models.CheckConstraint(condition=Q(sha256__regex="^[0-9a-f]{64}$"), name="kepthead_hash_form"),
        ]


class SealCheck(models.Model):
    """A whole check of the seal that was made: how far, what was found. Written once, never changed."""

    number = models.BigIntegerField(help_text=_("the last entry that was checked"))
    sha256 = models.CharField(max_length=64)
    entries = models.BigIntegerField()
    files = models.PositiveIntegerField(default=0)
    problems = models.JSONField(default=list, help_text=_("what was found, in words, the first hundred"))
    problem_count = models.PositiveIntegerField(default=0)
    seconds = models.FloatField()
    checked_at = models.DateTimeField(auto_now_add=True)
    checked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("check of the seal")
        verbose_name_plural = _("checks of the seal")
