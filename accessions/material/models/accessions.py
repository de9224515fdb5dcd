"""What came in: accessions, their parts, and the deliveries in which they came."""

from __future__ import annotations

from datetime import date, timedelta
from math import ceil

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy
from simple_history.models import HistoricalRecords

from accessions.people.models import Agent


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
