"""What a provider was asked before a use, and what it replied."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from governance.papers.models import EVERY_USE, Paper
from governance.scans.models import Scan
from governance.usedesk.models.requests import UseRequest


class ProviderQuestion(models.Model):
    """A provider was asked on a day whether a use may be made, under one paper; the reply, when it comes.

    uses: bits, as in ``UseRequest``. Its agreement counts for this request alone.
    """

    class Reply(models.TextChoices):
        WAITING = "", _("No reply yet")
        AGREED = "agreed", _("Agreed")
        REFUSED = "refused", _("Refused")

    request = models.ForeignKey(UseRequest, on_delete=models.CASCADE, related_name="questions")
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, related_name="use_questions")
    uses = models.PositiveIntegerField(_("uses"))
    asked_of = models.CharField(_("asked of"), max_length=300)
    asked_on = models.DateField(_("asked on"))
    letter = models.ForeignKey(Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="use_questions")
    reply = models.CharField(_("reply"), max_length=8, choices=Reply, blank=True, default="")
    replied_on = models.DateField(_("replied on"), null=True, blank=True)
    reply_words = models.TextField(_("the reply in its words"), blank=True)
    reply_scan = models.ForeignKey(Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="use_replies")
    recorded_at = models.DateTimeField(auto_now_add=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="use_questions")

    history = HistoricalRecords()

    class Meta:
        ordering = ["request", "asked_on", "pk"]
        verbose_name = _("question to a provider")
        verbose_name_plural = _("questions to providers")
        constraints = [
            models.CheckConstraint(
                condition=Q(uses__range=(1, EVERY_USE)),
                name="providerquestion_asks_for_a_use",
                violation_error_message=_("Choose at least one use."),
            ),
            models.CheckConstraint(
                condition=~Q(asked_of=""),
                name="providerquestion_of_somebody",
                violation_error_message=_("Say who was asked."),
            ),
            models.CheckConstraint(
                condition=Q(reply="", replied_on__isnull=True)
                | (Q(reply__in=["agreed", "refused"], replied_on__isnull=False, replied_on__gte=F("asked_on"))
                   & ~Q(reply_words="")),
                name="providerquestion_reply_whole",
                violation_error_message=_("A reply has a day, not before the question, and its words."),
            ),
        ]  # fmt: skip
