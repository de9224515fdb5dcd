"""Sampling sites: where they are, in which boundary on which day, whose land, under which designation."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.people.models import Agent


def _period(prefix: str, first: str = "held_from", last: str = "held_to") -> models.CheckConstraint:
    """An end that is not before its start; either may be open."""
    return models.CheckConstraint(
        condition=Q(**{f"{first}__isnull": True}) | Q(**{f"{last}__isnull": True}) | Q(**{f"{last}__gte": F(first)}),
        name=f"{prefix}_period",
        violation_error_message=_("The last day is before the first day."),
    )


class Site(models.Model):
    """A place where material is taken, known by a code (Darwin Core locationID) and a name.

    ``code_key`` and ``name_key`` are the two folded: specimens find their site by either.
    """

    code = models.CharField(_("code"), max_length=100, help_text=_("locationID, such as SE-HAL-1"))
    name = models.CharField(_("name"), max_length=200, blank=True)
    country = models.CharField(_("country"), max_length=2, blank=True, help_text=_("ISO 3166-1, two letters"))
    subdivision = models.CharField(_("subdivision"), max_length=6, blank=True, help_text=_("ISO 3166-2, such as CR-A"))
    remarks = models.TextField(_("remarks"), blank=True)
    code_key = models.CharField(max_length=100, editable=False)
    name_key = models.CharField(max_length=200, editable=False, db_index=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["code"]
        verbose_name = _("site")
        verbose_name_plural = _("sites")
        constraints = [
            models.UniqueConstraint(
                fields=["code_key"],
                name="site_code_once",
                violation_error_message=_("Another site has this code."),
            ),
            models.CheckConstraint(
                condition=~Q(code=""), name="site_has_code", violation_error_message=_("Give the site a code.")
            ),
            models.CheckConstraint(
                condition=Q(country="") | Q(country__regex=r"^[A-Z]{2}$"),
                name="site_country_form",
                violation_error_message=_("A country is two capital letters (ISO 3166-1)."),
            ),
            models.CheckConstraint(
                condition=Q(subdivision="") | Q(subdivision__regex=r"^[A-Z]{2}-[A-Z0-9]{1,3}$"),
                name="site_subdivision_form",
                violation_error_message=_("A subdivision is a code of ISO 3166-2, such as CR-A."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}".strip()


class SiteBoundary(models.Model):
    """The outline of a site from one day to another: a polygon, or a point with a radius.

    polygon: GeoJSON geometry (Polygon or MultiPolygon, RFC 7946) as text. error_m: how well the line is known.
    """

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="boundaries")
    held_from = models.DateField(_("held from"), null=True, blank=True)
    held_to = models.DateField(_("held to"), null=True, blank=True)
    polygon = models.TextField(_("polygon"), blank=True, help_text=_("GeoJSON, longitude first, WGS84"))
    longitude_deg = models.FloatField(
        _("longitude"), null=True, blank=True, validators=[MinValueValidator(-180), MaxValueValidator(180)]
    )
    latitude_deg = models.FloatField(
        _("latitude"), null=True, blank=True, validators=[MinValueValidator(-90), MaxValueValidator(90)]
    )
    radius_m = models.FloatField(_("radius (m)"), null=True, blank=True)
    error_m = models.FloatField(_("error of the boundary (m)"), null=True, blank=True)
    source = models.CharField(_("source"), max_length=300, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["site", F("held_from").asc(nulls_first=True)]
        verbose_name = _("boundary of a site")
        verbose_name_plural = _("boundaries of sites")
        constraints = [
            _period("siteboundary"),
            models.UniqueConstraint(
                fields=["site", "held_from"],
                name="siteboundary_start_once",
                violation_error_message=_("Another boundary of this site starts on the same day."),
            ),
            models.UniqueConstraint(
                fields=["site"],
                condition=Q(held_from__isnull=True),
                name="siteboundary_unknown_start_once",
                violation_error_message=_("Another boundary of this site starts on an unknown day, too."),
            ),
            models.CheckConstraint(
                condition=(
                    Q(longitude_deg__isnull=True, latitude_deg__isnull=True, radius_m__isnull=True) & ~Q(polygon="")
                )
                | Q(
                    longitude_deg__isnull=False,
                    latitude_deg__isnull=False,
                    radius_m__isnull=False,
                    radius_m__gte=0,
                    polygon="",
                ),
                name="siteboundary_polygon_or_disc",
                violation_error_message=_("Give either a polygon, or a point with its radius in metres."),
            ),
            models.CheckConstraint(
                condition=Q(longitude_deg__isnull=True)
                | Q(longitude_deg__range=(-180, 180), latitude_deg__range=(-90, 90)),
                name="siteboundary_on_earth",
                violation_error_message=_("Longitude is from -180 to 180 degrees, latitude from -90 to 90."),
            ),
            models.CheckConstraint(
                condition=Q(error_m__isnull=True) | Q(error_m__gte=0),
                name="siteboundary_error_positive",
                violation_error_message=_("The error of a boundary is zero or more metres."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.site_id}: {self.held_from or '...'} – {self.held_to or '...'}"


class SiteTenure(models.Model):
    """Who owned or occupied a site, from one day to another."""

    class Kind(models.TextChoices):
        OWNER = "owner", _("Owner")
        OCCUPIER = "occupier", _("Occupier")

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="tenures")
    agent = models.ForeignKey(Agent, on_delete=models.PROTECT, related_name="tenures", verbose_name=_("who"))
    kind = models.CharField(_("as"), max_length=10, choices=Kind, default=Kind.OWNER)
    held_from = models.DateField(_("from"), null=True, blank=True)
    held_to = models.DateField(_("to"), null=True, blank=True)
    source = models.CharField(_("source"), max_length=300, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["site", "kind", F("held_from").asc(nulls_first=True)]
        verbose_name = _("owner or occupier")
        verbose_name_plural = _("owners and occupiers")
        constraints = [
            _period("sitetenure"),
            models.CheckConstraint(condition=Q(kind__in=["owner", "occupier"]), name="sitetenure_kind_known"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.agent_id}"


class SiteDesignation(models.Model):
    """A protected status of a site: its name, IUCN category and authority, from one day to another."""

    class Category(models.TextChoices):
        """IUCN protected area management categories (Dudley 2008, Guidelines for Applying ...)."""

        IA = "Ia", _("Ia, strict nature reserve")
        IB = "Ib", _("Ib, wilderness area")
        II = "II", _("II, national park")
        III = "III", _("III, natural monument or feature")
        IV = "IV", _("IV, habitat or species management area")
        V = "V", _("V, protected landscape or seascape")
        VI = "VI", _("VI, protected area with sustainable use of natural resources")

    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="designations")
    name = models.CharField(_("name"), max_length=200)
    category = models.CharField(_("IUCN category"), max_length=3, choices=Category, blank=True)
    authority = models.CharField(_("authority"), max_length=200, blank=True)
    held_from = models.DateField(_("from"), null=True, blank=True)
    held_to = models.DateField(_("to"), null=True, blank=True)
    source = models.CharField(_("source"), max_length=300, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["site", F("held_from").asc(nulls_first=True)]
        verbose_name = _("designation")
        verbose_name_plural = _("designations")
        constraints = [
            _period("sitedesignation"),
            models.CheckConstraint(
                condition=Q(category__in=["", "Ia", "Ib", "II", "III", "IV", "V", "VI"]),
                name="sitedesignation_category_known",
                violation_error_message=_("Choose one of the IUCN categories, or none."),
            ),
        ]

    def __str__(self) -> str:
        return self.name
