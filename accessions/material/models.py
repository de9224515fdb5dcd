"""What was taken and how it came in: accessions, their deliveries and parts, sampling events, specimens."""

from __future__ import annotations

from datetime import date, timedelta
from math import ceil

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy
from simple_history.models import HistoricalRecords

from accessions.names.models import WrittenName
from accessions.people.models import Agent
from accessions.sites.models import Site


class Accession(models.Model):
    """One acquisition: one source, one kind of transaction, one number in the book (legal custody)."""

    class Kind(models.TextChoices):
        FIELD = "field", _("Field collecting")
        GIFT = "gift", _("Gift")
        BEQUEST = "bequest", _("Bequest")
        EXCHANGE = "exchange", _("Exchange")
        PURCHASE = "purchase", _("Purchase")
        TRANSFER = "transfer", _("Transfer")
        DEPOSIT = "deposit", _("Deposit, title stays with the owner")
        FOUND = "found", _("Found in the collection")
        UNKNOWN = "unknown", _("Not known")

    class TotalKind(models.TextChoices):
        """How the number of items was come by. Source: US Fish and Wildlife Service manual, 126 FW 2."""

        ACTUAL = "actual", _("Actual")
        ESTIMATED = "estimated", _("Estimated")
        BULK = "bulk", _("Bulk")

    number = models.CharField(_("accession number"), max_length=100, unique=True)
    title = models.CharField(_("title"), max_length=200, blank=True)
    kind = models.CharField(_("kind"), max_length=20, choices=Kind, default=Kind.UNKNOWN)
    source = models.ForeignKey(
        Agent, on_delete=models.PROTECT, null=True, blank=True, related_name="accessions", verbose_name=_("source")
    )
    received_on = models.DateField(_("received on"), null=True, blank=True)
    accessioned_on = models.DateField(_("accessioned on"), null=True, blank=True)
    total = models.PositiveIntegerField(_("total"), null=True, blank=True)
    total_kind = models.CharField(_("total is"), max_length=10, choices=TotalKind, default=TotalKind.ACTUAL)
    description = models.TextField(_("description"), blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["number"]
        verbose_name = _("accession")
        verbose_name_plural = _("accessions")
        constraints = [
            models.CheckConstraint(
                condition=~Q(number=""),
                name="accession_numbered",
                violation_error_message=_("Give the accession a number."),
            ),
            models.CheckConstraint(
                condition=Q(received_on__isnull=True)
                | Q(accessioned_on__isnull=True)
                | Q(accessioned_on__gte=F("received_on")),
                name="accession_received_first",
                violation_error_message=_("The day of accession is before the day of receipt."),
            ),
            models.CheckConstraint(
                condition=Q(total_kind__in=["actual", "estimated", "bulk"]), name="accession_total_kind_known"
            ),
        ]

    def __str__(self) -> str:
        return self.number


class Part(models.Model):
    """A part of an accession to which papers can be linked: a site, a batch. Material may belong to no part."""

    accession = models.ForeignKey(Accession, on_delete=models.CASCADE, related_name="parts")
    letter = models.CharField(_("part"), max_length=10, help_text=_("A letter or a short number"))
    title = models.CharField(_("title"), max_length=200, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["accession", "letter"]
        verbose_name = _("part of an accession")
        verbose_name_plural = _("parts of accessions")
        constraints = [
            models.UniqueConstraint(
                fields=["accession", "letter"],
                name="part_letter_once",
                violation_error_message=_("The accession already has a part of this name."),
            ),
            models.CheckConstraint(
                condition=~Q(letter=""), name="part_lettered", violation_error_message=_("Give the part a letter.")
            ),
        ]

    def __str__(self) -> str:
        return f"{self.accession}, {self.letter}"


class Delivery(models.Model):
    """One consignment and its way: the days on which it left, arrived and changed hands.

    A field season may be one accession that arrives in several deliveries. A delivery may wait without an accession,
    under its entry number; ``number`` then is 0. The three days of the way are kept as written (Darwin Core style
    dates, read by ``accessions.values``). treatment_hours: what the regime asks for; release waits for it.
    """

    accession = models.ForeignKey(Accession, on_delete=models.CASCADE, null=True, blank=True, related_name="deliveries")
    number = models.PositiveSmallIntegerField(_("delivery"))
    entry_number = models.CharField(_("entry number"), max_length=30, blank=True)
    sender = models.ForeignKey(
        Agent,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="deliveries",
        verbose_name=pgettext_lazy("sender", "from"),
    )
    contents = models.CharField(_("contents"), max_length=300, blank=True)
    boxes = models.PositiveSmallIntegerField(_("boxes"), null=True, blank=True)
    received_on = models.DateField(_("received on"), null=True, blank=True)
    received_by = models.CharField(_("received by"), max_length=200, blank=True)
    brought_by = models.CharField(
        _("brought by"), max_length=200, blank=True, help_text=_("Who handed it over: a person, a carrier, the post")
    )
    exported_on = models.CharField(_("left the country on"), max_length=200, blank=True)
    imported_on = models.CharField(_("arrived on"), max_length=200, blank=True)
    transferred_on = models.CharField(_("changed hands on"), max_length=200, blank=True)
    quarantine_in_on = models.DateField(_("into quarantine on"), null=True, blank=True)
    quarantine_out_on = models.DateField(_("out of quarantine on"), null=True, blank=True)
    quarantine_by = models.CharField(_("quarantine by"), max_length=200, blank=True)
    quarantine_waived = models.CharField(
        _("no quarantine because"), max_length=200, blank=True, help_text=_("Such as: in ethanol")
    )
    treatment = models.CharField(_("treatment"), max_length=200, blank=True, help_text=_("Such as -30 °C for 72 h"))
    treatment_degrees_c = models.FloatField(_("temperature (°C)"), null=True, blank=True)
    treatment_hours = models.PositiveIntegerField(_("hours"), null=True, blank=True)
    released_at = models.DateTimeField(null=True, blank=True)
    released_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="deliveries_released"
    )
    remarks = models.TextField(_("remarks"), blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["accession", "number", "pk"]
        verbose_name = _("delivery")
        verbose_name_plural = _("deliveries")
        constraints = [
            models.UniqueConstraint(fields=["accession", "number"], name="delivery_number_once"),
            models.UniqueConstraint(
                fields=["entry_number"],
                condition=~Q(entry_number=""),
                name="delivery_entry_number_once",
                violation_error_message=_("Another delivery has this entry number."),
            ),
            models.CheckConstraint(
                condition=Q(accession__isnull=False, number__gte=1)
                | (Q(accession__isnull=True, number=0) & ~Q(entry_number="")),
                name="delivery_is_known_by_a_number",
                violation_error_message=_("A delivery without an accession has an entry number."),
            ),
            models.CheckConstraint(
                condition=Q(quarantine_out_on__isnull=True)
                | Q(quarantine_in_on__isnull=False, quarantine_out_on__gte=F("quarantine_in_on")),
                name="delivery_quarantine_order",
                violation_error_message=_("Material leaves quarantine after it went in: check the two days."),
            ),
            models.CheckConstraint(
                condition=Q(quarantine_waived="") | Q(quarantine_in_on__isnull=True),
                name="delivery_quarantine_or_none",
                violation_error_message=_("Either it was in quarantine, or say why not; not both."),
            ),
            models.CheckConstraint(
                condition=Q(released_at__isnull=True, released_by__isnull=True)
                | (
                    Q(released_at__isnull=False, released_by__isnull=False)
                    & (Q(quarantine_out_on__isnull=False) | ~Q(quarantine_waived=""))
                ),
                name="delivery_released_after_quarantine",
                violation_error_message=_("It is released once it is out of quarantine, or needs none for a reason."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.accession}, {self.number}" if self.accession_id else self.entry_number

    @property
    def is_unreleased(self) -> bool:
        """Whether nobody has let the material go to the collection. Of a delivery that was entered without a receipt
        that is known only while it is in quarantine."""
        in_quarantine = self.quarantine_in_on is not None and self.quarantine_out_on is None
        return self.released_at is None and (bool(self.entry_number) or in_quarantine)

    @property
    def earliest_release_on(self) -> date | None:
        """The first day on which the hours of the treatment have passed for certain; None if it is in none.

        The hour at which it went in is not recorded and may have been the last of its day, so only whole days after
        that day count: in on the 3rd for 72 hours, the 4th, 5th and 6th are three whole days, so from the 7th on.
        Without hours the day after.
        """
        if self.quarantine_in_on is None:
            return None
        return self.quarantine_in_on + timedelta(days=1 + ceil((self.treatment_hours or 0) / 24))


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


class Specimen(models.Model):
    """One thing with a label: a specimen, a lot, bulk material, or a part taken from one (a leg, an extract, a slide).

    What was written of the number of individuals stays; ``count_low``, ``count_high`` (null: no bound) and
    ``count_assumed`` are what was read. digest: SHA-256 of the row as it came in, by which a second load knows it.
    """

    class Kind(models.TextChoices):
        SPECIMEN = "specimen", _("Specimen")
        LOT = "lot", _("Lot")
        BULK = "bulk", _("Bulk material")
        PART = "part", _("Part of a specimen")

    catalog_number = models.CharField(_("catalogue number"), max_length=200, blank=True)
    accession = models.ForeignKey(Accession, on_delete=models.PROTECT, related_name="specimens")
    part = models.ForeignKey(
        Part, on_delete=models.PROTECT, null=True, blank=True, related_name="specimens", verbose_name=_("part")
    )
    delivery = models.ForeignKey(
        Delivery, on_delete=models.PROTECT, null=True, blank=True, related_name="specimens", verbose_name=_("delivery")
    )
    event = models.ForeignKey(SamplingEvent, on_delete=models.PROTECT, related_name="specimens")
    name = models.ForeignKey(WrittenName, on_delete=models.PROTECT, related_name="specimens")
    parent = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="children", verbose_name=_("taken from")
    )
    kind = models.CharField(_("kind"), max_length=10, choices=Kind, default=Kind.SPECIMEN)
    preparation = models.CharField(_("preparation"), max_length=200, blank=True, help_text=_("Such as leg, extract"))
    individual_count = models.CharField(_("count"), max_length=200, blank=True)
    count_range = models.CharField(_("range of the count"), max_length=200, blank=True)
    unit = models.CharField(_("unit"), max_length=50, blank=True)
    basis_of_record = models.CharField(_("basis of record"), max_length=100, blank=True)
    organism_quantity = models.CharField(_("quantity"), max_length=200, blank=True)
    sex = models.CharField(_("sex"), max_length=200, blank=True)
    life_stage = models.CharField(_("life stage"), max_length=200, blank=True)
    remarks = models.TextField(_("remarks"), blank=True)
    count_low = models.BigIntegerField(editable=False, default=1)
    count_high = models.BigIntegerField(editable=False, null=True, default=1)
    count_assumed = models.BooleanField(editable=False, default=False)
    digest = models.CharField(max_length=64, editable=False, blank=True, db_index=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["catalog_number", "pk"]
        verbose_name = _("specimen")
        verbose_name_plural = _("specimens")
        indexes = [
            # Readers send numbers in the case that their keyboard is in: found without reading all numbers.
            models.Index(Lower("catalog_number"), name="specimen_number_any_case"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["catalog_number"],
                condition=~Q(catalog_number=""),
                name="specimen_number_once",
                violation_error_message=_("Another specimen has this catalogue number."),
            ),
            models.CheckConstraint(
                condition=Q(count_low__gte=0) & (Q(count_high__isnull=True) | Q(count_high__gte=F("count_low"))),
                name="specimen_count_range",
                violation_error_message=_("The largest number is below the smallest."),
            ),
            models.CheckConstraint(
                condition=Q(parent__isnull=True) | ~Q(parent=F("id")),
                name="specimen_not_own_parent",
                violation_error_message=_("A specimen cannot be taken from itself."),
            ),
            models.CheckConstraint(
                condition=~Q(kind="part") | Q(parent__isnull=False),
                name="specimen_part_has_parent",
                violation_error_message=_("Say which specimen this part was taken from."),
            ),
            models.CheckConstraint(
                condition=Q(kind__in=["specimen", "lot", "bulk", "part"]), name="specimen_kind_known"
            ),
        ]

    def __str__(self) -> str:
        return self.catalog_number or f"#{self.pk}"


class PoolMember(models.Model):
    """A specimen of which a pooled sample was made: the sample has all that bears on any of its members."""

    pool = models.ForeignKey(Specimen, on_delete=models.CASCADE, related_name="pool_members", verbose_name=_("pool"))
    member = models.ForeignKey(
        Specimen, on_delete=models.PROTECT, related_name="pooled_in", verbose_name=_("made from")
    )

    history = HistoricalRecords()

    class Meta:
        ordering = ["pool", "member"]
        verbose_name = _("member of a pool")
        verbose_name_plural = _("members of pools")
        constraints = [
            models.UniqueConstraint(
                fields=["pool", "member"],
                name="poolmember_once",
                violation_error_message=_("This specimen is already a member of the pool."),
            ),
            models.CheckConstraint(
                condition=~Q(pool=F("member")),
                name="poolmember_of_another",
                violation_error_message=_("A pool is not made from itself."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pool_id} < {self.member_id}"


class Determination(models.Model):
    """Who called a specimen what, and when. The current one is also ``Specimen.name``; earlier ones stay."""

    specimen = models.ForeignKey(Specimen, on_delete=models.CASCADE, related_name="determinations")
    name = models.ForeignKey(WrittenName, on_delete=models.PROTECT, related_name="determinations")
    identified_by = models.CharField(_("identified by"), max_length=300, blank=True)
    date_identified = models.CharField(_("identified on"), max_length=100, blank=True)
    remarks = models.TextField(_("remarks"), blank=True)
    is_current = models.BooleanField(default=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["specimen", "-is_current", "-pk"]
        verbose_name = _("determination")
        verbose_name_plural = _("determinations")
        indexes = [
            # What was named before it was taken is asked of all of them at once: answered from the index alone.
            models.Index(fields=["specimen", "date_identified"], name="determination_specimen_date"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["specimen"],
                condition=Q(is_current=True),
                name="determination_one_current",
                violation_error_message=_("Another determination is the current one."),
            ),
        ]

    def __str__(self) -> str:
        return str(self.name_id)


class Touch(models.Model):
    """A mark that facts or papers changed and whose verdicts are therefore to be looked at again.

    Written in the transaction of the change, taken away in that of the new verdicts: if the machine stops between the
    two, the mark is still there. ``scope`` names what changed, ``key`` its primary key (0 for all).
    """

    class Scope(models.TextChoices):
        ALL = "all"
        ACCESSION = "accession"
        PART = "part"
        DELIVERY = "delivery"
        EVENT = "event"
        SITE = "site"
        SPECIMEN = "specimen"
        NAMES = "names"
        PAPER = "paper"
        COUNTRY = "country"

    scope = models.CharField(max_length=10, choices=Scope)
    key = models.BigIntegerField(default=0)
    why = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(scope__in=["all", "accession", "part", "delivery", "event", "site", "specimen", "names",
                                       "paper", "country"]),
                name="touch_scope_known",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"{self.scope} {self.key}: {self.why}"
