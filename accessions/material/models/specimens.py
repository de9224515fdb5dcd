"""What was taken: specimens, lots, parts, pooled samples, and what they were called."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.material.models.accessions import Accession, Delivery, Part
from accessions.material.models.events import SamplingEvent
from accessions.names.models import WrittenName


class Specimen(models.Model):
    """One thing with a label: a specimen, a lot, bulk material, or a part taken from one (a leg, an extract, a slide).

    What was written of the number of individuals stays; ``count_low``, ``count_high`` (null: no bound) and
    ``count_assumed`` are what was read. digest: SHA-256 of the row as it came in, by which a second load knows it.
    """

    class Kind(models.TextChoices):
        SPECIMEN = "specimen", _("Specimen")
        LOT = "lot", _("Lot")
        BULK = "bulk", _("Bulk material")
        PART = "part", _("Part of a specimen")

    catalog_number = models.CharField(_("catalogue number"), max_length=200, blank=True)
    accession = models.ForeignKey(Accession, on_delete=models.PROTECT, related_name="specimens")
    part = models.ForeignKey(
        Part, on_delete=models.PROTECT, null=True, blank=True, related_name="specimens", verbose_name=_("part")
    )
    delivery = models.ForeignKey(
        Delivery, on_delete=models.PROTECT, null=True, blank=True, related_name="specimens", verbose_name=_("delivery")
    )
    event = models.ForeignKey(SamplingEvent, on_delete=models.PROTECT, related_name="specimens")
    name = models.ForeignKey(WrittenName, on_delete=models.PROTECT, related_name="specimens")
    parent = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="children", verbose_name=_("taken from")
    )
    kind = models.CharField(_("kind"), max_length=10, choices=Kind, default=Kind.SPECIMEN)
    preparation = models.CharField(_("preparation"), max_length=200, blank=True, help_text=_("Such as leg, extract"))
    individual_count = models.CharField(_("count"), max_length=200, blank=True)
    count_range = models.CharField(_("range of the count"), max_length=200, blank=True)
    unit = models.CharField(_("unit"), max_length=50, blank=True)
    basis_of_record = models.CharField(_("basis of record"), max_length=100, blank=True)
    organism_quantity = models.CharField(_("quantity"), max_length=200, blank=True)
    sex = models.CharField(_("sex"), max_length=200, blank=True)
    life_stage = models.CharField(_("life stage"), max_length=200, blank=True)
    remarks = models.TextField(_("remarks"), blank=True)
    count_low = models.BigIntegerField(editable=False, default=1)
    count_high = models.BigIntegerField(editable=False, null=True, default=1)
    count_assumed = models.BooleanField(editable=False, default=False)
    digest = models.CharField(max_length=64, editable=False, blank=True, db_index=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["catalog_number", "pk"]
        verbose_name = _("specimen")
        verbose_name_plural = _("specimens")
        indexes = [
            # Readers send numbers in the case that their keyboard is in: found without reading all numbers.
            models.Index(Lower("catalog_number"), name="specimen_number_any_case"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["catalog_number"],
                condition=~Q(catalog_number=""),
                name="specimen_number_once",
                violation_error_message=_("Another specimen has this catalogue number."),
            ),
            models.CheckConstraint(
                condition=Q(count_low__gte=0) & (Q(count_high__isnull=True) | Q(count_high__gte=F("count_low"))),
                name="specimen_count_range",
                violation_error_message=_("The largest number is below the smallest."),
            ),
            models.CheckConstraint(
                condition=Q(parent__isnull=True) | ~Q(parent=F("id")),
                name="specimen_not_own_parent",
                violation_error_message=_("A specimen cannot be taken from itself."),
            ),
            models.CheckConstraint(
                condition=~Q(kind="part") | Q(parent__isnull=False),
                name="specimen_part_has_parent",
                violation_error_message=_("Say which specimen this part was taken from."),
            ),
            models.CheckConstraint(
                condition=Q(kind__in=["specimen", "lot", "bulk", "part"]), name="specimen_kind_known"
            ),
        ]

    def __str__(self) -> str:
        return self.catalog_number or f"#{self.pk}"


class PoolMember(models.Model):
    """A specimen of which a pooled sample was made: the sample has all that bears on any of its members."""

    pool = models.ForeignKey(Specimen, on_delete=models.CASCADE, related_name="pool_members", verbose_name=_("pool"))
    member = models.ForeignKey(
        Specimen, on_delete=models.PROTECT, related_name="pooled_in", verbose_name=_("made from")
    )

    history = HistoricalRecords()

    class Meta:
        ordering = ["pool", "member"]
        verbose_name = _("member of a pool")
        verbose_name_plural = _("members of pools")
        constraints = [
            models.UniqueConstraint(
                fields=["pool", "member"],
                name="poolmember_once",
                violation_error_message=_("This specimen is already a member of the pool."),
            ),
            models.CheckConstraint(
                condition=~Q(pool=F("member")),
                name="poolmember_of_another",
                violation_error_message=_("A pool is not made from itself."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pool_id} < {self.member_id}"


class Determination(models.Model):
    """Who called a specimen what, and when. The current one is also ``Specimen.name``; earlier ones stay."""

    specimen = models.ForeignKey(Specimen, on_delete=models.CASCADE, related_name="determinations")
    name = models.ForeignKey(WrittenName, on_delete=models.PROTECT, related_name="determinations")
    identified_by = models.CharField(_("identified by"), max_length=300, blank=True)
    date_identified = models.CharField(_("identified on"), max_length=100, blank=True)
    remarks = models.TextField(_("remarks"), blank=True)
    is_current = models.BooleanField(default=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["specimen", "-is_current", "-pk"]
        verbose_name = _("determination")
        verbose_name_plural = _("determinations")
        indexes = [
            # What was named before it was taken is asked of all of them at once: answered from the index alone.
            models.Index(fields=["specimen", "date_identified"], name="determination_specimen_date"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["specimen"],
                condition=Q(is_current=True),
                name="determination_one_current",
                violation_error_message=_("Another determination is the current one."),
            ),
        ]

    def __str__(self) -> str:
        return str(self.name_id)
