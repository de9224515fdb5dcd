"""What countries require, and how the house reads what is left open."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from governance.engine.tables import Layer
from governance.verdicts.models.words import LAYERS


class CountrySheet(models.Model):
    """What is known of the requirements of a country ("" is everywhere), who checked it and when.

    A country without a sheet has no rule: its specimens cannot be told, and never pass as covered.
    """

    country = models.CharField(
        _("country"), max_length=2, blank=True, unique=True, help_text=_("ISO 3166-1, two letters; blank is everywhere")
    )
    authority = models.CharField(_("authority"), max_length=300, blank=True)
    contact = models.TextField(_("contact"), blank=True)
    remarks = models.TextField(_("remarks"), blank=True)
    checked_by = models.CharField(_("checked by"), max_length=200, blank=True)
    checked_on = models.DateField(_("checked on"), null=True, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["country"]
        verbose_name = _("country sheet")
        verbose_name_plural = _("country sheets")
        constraints = [
            models.CheckConstraint(
                condition=Q(country="") | Q(country__regex=r"^[A-Z]{2}$"),
                name="countrysheet_country_form",
                violation_error_message=_("A country is two capital letters (ISO 3166-1)."),
            ),
            models.CheckConstraint(
                condition=Q(checked_by="", checked_on__isnull=True) | (~Q(checked_by="") & Q(checked_on__isnull=False)),
                name="countrysheet_who_and_when",
                violation_error_message=_("Say who checked the sheet and on which day, both or neither."),
            ),
        ]

    def __str__(self) -> str:
        return self.country or str(_("Everywhere"))


class SheetRule(models.Model):
    """A dated, sourced rule of a sheet: the layer is, or is not, required from one day to another."""

    sheet = models.ForeignKey(CountrySheet, on_delete=models.CASCADE, related_name="rules")
    layer = models.PositiveSmallIntegerField(_("layer"), choices=LAYERS)
    required = models.BooleanField(_("required"))
    from_on = models.DateField(_("from"), null=True, blank=True)
    to_on = models.DateField(_("to"), null=True, blank=True)
    source = models.CharField(_("source"), max_length=500)
    lead_days = models.PositiveSmallIntegerField(_("lead time in days"), null=True, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["sheet", "layer", F("from_on").asc(nulls_first=True)]
        verbose_name = _("rule of a country sheet")
        verbose_name_plural = _("rules of country sheets")
        constraints = [
            models.CheckConstraint(
                condition=Q(from_on__isnull=True) | Q(to_on__isnull=True) | Q(to_on__gte=F("from_on")),
                name="sheetrule_period",
                violation_error_message=_("The last day is before the first day."),
            ),
            models.CheckConstraint(
                condition=~Q(source=""),
                name="sheetrule_sourced",
                violation_error_message=_("Say where the rule stands: law, paragraph, date."),
            ),
            models.CheckConstraint(condition=Q(layer__lt=len(Layer)), name="sheetrule_layer_known"),
            models.UniqueConstraint(
                fields=["sheet", "layer", "from_on"],
                name="sheetrule_start_once",
                violation_error_message=_("Another rule for this layer starts on the same day."),
            ),
            models.UniqueConstraint(
                fields=["sheet", "layer"],
                condition=Q(from_on__isnull=True),
                name="sheetrule_unknown_start_once",
                violation_error_message=_("Another rule for this layer starts on an unknown day, too."),
            ),
        ]


class HouseRuleSet(models.Model):
    """What the house assumes where a record is silent. One row; its history tells since when.

    approximate_count_percent: "ca. 400" counts as 400 ± this; null: as 1 to no bound.
    """

    assumed_radius_m = models.FloatField(
        _("assumed radius (m)"), null=True, blank=True, default=1000,
        help_text=_("Of a point whose uncertainty is not recorded; blank: such a point cannot be told"),
    )  # fmt: skip
    datum_allowance_m = models.FloatField(
        _("datum allowance (m)"), default=250, help_text=_("Added where the datum is not recorded")
    )
    approximate_count_percent = models.PositiveSmallIntegerField(
        _("“ca.” means within (%)"), null=True, blank=True,
        help_text=_("25: “ca. 400” counts as 300 to 500; blank: as one to no bound"),
    )  # fmt: skip
    longest_wait_days = models.PositiveSmallIntegerField(
        _("longest wait of a delivery (days)"), default=30,
        help_text=_("Deliveries that wait longer for release or for an accession number show up on Today"),
    )  # fmt: skip
    overrides_need_review = models.BooleanField(
        _("a second person agrees"), default=False,
        help_text=_("A decision beside a verdict counts once another person has agreed to it"),
    )  # fmt: skip

    history = HistoricalRecords()

    class Meta:
        verbose_name = _("house rules")
        verbose_name_plural = _("house rules")
        constraints = [
            models.CheckConstraint(condition=Q(id=1), name="houseruleset_one_row"),
            models.CheckConstraint(
                condition=Q(assumed_radius_m__isnull=True) | Q(assumed_radius_m__gt=0),
                name="houseruleset_radius_positive",
                violation_error_message=_("The assumed radius is more than zero metres, or blank."),
            ),
            models.CheckConstraint(
                condition=Q(datum_allowance_m__gte=0),
                name="houseruleset_allowance_positive",
                violation_error_message=_("The datum allowance is zero or more metres."),
            ),
            models.CheckConstraint(
                condition=Q(approximate_count_percent__isnull=True) | Q(approximate_count_percent__lt=100),
                name="houseruleset_percent",
                violation_error_message=_("The margin is less than 100 percent."),
            ),
        ]
