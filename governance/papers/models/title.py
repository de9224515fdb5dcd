"""Title and custody: by which act an accession came to the institution, and who had the right to give it."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.material.models import Accession, Part
from governance.papers.models.paper import Paper
from governance.scans.models.scan import Scan


class TitleRecord(models.Model):
    """One document of title or custody of an accession, or of a part of it. It makes no verdict.

    right_held_by: who held the right to give; right_basis: how that is known. Blank is not known, and is said so.
    """

    class Kind(models.TextChoices):
        GIFT = "gift", _("Deed of gift")
        BEQUEST = "bequest", _("Bequest")
        PURCHASE = "purchase", _("Purchase")
        EXCHANGE = "exchange", _("Exchange")
        TRANSFER = "transfer", _("Transfer")
        DEPOSIT = "deposit", _("Deposit: title stays with the owner")
        FIELD = "field", _("Taken by the institution’s own people")
        FOUND = "found", _("Found in the collection, origin not known")

    accession = models.ForeignKey(Accession, on_delete=models.CASCADE, related_name="title_records")
    part = models.ForeignKey(Part, on_delete=models.CASCADE, null=True, blank=True, related_name="title_records")
    kind = models.CharField(_("kind"), max_length=10, choices=Kind)
    dated_on = models.DateField(_("dated"), null=True, blank=True)
    given_by = models.CharField(_("given by"), max_length=300, blank=True)
    right_held_by = models.CharField(_("the right to give was held by"), max_length=300, blank=True)
    right_basis = models.TextField(_("how that is known"), blank=True)
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, null=True, blank=True, related_name="title_records")
    scan = models.ForeignKey(Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="title_records")
    note = models.TextField(_("note"), blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["accession", "dated_on", "pk"]
        verbose_name = _("title record")
        verbose_name_plural = _("title records")
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    kind__in=["gift", "bequest", "purchase", "exchange", "transfer", "deposit", "field", "found"]
                ),
                name="titlerecord_kind_known",
            ),
            models.CheckConstraint(
                condition=Q(right_basis="") | ~Q(right_held_by=""),
                name="titlerecord_right_of_somebody",
                violation_error_message=_("Say who held the right to give, not only how it is known."),
            ),
        ]
