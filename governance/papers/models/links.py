"""What a paper speaks for."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from accessions.material.models import Accession, Part, SamplingEvent, Specimen
from accessions.sites.models import Site
from governance.papers.models.paper import Paper


class PaperLink(models.Model):
    """What a paper speaks for: a specimen, a part of an accession, an accession, an event, a site, or all accessions.

    Links are dated and never deleted: who linked it and when, who took it off and when. A paper linked to a part does
    not speak for the rest of the accession.
    """

    TARGETS = ("specimen", "part", "accession", "event", "site")

    paper = models.ForeignKey(Paper, on_delete=models.CASCADE, related_name="links")
    specimen = models.ForeignKey(Specimen, on_delete=models.CASCADE, null=True, blank=True, related_name="paper_links")
    part = models.ForeignKey(Part, on_delete=models.CASCADE, null=True, blank=True, related_name="paper_links")
    accession = models.ForeignKey(
        Accession, on_delete=models.CASCADE, null=True, blank=True, related_name="paper_links"
    )
    event = models.ForeignKey(
        SamplingEvent, on_delete=models.CASCADE, null=True, blank=True, related_name="paper_links"
    )
    site = models.ForeignKey(Site, on_delete=models.CASCADE, null=True, blank=True, related_name="paper_links")
    all_accessions = models.BooleanField(default=False)
    linked_at = models.DateTimeField(auto_now_add=True)
    linked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="links_made"
    )
    unlinked_at = models.DateTimeField(null=True, blank=True)
    unlinked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="links_ended"
    )
    why = models.CharField(max_length=200, blank=True)
    unlinked_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["paper", "pk"]
        verbose_name = _("link of a paper")
        verbose_name_plural = _("links of papers")
        constraints = [
            models.CheckConstraint(
                condition=(
                    Q(specimen__isnull=False, part__isnull=True, accession__isnull=True, event__isnull=True, site__isnull=True, all_accessions=False)  # noqa: E501
                    | Q(specimen__isnull=True, part__isnull=False, accession__isnull=True, event__isnull=True, site__isnull=True, all_accessions=False)  # noqa: E501
                    | Q(specimen__isnull=True, part__isnull=True, accession__isnull=False, event__isnull=True, site__isnull=True, all_accessions=False)  # noqa: E501
                    | Q(specimen__isnull=True, part__isnull=True, accession__isnull=True, event__isnull=False, site__isnull=True, all_accessions=False)  # noqa: E501
                    | Q(specimen__isnull=True, part__isnull=True, accession__isnull=True, event__isnull=True, site__isnull=False, all_accessions=False)  # noqa: E501
                    | Q(specimen__isnull=True, part__isnull=True, accession__isnull=True, event__isnull=True, site__isnull=True, all_accessions=True)  # noqa: E501
                ),
                name="paperlink_one_target",
                violation_error_message=_("A link has exactly one target."),
            ),
            models.CheckConstraint(
                condition=Q(unlinked_at__isnull=False) | Q(unlinked_by__isnull=True),
                name="paperlink_end_has_time",
            ),
            *[
                models.UniqueConstraint(
                    fields=["paper", target],
                    condition=Q(unlinked_at__isnull=True),
                    name=f"paperlink_{target}_once",
                    violation_error_message=_("The paper is already linked to it."),
                )
                for target in ("specimen", "part", "accession", "event", "site")
            ],
            models.UniqueConstraint(
                fields=["paper"],
                condition=Q(unlinked_at__isnull=True, all_accessions=True),
                name="paperlink_all_once",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"{self.paper_id} -> {next((t for t in self.TARGETS if getattr(self, f'{t}_id')), 'all')}"
