"""A field plan and its way home."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.material.models import Accession


class PlanLanguage(models.TextChoices):
    """Languages of the field pack; each is a file of words in ``governance/plans/pack``."""

    EN = "en", "English"
    ES = "es", "Español"
    FR = "fr", "Français"
    PT = "pt", "Português"


PLANNED_USES = {
    "morphology": _("Study of form: sorting, naming, imaging"),
    "sequencing": _("DNA or RNA sequencing"),
    "duplicates": _("Duplicates shared with other collections"),
    "living": _("Kept or reared alive"),
    "commercial": _("Commercial use"),
}
"""Uses that are meant for the material, by the word that is stored."""


class FieldPlan(models.Model):
    """One trip or season before it begins: what is planned, in which language the team reads, and how it ended.

    uses: words of ``PLANNED_USES``. accession: what the plan was turned into; its specimens count from then on, the
    plan no longer does. closed_at: the plan was given up or is over; it counts no more.
    """

    reference = models.CharField(
        _("plan number"), max_length=60, unique=True, help_text=_("A short number of your own, such as FP-2027-03")
    )
    title = models.CharField(_("title"), max_length=200)
    leader = models.CharField(_("led by"), max_length=200, blank=True)
    language = models.CharField(_("language of the field pack"), max_length=5, choices=PlanLanguage, default="en")
    uses = models.JSONField(_("uses meant for the material"), default=list, blank=True)
    contacts = models.TextField(
        _("whom to tell"), blank=True, help_text=_("In an emergency or when plans change: who, by which number")
    )
    remarks = models.TextField(_("remarks"), blank=True)
    copied_from = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="copies"
    )
    accession = models.OneToOneField(
        Accession, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="field_plan"
    )
    closed_at = models.DateTimeField(null=True, blank=True, editable=False)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="plans_closed",
    )  # fmt: skip
    closed_why = models.CharField(max_length=200, blank=True, editable=False)

    history = HistoricalRecords()

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("field plan")
        verbose_name_plural = _("field plans")
        constraints = [
            models.CheckConstraint(
                condition=~Q(reference=""),
                name="fieldplan_numbered",
                violation_error_message=_("Give the plan a number."),
            ),
            models.CheckConstraint(
                condition=~Q(title=""), name="fieldplan_titled", violation_error_message=_("Give the plan a title.")
            ),
            models.CheckConstraint(condition=Q(language__in=["en", "es", "fr", "pt"]), name="fieldplan_language_known"),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True, closed_by__isnull=True, closed_why="")
                | (Q(closed_at__isnull=False, closed_by__isnull=False) & ~Q(closed_why="")),
                name="fieldplan_closed_for_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return self.reference

    @property
    def is_open(self) -> bool:
        """Whether it may still be changed, and counts against caps."""
        return self.closed_at is None and self.accession_id is None


class Consignment(models.Model):
    """One way home: from where to where, on which days, by whom. Its three days are kept as written, as deliveries are.

    cites: whether listed species go with it; "" is not known.
    """

    class Cites(models.TextChoices):
        NOT_KNOWN = "", _("Not known")
        NONE = "none", _("No listed species")
        LISTED = "listed", _("With listed species")

    plan = models.ForeignKey(FieldPlan, on_delete=models.CASCADE, related_name="consignments")
    position = models.PositiveSmallIntegerField(default=0)
    from_country = models.CharField(_("export from"), max_length=2, blank=True)
    to_country = models.CharField(_("import to"), max_length=2, blank=True)
    exported_on = models.CharField(_("leaves the country on"), max_length=200, blank=True)
    imported_on = models.CharField(_("arrives on"), max_length=200, blank=True)
    transferred_on = models.CharField(_("changes hands on"), max_length=200, blank=True)
    carrier = models.CharField(_("carrier"), max_length=200, blank=True)
    cites = models.CharField(_("CITES"), max_length=10, choices=Cites, blank=True, default="")

    history = HistoricalRecords()

    class Meta:
        ordering = ["plan", "position", "pk"]
        verbose_name = _("way home")
        verbose_name_plural = _("ways home")
        constraints = [
            models.CheckConstraint(
                condition=(Q(from_country="") | Q(from_country__regex=r"^[A-Z]{2}$"))
                & (Q(to_country="") | Q(to_country__regex=r"^[A-Z]{2}$")),
                name="consignment_country_form",
                violation_error_message=_("A country is two capital letters (ISO 3166-1)."),
            ),
            models.CheckConstraint(condition=Q(cites__in=["", "none", "listed"]), name="consignment_cites_known"),
        ]

    def __str__(self) -> str:
        return f"{self.from_country or '?'} – {self.to_country or '?'}"
