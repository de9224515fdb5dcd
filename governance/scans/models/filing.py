"""Where a scan is filed. A filing is dated and never deleted: who filed it and when, who took it off and when."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from accessions.material.models import Accession
from accessions.sites.models import Site
from governance.scans.models.scan import Scan


class FiledAs(models.TextChoices):
    """What the file is in the legal file of an accession or site: common practice, no source."""

    PERMIT = "permit", _("Permit, consent or licence")
    TITLE = "title", _("Deed or other document of title")
    DECLARATION = "declaration", _("Declaration for customs or an authority")
    LETTER = "letter", _("Letter or mail")
    FIELD_NOTES = "field-notes", _("Field notes")
    LABELS = "labels", _("Photograph of labels")
    RECEIPT = "receipt", _("Receipt, or proof that something was sent")
    OTHER = "other", _("Other")
    UNSORTED = "unsorted", _("Not sorted yet")


class FiledScan(models.Model):
    """What all filings share, of accessions and sites here, of papers in the room of the papers.

    name: as it came, when it was filed. edition: 1, and one more for each later content that came under the same name
    for the same thing; ``replaces`` is the filing of the edition before. filed_why: where it came from, if told.
    """

    scan = models.ForeignKey(Scan, on_delete=models.PROTECT, related_name="%(class)ss")
    name = models.CharField(_("name"), max_length=500)
    edition = models.PositiveSmallIntegerField(_("edition"), default=1)
    replaces = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by")
    filed_at = models.DateTimeField(auto_now_add=True)
    filed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="%(class)ss_made")
    filed_why = models.CharField(max_length=200, blank=True)
    taken_off_at = models.DateTimeField(null=True, blank=True)
    taken_off_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="%(class)ss_ended"
    )
    taken_off_why = models.CharField(max_length=200, blank=True)

    class Meta:
        abstract = True
        ordering = ["-pk"]


FILED_CONSTRAINTS = (
    ("named", ~Q(name="")),
    ("edition", Q(edition=1, replaces__isnull=True) | Q(edition__gt=1, replaces__isnull=False)),
    (
        "end_whole",
        Q(taken_off_at__isnull=True, taken_off_by__isnull=True)
        | Q(taken_off_at__isnull=False, taken_off_by__isnull=False),
    ),
)
"""Conditions of every kind of filing, by the end of the constraint's name."""


class Filing(FiledScan):
    """A scan in the file of an accession or a site."""

    TARGETS = ("accession", "site")

    accession = models.ForeignKey(Accession, on_delete=models.PROTECT, null=True, blank=True, related_name="filings")
    site = models.ForeignKey(Site, on_delete=models.PROTECT, null=True, blank=True, related_name="filings")
    filed_as = models.CharField(_("what it is"), max_length=12, choices=FiledAs, default=FiledAs.UNSORTED)

    class Meta(FiledScan.Meta):
        abstract = False
        verbose_name = _("filing")
        verbose_name_plural = _("filings")
        constraints = [
            models.CheckConstraint(
                condition=Q(accession__isnull=False, site__isnull=True) | Q(accession__isnull=True, site__isnull=False),
                name="filing_one_target",
                violation_error_message=_("A scan is filed with one accession or one site."),
            ),
            models.CheckConstraint(condition=Q(filed_as__in=FiledAs.values), name="filing_filed_as_known"),
            *[models.CheckConstraint(condition=rule, name=f"filing_{name}") for name, rule in FILED_CONSTRAINTS],
            *[
                models.UniqueConstraint(
                    fields=["scan", target],
                    condition=Q(taken_off_at__isnull=True),
                    name=f"filing_{target}_once",
                    violation_error_message=_("The scan is filed there already."),
                )
                for target in ("accession", "site")
            ],
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def place(self) -> Accession | Site:
        """The accession or the site in whose file it is."""
        return self.accession or self.site  # type: ignore[return-value]  # one of them, by constraint
