"""Names as records write them, and the classification in which they are placed."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

RANKS = (
    "kingdom", "phylum", "class", "order", "superfamily", "family", "subfamily", "tribe", "genus", "subgenus",
    "species", "infraspecies",
)  # fmt: skip
"""Ranks of a lineage, highest first: those of the Darwin Core columns."""


class TaxonList(models.Model):
    """A list of taxa that was loaded beside what the specimens say: its name, its source, the day it was checked."""

    name = models.CharField(_("name"), max_length=200, unique=True)
    source = models.CharField(_("source"), max_length=300)
    checked_on = models.DateField(_("checked on"), null=True, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]
        verbose_name = _("list of taxa")
        verbose_name_plural = _("lists of taxa")

    def __str__(self) -> str:
        return self.name


class Taxon(models.Model):
    """One name in the classification, below its parent. Built from the names of the material and from loaded lists.

    lineage: the folded names from the highest rank to this one, joined by ``|`` and ended by one, so that
    ``lineage__startswith`` finds all that lies below. taxon_list: where it came from; null: from the material.
    """

    name = models.CharField(_("name"), max_length=200)
    key = models.CharField(max_length=200, editable=False, db_index=True)
    rank = models.CharField(_("rank"), max_length=20, blank=True)
    parent = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="children")
    lineage = models.TextField(editable=False, unique=True)
    taxon_list = models.ForeignKey(TaxonList, on_delete=models.PROTECT, null=True, blank=True, related_name="taxa")

    history = HistoricalRecords()

    class Meta:
        ordering = ["lineage"]
        verbose_name = _("taxon")
        verbose_name_plural = _("taxa")
        constraints = [
            models.CheckConstraint(condition=Q(rank__in=["", *RANKS]), name="taxon_rank_known"),
            models.CheckConstraint(condition=~Q(name=""), name="taxon_named"),
        ]

    def __str__(self) -> str:
        return self.name


ITALIC = ("genus", "subgenus", "species", "infraspecies")
"""Ranks of names that are set in italics: from the genus down."""


class WrittenName(models.Model):
    """One distinct way in which a record states a name: the Darwin Core columns as written, kept once.

    Rows are never changed: a record that states another name points at another row. digest: SHA-256 of the columns.
    shown, rank, qualified, taxon: what was read from it.
    """

    scientific_name = models.TextField(blank=True)
    scientific_name_authorship = models.TextField(blank=True)
    taxon_rank = models.TextField(blank=True)
    kingdom = models.TextField(blank=True)
    phylum = models.TextField(blank=True)
    class_name = models.TextField(blank=True)
    order = models.TextField(blank=True)
    superfamily = models.TextField(blank=True)
    family = models.TextField(blank=True)
    subfamily = models.TextField(blank=True)
    tribe = models.TextField(blank=True)
    genus = models.TextField(blank=True)
    subgenus = models.TextField(blank=True)
    specific_epithet = models.TextField(blank=True)
    infraspecific_epithet = models.TextField(blank=True)
    higher_classification = models.TextField(blank=True)
    identification_qualifier = models.TextField(blank=True)
    verbatim_identification = models.TextField(blank=True)
    digest = models.CharField(max_length=64, unique=True, editable=False)
    shown = models.CharField(_("name"), max_length=300, blank=True, db_index=True)
    rank = models.CharField(_("rank"), max_length=20, blank=True)
    qualified = models.BooleanField(_("with a doubt"), default=False)
    taxon = models.ForeignKey(Taxon, on_delete=models.PROTECT, null=True, related_name="written_names")

    COLUMN_OF_TERM = {
        "scientificName": "scientific_name", "scientificNameAuthorship": "scientific_name_authorship",
        "taxonRank": "taxon_rank", "kingdom": "kingdom", "phylum": "phylum", "class": "class_name", "order": "order",
        "superfamily": "superfamily", "family": "family", "subfamily": "subfamily", "tribe": "tribe",
        "genus": "genus", "subgenus": "subgenus", "specificEpithet": "specific_epithet",
        "infraspecificEpithet": "infraspecific_epithet", "higherClassification": "higher_classification",
        "identificationQualifier": "identification_qualifier", "verbatimIdentification": "verbatim_identification",
    }  # fmt: skip
    """Column of each Darwin Core term, in the order in which names are read."""

    class Meta:
        verbose_name = _("name as written")
        verbose_name_plural = _("names as written")

    def __str__(self) -> str:
        return self.shown

    @property
    def is_italic(self) -> bool:
        """Whether it is set in italics."""
        return self.rank in ITALIC
