"""What a person found of the papers of the way there."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from governance.engine.tables import Layer
from governance.papers.models import Paper
from governance.scans.models import Scan
from governance.usedesk.models.requests import Told, UseRequest


class WayDecision(models.Model):
    """What a person found of one paper of the way there: not needed for a reason, or held. Withdrawn, never deleted."""

    WAY_LAYERS = (Layer.EXPORT, Layer.IMPORT, Layer.CITES)

    request = models.ForeignKey(UseRequest, on_delete=models.CASCADE, related_name="way_decisions")
    layer = models.PositiveSmallIntegerField(
        _("paper"),
        choices=[(int(Layer.EXPORT), _("Export")), (int(Layer.IMPORT), _("Import")), (int(Layer.CITES), "CITES")],
    )
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, null=True, blank=True, related_name="way_decisions")
    reason = models.TextField(_("reason"))
    evidence = models.TextField(_("evidence"))
    decided_at = models.DateTimeField(auto_now_add=True)
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="way_decisions")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True,
        related_name="way_decisions_withdrawn",
    )  # fmt: skip
    withdrawn_reason = models.TextField(blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["request", "layer", "-decided_at"]
        verbose_name = _("decision on the way there")
        verbose_name_plural = _("decisions on the way there")
        constraints = [
            models.CheckConstraint(
                condition=Q(layer__in=[int(Layer.EXPORT), int(Layer.IMPORT), int(Layer.CITES)]),
                name="waydecision_layer_known",
            ),
            models.CheckConstraint(
                condition=~Q(reason="") & ~Q(evidence=""),
                name="waydecision_with_evidence",
                violation_error_message=_("Say why, and what shows it."),
            ),
            models.UniqueConstraint(
                fields=["request", "layer"],
                condition=Q(withdrawn_at__isnull=True),
                name="waydecision_one_stands",
                violation_error_message=_("A decision on this stands already; withdraw it first."),
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="waydecision_withdrawal_whole",
            ),
        ]


class ExchangeLabel(models.Model):
    """The label of a scientific exchange, held against CITES Article VII(6): what was seen of each of five conditions.

    "" is not looked at. evidence: what shows that the material was legally acquired.
    """

    class Preserved(models.TextChoices):
        NOT_TOLD = "", _("Not told")
        HERBARIUM = "herbarium", _("Herbarium specimens")
        MUSEUM = "museum", _("Preserved, dried or embedded museum specimens")
        LIVE_PLANTS = "live-plants", _("Live plant material")
        OTHER = "other", _("Anything else")

    request = models.OneToOneField(UseRequest, on_delete=models.CASCADE, related_name="exchange_label")
    non_commercial = models.CharField(_("non-commercial loan, donation or exchange"), max_length=3, choices=Told, blank=True, default="")  # fmt: skip  # noqa: E501
    sender_code = models.CharField(_("sender’s number in the register"), max_length=20, blank=True)
    recipient_code = models.CharField(_("recipient’s number in the register"), max_length=20, blank=True)
    preserved = models.CharField(_("kind of specimen"), max_length=12, choices=Preserved, blank=True, default="")
    label_by_authority = models.CharField(_("label issued or approved by a Management Authority"), max_length=3, choices=Told, blank=True, default="")  # fmt: skip  # noqa: E501
    label_number = models.CharField(_("number of the label"), max_length=60, blank=True)
    legally_acquired = models.CharField(_("legally acquired"), max_length=3, choices=Told, blank=True, default="")
    evidence = models.TextField(_("what shows it"), blank=True)
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, null=True, blank=True, related_name="exchange_labels")
    scan = models.ForeignKey(Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="exchange_labels")

    history = HistoricalRecords()

    class Meta:
        verbose_name = _("label of a scientific exchange")
        verbose_name_plural = _("labels of scientific exchanges")
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    non_commercial__in=["", "yes", "no"], label_by_authority__in=["", "yes", "no"],
                    legally_acquired__in=["", "yes", "no"],
                    preserved__in=["", "herbarium", "museum", "live-plants", "other"],
                ),
                name="exchangelabel_words_known",
            ),
            models.CheckConstraint(
                condition=~Q(legally_acquired="yes") | ~Q(evidence=""),
                name="exchangelabel_acquired_by_evidence",
                violation_error_message=_("Say what shows that it was legally acquired."),
            ),
        ]  # fmt: skip
