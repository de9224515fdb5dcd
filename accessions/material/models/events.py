"""Who took something where, when and how."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.sites.models import Site


class SamplingEvent(models.Model):
    """One act of taking, as one record states it: when, where, how and by whom, in the words of the record.

    The Darwin Core columns hold what was written and nothing else; the engine reads them. The columns after them are
    what was read, for lists, maps and constraints: days, WGS84 degrees, metres. digest: SHA-256 of the written columns,
    so that one statement is one row however many specimens share it. Two records that give one eventID but differ
    elsewhere are two rows with one ``number``.
    """

    class Reading(models.TextChoices):
        """How the date could be read (the contract of verdicts, section 3)."""

        RUN = "run", _("Known to the day")
        VAGUE = "vague", _("Vague")
        MISSING = "missing", _("Missing")
        UNREADABLE = "unreadable", _("Not readable without guessing")
        CONFLICT = "conflict", _("In conflict with other columns")

    number = models.CharField(_("event number"), max_length=200, blank=True, db_index=True)
    event_date = models.TextField(_("date as written"), blank=True)
    verbatim_event_date = models.TextField(blank=True)
    year = models.TextField(blank=True)
    month = models.TextField(blank=True)
    day = models.TextField(blank=True)
    decimal_latitude = models.TextField(blank=True)
    decimal_longitude = models.TextField(blank=True)
    geodetic_datum = models.TextField(blank=True)
    coordinate_precision = models.TextField(blank=True)
    coordinate_uncertainty_m = models.TextField(blank=True)
    verbatim_coordinates = models.TextField(blank=True)
    verbatim_latitude = models.TextField(blank=True)
    verbatim_longitude = models.TextField(blank=True)
    verbatim_coordinate_system = models.TextField(blank=True)
    verbatim_srs = models.TextField(blank=True)
    footprint_wkt = models.TextField(blank=True)
    footprint_srs = models.TextField(blank=True)
    country_code = models.TextField(blank=True)
    state_province = models.TextField(blank=True)
    location_id = models.TextField(blank=True)
    site_name = models.TextField(blank=True)
    locality = models.TextField(_("locality"), blank=True)
    data_generalizations = models.TextField(blank=True)
    information_withheld = models.TextField(blank=True)
    sampling_protocol = models.TextField(_("methods"), blank=True)
    recorded_by = models.TextField(_("people"), blank=True)
    digest = models.CharField(max_length=64, unique=True, editable=False)

    site = models.ForeignKey(Site, on_delete=models.PROTECT, null=True, blank=True, related_name="events")
    reading = models.CharField(max_length=10, choices=Reading, editable=False)
    earliest_on = models.DateField(null=True, editable=False)
    latest_on = models.DateField(null=True, editable=False)
    longitude_deg = models.FloatField(null=True, editable=False)
    latitude_deg = models.FloatField(null=True, editable=False)
    radius_m = models.FloatField(null=True, editable=False, help_text=_("as stated; null where not known"))
    country = models.CharField(max_length=2, blank=True, editable=False, db_index=True)

    history = HistoricalRecords()

    COLUMN_OF_TERM = {
        "eventID": "number", "eventDate": "event_date", "verbatimEventDate": "verbatim_event_date", "year": "year",
        "month": "month", "day": "day", "decimalLatitude": "decimal_latitude",
        "decimalLongitude": "decimal_longitude", "geodeticDatum": "geodetic_datum",
        "coordinatePrecision": "coordinate_precision", "coordinateUncertaintyInMeters": "coordinate_uncertainty_m",
        "verbatimCoordinates": "verbatim_coordinates", "verbatimLatitude": "verbatim_latitude",
        "verbatimLongitude": "verbatim_longitude", "verbatimCoordinateSystem": "verbatim_coordinate_system",
        "verbatimSRS": "verbatim_srs", "footprintWKT": "footprint_wkt", "footprintSRS": "footprint_srs",
        "countryCode": "country_code", "stateProvince": "state_province", "locationID": "location_id",
        "siteName": "site_name", "locality": "locality", "dataGeneralizations": "data_generalizations",
        "informationWithheld": "information_withheld", "samplingProtocol": "sampling_protocol",
        "recordedBy": "recorded_by",
    }  # fmt: skip
    """Column of each term of the exchange file (Darwin Core, and our own ``siteName``)."""

    class Meta:
        verbose_name = _("sampling event")
        verbose_name_plural = _("sampling events")
        indexes = [models.Index(fields=["earliest_on", "id"], name="event_by_day")]
        constraints = [
            models.CheckConstraint(
                condition=Q(earliest_on__isnull=True) | Q(latest_on__isnull=True) | Q(latest_on__gte=F("earliest_on")),
                name="event_period",
                violation_error_message=_("The last day is before the first day."),
            ),
            models.CheckConstraint(
                condition=Q(reading__in=["run", "vague"]) | Q(earliest_on__isnull=True, latest_on__isnull=True),
                name="event_days_only_if_read",
            ),
            models.CheckConstraint(
                condition=Q(longitude_deg__isnull=True, latitude_deg__isnull=True)
                | Q(
                    longitude_deg__isnull=False,
                    latitude_deg__isnull=False,
                    longitude_deg__range=(-180, 180),
                    latitude_deg__range=(-90, 90),
                ),
                name="event_on_earth",
            ),
            models.CheckConstraint(
                condition=Q(radius_m__isnull=True) | Q(radius_m__gt=0), name="event_radius_positive"
            ),
        ]

    def __str__(self) -> str:
        return self.number or self.event_date or f"#{self.pk}"
