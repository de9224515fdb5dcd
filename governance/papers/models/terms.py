"""What a version of a paper allows: places, taxa, methods, people, seasons, caps, conditions."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.people.models import Agent
from governance.papers.models.paper import PaperVersion


class _Term(models.Model):
    """One line of a version, in the order of the paper."""

    version = models.ForeignKey(PaperVersion, on_delete=models.CASCADE, related_name="%(class)ss")
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        abstract = True
        ordering = ["version", "position", "pk"]


class VersionPlace(_Term):
    """A place that a version includes or excludes: one of country, subdivision, site, polygon, point and radius.

    A site may carry a polygon or a disc of its own; without one, the boundary of the registered site on the day holds.
    """

    excluded = models.BooleanField(_("excluded"), default=False)
    country = models.CharField(_("country"), max_length=2, blank=True)
    subdivision = models.CharField(_("subdivision"), max_length=6, blank=True)
    site = models.CharField(_("site"), max_length=200, blank=True, help_text=_("Code or name of the site"))
    geojson = models.TextField(_("polygon"), blank=True)
    longitude_deg = models.FloatField(
        _("longitude"), null=True, blank=True, validators=[MinValueValidator(-180), MaxValueValidator(180)]
    )
    latitude_deg = models.FloatField(
        _("latitude"), null=True, blank=True, validators=[MinValueValidator(-90), MaxValueValidator(90)]
    )
    radius_m = models.FloatField(_("radius (m)"), null=True, blank=True)
    boundary_error_m = models.FloatField(_("error of the boundary (m)"), null=True, blank=True)

    history = HistoricalRecords()

    class Meta(_Term.Meta):
        abstract = False
        verbose_name = _("place of a version")
        verbose_name_plural = _("places of versions")
        constraints = [
            models.CheckConstraint(
                condition=~Q(country="", subdivision="", site="", geojson="", longitude_deg__isnull=True),
                name="versionplace_says_something",
                violation_error_message=_("Name a country, a subdivision or a site, or give an area."),
            ),
            models.CheckConstraint(
                condition=Q(longitude_deg__isnull=True, latitude_deg__isnull=True, radius_m__isnull=True)
                | Q(
                    longitude_deg__isnull=False,
                    latitude_deg__isnull=False,
                    radius_m__isnull=False,
                    longitude_deg__range=(-180, 180),
                    latitude_deg__range=(-90, 90),
                    radius_m__gte=0,
                    geojson="",
                ),
                name="versionplace_whole_disc",
                violation_error_message=_("A point has a longitude, a latitude and a radius in metres."),
            ),
            models.CheckConstraint(
                condition=Q(boundary_error_m__isnull=True) | Q(boundary_error_m__gte=0),
                name="versionplace_error_positive",
                violation_error_message=_("The error of a boundary is zero or more metres."),
            ),
        ]


class VersionTaxon(_Term):
    """A taxon that a version includes or excludes, at any rank."""

    excluded = models.BooleanField(_("excluded"), default=False)
    name = models.CharField(_("taxon"), max_length=200)
    kingdom = models.CharField(_("kingdom"), max_length=50, blank=True)

    history = HistoricalRecords()

    class Meta(_Term.Meta):
        abstract = False
        verbose_name = _("taxon of a version")
        verbose_name_plural = _("taxa of versions")
        constraints = [models.CheckConstraint(condition=~Q(name=""), name="versiontaxon_named")]


class VersionWord(_Term):
    """A method, sex or life stage that a version allows or forbids."""

    class Subject(models.TextChoices):
        METHODS = "methods", _("Methods")
        SEXES = "sexes", _("Sexes")
        LIFE_STAGES = "life_stages", _("Life stages")

    subject = models.CharField(_("of"), max_length=12, choices=Subject)
    excluded = models.BooleanField(_("excluded"), default=False)
    word = models.CharField(_("word"), max_length=100)

    history = HistoricalRecords()

    class Meta(_Term.Meta):
        abstract = False
        verbose_name = _("method, sex or life stage of a version")
        verbose_name_plural = _("methods, sexes and life stages of versions")
        constraints = [
            models.CheckConstraint(condition=~Q(word=""), name="versionword_written"),
            models.CheckConstraint(
                condition=Q(subject__in=["methods", "sexes", "life_stages"]), name="versionword_subject_known"
            ),
        ]


class VersionPerson(_Term):
    """A person named on a version."""

    name = models.CharField(_("person"), max_length=200)
    agent = models.ForeignKey(Agent, on_delete=models.PROTECT, null=True, blank=True, related_name="named_on")

    history = HistoricalRecords()

    class Meta(_Term.Meta):
        abstract = False
        verbose_name = _("person on a version")
        verbose_name_plural = _("people on versions")
        constraints = [models.CheckConstraint(condition=~Q(name=""), name="versionperson_named")]


class VersionSeason(_Term):
    """A closed season of a version, which recurs each year; it may wrap over the new year."""

    from_month = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(12)])
    from_day = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(31)])
    to_month = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(12)])
    to_day = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(31)])

    history = HistoricalRecords()

    class Meta(_Term.Meta):
        abstract = False
        verbose_name = _("closed season")
        verbose_name_plural = _("closed seasons")
        constraints = [
            models.CheckConstraint(
                condition=Q(from_month__range=(1, 12), to_month__range=(1, 12), from_day__range=(1, 31),
                            to_day__range=(1, 31)),
                name="versionseason_in_calendar",
                violation_error_message=_("A season runs from a day and month to a day and month."),
            ),
        ]  # fmt: skip


class VersionCap(_Term):
    """A limit on the number of individuals: of a taxon or of all, each species or together, per paper, year, ..."""

    class Each(models.TextChoices):
        TOGETHER = "together", _("all together")
        SPECIES = "species", _("of each species")

    class Per(models.TextChoices):
        PAPER = "paper", _("under the paper")
        YEAR = "year", _("a calendar year")
        SITE = "site", _("a site")
        EVENT = "event", _("an event")

    taxon = models.CharField(_("taxon"), max_length=200, blank=True)
    kingdom = models.CharField(_("kingdom"), max_length=50, blank=True)
    each = models.CharField(_("counted"), max_length=10, choices=Each, default=Each.TOGETHER)
    per = models.CharField(_("per"), max_length=10, choices=Per, default=Per.PAPER)
    limit = models.PositiveBigIntegerField(_("limit"))

    history = HistoricalRecords()

    class Meta(_Term.Meta):
        abstract = False
        verbose_name = _("limit on numbers")
        verbose_name_plural = _("limits on numbers")
        constraints = [
            models.CheckConstraint(
                condition=Q(each__in=["together", "species"], per__in=["paper", "year", "site", "event"]),
                name="versioncap_words_known",
            ),
        ]


class Condition(_Term):
    """A condition of a version in the words of the paper, with the page where it stands.

    notice_days: it asks for notice to the issuer so many days before the first day in the field. report_by: it asks for
    a report each year by this day, as month and day ("01-31").
    """

    text = models.TextField(_("condition"))
    page = models.PositiveSmallIntegerField(_("page"), null=True, blank=True)
    notice_days = models.PositiveSmallIntegerField(_("notice, days before the first day"), null=True, blank=True)
    report_by = models.CharField(
        _("report each year by"), max_length=5, blank=True, help_text=_("Month and day, such as 01-31")
    )

    history = HistoricalRecords()

    class Meta(_Term.Meta):
        abstract = False
        verbose_name = _("condition")
        verbose_name_plural = _("conditions")
        constraints = [
            models.CheckConstraint(condition=~Q(text=""), name="condition_written"),
            models.CheckConstraint(condition=Q(page__isnull=True) | Q(page__gte=1), name="condition_page_from_one"),
            models.CheckConstraint(
                condition=Q(report_by="") | Q(report_by__regex=r"^(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"),
                name="condition_report_by_form",
                violation_error_message=_("A day of each year is a month and a day, such as 01-31."),
            ),
        ]
