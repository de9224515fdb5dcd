"""The scans of a paper, where on them a reading stands, and what was taken over from their words."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from governance.papers.models.paper import Paper, PaperVersion
from governance.scans.models.filing import FILED_CONSTRAINTS, FiledScan
from governance.scans.models.scan import Scan


class PaperScan(FiledScan):
    """A scan of a paper, or the range of its pages that is this paper: one PDF of sixty pages serves five papers.

    first_page, last_page: pages of the scan, both count; both null: all of it.
    """

    paper = models.ForeignKey(Paper, on_delete=models.CASCADE, related_name="scans")
    first_page = models.PositiveIntegerField(_("first page"), null=True, blank=True)
    last_page = models.PositiveIntegerField(_("last page"), null=True, blank=True)

    class Meta(FiledScan.Meta):
        abstract = False
        verbose_name = _("scan of a paper")
        verbose_name_plural = _("scans of papers")
        constraints = [
            *[models.CheckConstraint(condition=rule, name=f"paperscan_{name}") for name, rule in FILED_CONSTRAINTS],
            models.CheckConstraint(
                condition=Q(first_page__isnull=True, last_page__isnull=True)
                | Q(
                    first_page__isnull=False, last_page__isnull=False, first_page__gte=1, last_page__gte=F("first_page")
                ),
                name="paperscan_range",
                violation_error_message=_("The pages run from a first to a last one that is not before it."),
            ),
            models.UniqueConstraint(
                fields=["paper", "scan", "first_page"],
                condition=Q(taken_off_at__isnull=True, first_page__isnull=False),
                name="paperscan_range_once",
                violation_error_message=_("The paper has these pages already."),
            ),
            models.UniqueConstraint(
                fields=["paper", "scan"],
                condition=Q(taken_off_at__isnull=True, first_page__isnull=True),
                name="paperscan_whole_once",
                violation_error_message=_("The paper has this scan already."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def page_of_scan(self, page: int) -> int:
        """The page of the scan that is a page of the paper; both count from 1."""
        return (self.first_page or 1) + page - 1


class ReadingPage(models.Model):
    """The page of the paper on which a reading of a version stands: its validity, its places, its taxa, ...

    page counts in the paper: 1 is the first page of its range. Conditions carry their own page.
    """

    class Subject(models.TextChoices):
        VALID = "valid", _("Valid")
        PLACES = "places", _("Places")
        TAXA = "taxa", _("Taxa")
        METHODS = "methods", _("Methods")
        PEOPLE = "people", _("People")
        SEASONS = "seasons", _("Closed seasons")
        STAGES = "stages", _("Sexes and life stages")
        CAPS = "caps", _("Limits on numbers")

    version = models.ForeignKey(PaperVersion, on_delete=models.CASCADE, related_name="reading_pages")
    subject = models.CharField(max_length=10, choices=Subject)
    page = models.PositiveIntegerField(_("page"))

    history = HistoricalRecords()

    class Meta:
        ordering = ["version", "subject"]
        verbose_name = _("page of a reading")
        verbose_name_plural = _("pages of readings")
        constraints = [
            models.UniqueConstraint(fields=["version", "subject"], name="readingpage_subject_once"),
            models.CheckConstraint(condition=Q(page__gte=1), name="readingpage_from_one"),
            models.CheckConstraint(
                condition=Q(subject__in=["valid", "places", "taxa", "methods", "people", "seasons", "stages", "caps"]),
                name="readingpage_subject_known",
            ),
        ]


class AcceptedOffer(models.Model):
    """A value that was offered from the words of a scan and taken over by a person. Written once, never changed.

    field: the key of the exchange file that it went into. read_from: the words as they stand in the scan. start: where
    in the text of the page.
    """

    paper = models.ForeignKey(Paper, on_delete=models.CASCADE, related_name="accepted_offers")
    version = models.ForeignKey(
        PaperVersion, on_delete=models.SET_NULL, null=True, blank=True, related_name="accepted_offers"
    )
    field = models.CharField(max_length=40)
    value = models.TextField()
    read_from = models.TextField()
    scan = models.ForeignKey(Scan, on_delete=models.PROTECT, related_name="accepted_offers")
    page = models.PositiveIntegerField(help_text=_("of the scan"))
    start = models.PositiveIntegerField()
    accepted_at = models.DateTimeField(auto_now_add=True)
    accepted_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="offers_accepted")

    class Meta:
        ordering = ["paper", "pk"]
        verbose_name = _("value taken over from a scan")
        verbose_name_plural = _("values taken over from scans")
        constraints = [
            models.CheckConstraint(
                condition=~Q(field="") & ~Q(value="") & ~Q(read_from="") & Q(page__gte=1), name="acceptedoffer_whole"
            ),
        ]
