"""The stops of a plan: where and when, how, by whom, what for."""

from __future__ import annotations

from datetime import date
from typing import Final

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.names.models import RANKS
from accessions.sites.models import Site
from governance.plans.models.plan import Consignment, FieldPlan

FIRST_DAY: Final = date(1900, 1, 1)
LAST_DAY: Final = date(2200, 12, 31)
"""Between these days somebody may plan; a day of another age is a slip of typing."""


def _refuse_another_age(row: Stop | StopTrap) -> None:
    """Days that nobody plans for: all that is reckoned from them would leave the calendar."""
    told = {"first": FIRST_DAY.year, "last": LAST_DAY.year}
    words = _("Check the year: plans are for %(first)d to %(last)d.")
    wrong = [name for name in ("first_on", "last_on") if _is_of_another_age(getattr(row, name))]
    if wrong:
        raise ValidationError({name: words % told for name in wrong})


def _is_of_another_age(day: date | None) -> bool:
    return day is not None and not FIRST_DAY <= day <= LAST_DAY


class Stop(models.Model):
    """One place for some days. Methods and people are written as Darwin Core writes them, separated by `` | ``.

    The place is a registered site, a point with the radius within which material will be taken, or a drawn area
    (GeoJSON geometry, RFC 7946). A day that is not fixed yet is blank.
    """

    plan = models.ForeignKey(FieldPlan, on_delete=models.CASCADE, related_name="stops")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(_("stop"), max_length=200)
    site = models.ForeignKey(
        Site, on_delete=models.PROTECT, null=True, blank=True, related_name="stops", verbose_name=_("registered site")
    )
    country = models.CharField(_("country"), max_length=2, blank=True, help_text=_("ISO 3166-1, two letters"))
    longitude_deg = models.FloatField(
        _("longitude"), null=True, blank=True, validators=[MinValueValidator(-180), MaxValueValidator(180)]
    )
    latitude_deg = models.FloatField(
        _("latitude"), null=True, blank=True, validators=[MinValueValidator(-90), MaxValueValidator(90)]
    )
    radius_m = models.FloatField(
        _("radius (m)"), null=True, blank=True, help_text=_("How far from the point you will collect")
    )
    area = models.TextField(_("drawn area"), blank=True, help_text=_("GeoJSON, longitude first, WGS84"))
    first_on = models.DateField(_("first day"), null=True, blank=True)
    last_on = models.DateField(_("last day"), null=True, blank=True)
    methods = models.CharField(_("methods"), max_length=500, blank=True, help_text=_("Separate several by |"))
    people = models.CharField(_("people"), max_length=1000, blank=True, help_text=_("Separate several by |"))
    consignment = models.ForeignKey(
        Consignment, on_delete=models.SET_NULL, null=True, blank=True, related_name="stops", verbose_name=_("way home"),
        help_text=_("Blank: the first of the plan"),
    )  # fmt: skip
    remarks = models.TextField(_("remarks"), blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["plan", "position", "pk"]
        verbose_name = _("stop")
        verbose_name_plural = _("stops")
        constraints = [
            models.CheckConstraint(
                condition=~Q(name=""), name="stop_named", violation_error_message=_("Give the stop a name.")
            ),
            models.CheckConstraint(
                condition=Q(first_on__isnull=True) | Q(last_on__isnull=True) | Q(last_on__gte=F("first_on")),
                name="stop_period",
                violation_error_message=_("The last day is before the first day."),
            ),
            models.CheckConstraint(
                condition=Q(longitude_deg__isnull=True, latitude_deg__isnull=True, radius_m__isnull=True)
                | Q(
                    longitude_deg__isnull=False,
                    latitude_deg__isnull=False,
                    longitude_deg__range=(-180, 180),
                    latitude_deg__range=(-90, 90),
                ),
                name="stop_whole_point",
                violation_error_message=_("A point has a longitude (-180 to 180) and a latitude (-90 to 90)."),
            ),
            models.CheckConstraint(
                condition=Q(radius_m__isnull=True) | Q(radius_m__gt=0),
                name="stop_radius_positive",
                violation_error_message=_("The radius is more than zero metres."),
            ),
            models.CheckConstraint(
                condition=Q(country="") | Q(country__regex=r"^[A-Z]{2}$"),
                name="stop_country_form",
                violation_error_message=_("A country is two capital letters (ISO 3166-1)."),
            ),
        ]

    def clean(self) -> None:
        """Raises:
        ValidationError: a day of another age.
        """
        super().clean()
        _refuse_another_age(self)

    def __str__(self) -> str:
        return self.name


class StopTarget(models.Model):
    """A group that is meant to be taken at a stop, and about how many: "400", "200-400", "ca. 50"; blank: not known.

    rank, higher: its place in the classification, as Darwin Core writes taxonRank and higherClassification; blank: as
    the names of the register say, if they know it.
    """

    RANKS = [
        ("kingdom", _("kingdom")), ("phylum", _("phylum")), ("class", _("class")), ("order", _("order")),
        ("superfamily", _("superfamily")), ("family", _("family")), ("subfamily", _("subfamily")),
        ("tribe", _("tribe")), ("genus", _("genus")), ("subgenus", _("subgenus")), ("species", _("species")),
        ("infraspecies", _("infraspecies")),
    ]  # fmt: skip

    stop = models.ForeignKey(Stop, on_delete=models.CASCADE, related_name="targets")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(_("group"), max_length=200, help_text=_("A scientific name at any rank"))
    kingdom = models.CharField(_("kingdom"), max_length=50, blank=True)
    rank = models.CharField(_("rank"), max_length=20, blank=True, choices=RANKS)
    higher = models.CharField(
        _("belongs to"), max_length=500, blank=True, help_text=_("Higher names, the highest first, separated by |")
    )
    expected = models.CharField(_("expected number"), max_length=60, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["stop", "position", "pk"]
        verbose_name = _("target group")
        verbose_name_plural = _("target groups")
        constraints = [
            models.CheckConstraint(
                condition=~Q(name=""), name="stoptarget_named", violation_error_message=_("Name the group.")
            ),
            models.CheckConstraint(condition=Q(rank__in=["", *RANKS]), name="stoptarget_rank_known"),
        ]

    def __str__(self) -> str:
        return self.name


class StopTrap(models.Model):
    """Traps that stand at a stop, perhaps longer than the team: one run from the day set to the day emptied."""

    stop = models.ForeignKey(Stop, on_delete=models.CASCADE, related_name="traps")
    position = models.PositiveSmallIntegerField(default=0)
    method = models.CharField(_("trap"), max_length=100, help_text=_("Such as Malaise trap"))
    number = models.PositiveSmallIntegerField(_("how many"), default=1, validators=[MinValueValidator(1)])
    first_on = models.DateField(_("set on"), null=True, blank=True)
    last_on = models.DateField(_("emptied on"), null=True, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["stop", "position", "pk"]
        verbose_name = _("trap")
        verbose_name_plural = _("traps")
        constraints = [
            models.CheckConstraint(
                condition=~Q(method=""), name="stoptrap_named", violation_error_message=_("Name the kind of trap.")
            ),
            models.CheckConstraint(
                condition=Q(first_on__isnull=True) | Q(last_on__isnull=True) | Q(last_on__gte=F("first_on")),
                name="stoptrap_period",
                violation_error_message=_("The trap is emptied before it is set."),
            ),
            models.CheckConstraint(condition=Q(number__gte=1), name="stoptrap_number_positive"),
        ]

    def clean(self) -> None:
        """Raises:
        ValidationError: a day of another age.
        """
        super().clean()
        _refuse_another_age(self)

    def __str__(self) -> str:
        return self.method
