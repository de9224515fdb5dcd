"""Benefits: what papers promise to providers, what was given, and deposits in the country."""

from __future__ import annotations

from typing import Final

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.material.models import Accession
from governance.papers.models import Paper
from governance.scans.models import Scan
from governance.usedesk.models import MadeUse

_CODE: Final = r"^(M-[a-j]|N-[a-q])$"
_MONEY: Final = Q(amount__isnull=True, currency="") | Q(amount__isnull=False, currency__regex=r"^[A-Z]{3}$")
_QUANTITY: Final = Q(quantity__isnull=True, unit="") | (Q(quantity__isnull=False) & ~Q(unit=""))
_EITHER: Final = Q(amount__isnull=True) | Q(quantity__isnull=True)


class _Benefit(models.Model):
    """What both sides have. code: M-a to M-j, N-a to N-q (Nagoya Protocol, Annex), never the letter alone. amount with
    currency (ISO 4217), or quantity with its unit, or neither."""

    code = models.CharField(_("kind of benefit"), max_length=3, help_text=_("Nagoya Protocol, Annex"))
    what = models.CharField(_("in words"), max_length=300)
    beneficiary = models.CharField(_("for whom"), max_length=300, blank=True)
    country = models.CharField(_("country"), max_length=2, blank=True)
    amount = models.DecimalField(_("amount"), max_digits=14, decimal_places=2, null=True, blank=True)
    currency = models.CharField(_("currency"), max_length=3, blank=True, help_text=_("ISO 4217, such as EUR"))
    quantity = models.DecimalField(_("quantity"), max_digits=12, decimal_places=2, null=True, blank=True)
    unit = models.CharField(_("of what"), max_length=60, blank=True, help_text=_("Such as days, copies, people"))
    note = models.TextField(_("note"), blank=True)

    class Meta:
        abstract = True


class BenefitPromise(_Benefit):
    """A benefit that a paper promises. share_percent: of a deposit, the share of the material. due_on null: no day is
    fixed. closed: nothing more is to be given, for a reason, whatever was given."""

    paper = models.ForeignKey(
        Paper, on_delete=models.PROTECT, null=True, blank=True, related_name="benefit_promises", verbose_name=_("paper")
    )
    clause = models.TextField(_("clause, in the words of the paper"), blank=True)
    clause_number = models.CharField(_("clause number"), max_length=40, blank=True)
    page = models.PositiveSmallIntegerField(_("page"), null=True, blank=True)
    is_deposit = models.BooleanField(_("a deposit of material"), default=False)
    share_percent = models.DecimalField(
        _("share of the material (%)"), max_digits=5, decimal_places=2, null=True, blank=True
    )
    due_on = models.DateField(_("by"), null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True, editable=False)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="promises_closed",
    )  # fmt: skip
    closed_why = models.CharField(max_length=300, blank=True, editable=False)

    history = HistoricalRecords()

    class Meta:
        ordering = [F("due_on").asc(nulls_last=True), "pk"]
        verbose_name = _("promised benefit")
        verbose_name_plural = _("promised benefits")
        constraints = [
            models.CheckConstraint(
                condition=Q(code__regex=_CODE),
                name="benefitpromise_code_known",
                violation_error_message=_("A benefit is M-a to M-j or N-a to N-q (Nagoya Protocol, Annex)."),
            ),
            models.CheckConstraint(condition=~Q(what=""), name="benefitpromise_says_what"),
            models.CheckConstraint(
                condition=Q(country="") | Q(country__regex=r"^[A-Z]{2}$"),
                name="benefitpromise_country_form",
                violation_error_message=_("A country is two capital letters (ISO 3166-1)."),
            ),
            models.CheckConstraint(
                condition=_MONEY & (Q(amount__isnull=True) | Q(amount__gt=0)),
                name="benefitpromise_amount_with_currency",
                violation_error_message=_("An amount is above 0 and has a currency of three capital letters."),
            ),
            models.CheckConstraint(
                condition=_QUANTITY & (Q(quantity__isnull=True) | Q(quantity__gt=0)),
                name="benefitpromise_quantity_with_unit",
                violation_error_message=_("A quantity is above 0, and says of what."),
            ),
            models.CheckConstraint(
                condition=_EITHER,
                name="benefitpromise_money_or_quantity",
                violation_error_message=_("Give an amount or a quantity, not both."),
            ),
            models.CheckConstraint(
                condition=Q(share_percent__isnull=True)
                | Q(is_deposit=True, share_percent__gt=0, share_percent__lte=100),
                name="benefitpromise_share_of_a_deposit",
                violation_error_message=_("Only a deposit has a share, above 0 and up to 100 percent."),
            ),
            models.CheckConstraint(
                condition=Q(page__isnull=True) | Q(page__gte=1), name="benefitpromise_page_from_one"
            ),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True, closed_by__isnull=True, closed_why="")
                | (Q(closed_at__isnull=False, closed_by__isnull=False) & ~Q(closed_why="")),
                name="benefitpromise_closed_for_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return self.what


class BenefitGiven(_Benefit):
    """A benefit that was given on a day. promise: which it answers, if any; paper: the paper that asks for it. Voided,
    never deleted."""

    promise = models.ForeignKey(
        BenefitPromise, on_delete=models.PROTECT, null=True, blank=True, related_name="given",
        verbose_name=_("promise that it answers"),
    )  # fmt: skip
    paper = models.ForeignKey(
        Paper, on_delete=models.PROTECT, null=True, blank=True, related_name="benefits_given", verbose_name=_("paper")
    )
    on = models.DateField(_("on"))
    until_on = models.DateField(_("until"), null=True, blank=True)
    evidence = models.TextField(_("evidence"), help_text=_("Where the proof is: receipt, letter, list of people"))
    scan = models.ForeignKey(Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="benefits_given")
    recorded_at = models.DateTimeField(auto_now_add=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="benefits_recorded"
    )
    voided_at = models.DateTimeField(null=True, blank=True, editable=False)
    voided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="benefits_voided",
    )  # fmt: skip
    voided_why = models.CharField(max_length=200, blank=True, editable=False)

    history = HistoricalRecords()

    class Meta:
        ordering = ["-on", "-pk"]
        verbose_name = _("benefit that was given")
        verbose_name_plural = _("benefits that were given")
        constraints = [
            models.CheckConstraint(
                condition=Q(code__regex=_CODE),
                name="benefitgiven_code_known",
                violation_error_message=_("A benefit is M-a to M-j or N-a to N-q (Nagoya Protocol, Annex)."),
            ),
            models.CheckConstraint(condition=~Q(what=""), name="benefitgiven_says_what"),
            models.CheckConstraint(
                condition=Q(country="") | Q(country__regex=r"^[A-Z]{2}$"),
                name="benefitgiven_country_form",
                violation_error_message=_("A country is two capital letters (ISO 3166-1)."),
            ),
            models.CheckConstraint(
                condition=_MONEY & (Q(amount__isnull=True) | Q(amount__gt=0)),
                name="benefitgiven_amount_with_currency",
                violation_error_message=_("An amount is above 0 and has a currency of three capital letters."),
            ),
            models.CheckConstraint(
                condition=_QUANTITY & (Q(quantity__isnull=True) | Q(quantity__gt=0)),
                name="benefitgiven_quantity_with_unit",
                violation_error_message=_("A quantity is above 0, and says of what."),
            ),
            models.CheckConstraint(
                condition=_EITHER,
                name="benefitgiven_money_or_quantity",
                violation_error_message=_("Give an amount or a quantity, not both."),
            ),
            models.CheckConstraint(
                condition=Q(until_on__isnull=True) | Q(until_on__gte=F("on")),
                name="benefitgiven_period",
                violation_error_message=_("The last day is before the first day."),
            ),
            models.CheckConstraint(
                condition=~Q(evidence=""),
                name="benefitgiven_with_evidence",
                violation_error_message=_("Say where the proof is."),
            ),
            models.CheckConstraint(
                condition=Q(voided_at__isnull=True, voided_by__isnull=True, voided_why="")
                | (Q(voided_at__isnull=False, voided_by__isnull=False) & ~Q(voided_why="")),
                name="benefitgiven_voided_for_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return self.what


class Deposit(models.Model):
    """Material that was deposited in the country it came from: by a use that was made (its specimens are counted), or
    before it ever came here, as a number by hand. receipt: what the depository gave for it; blank: not there yet.
    """

    promise = models.ForeignKey(
        BenefitPromise, on_delete=models.PROTECT, null=True, blank=True, related_name="deposits",
        verbose_name=_("promise that it answers"),
    )  # fmt: skip
    paper = models.ForeignKey(
        Paper, on_delete=models.PROTECT, null=True, blank=True, related_name="deposits", verbose_name=_("paper")
    )
    accession = models.ForeignKey(
        Accession, on_delete=models.PROTECT, null=True, blank=True, related_name="deposits", verbose_name=_("accession")
    )
    country = models.CharField(_("country"), max_length=2)
    depository = models.CharField(_("where"), max_length=300)
    on = models.DateField(_("on"))
    use = models.OneToOneField(
        MadeUse,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="deposit",
        verbose_name=_("entry of uses"),
    )
    specimens = models.PositiveIntegerField(_("specimens that were never entered here"), null=True, blank=True)
    what = models.CharField(_("what"), max_length=300, blank=True, help_text=_("Such as holotypes, duplicates"))
    receipt = models.CharField(_("number of the receipt"), max_length=200, blank=True)
    receipt_on = models.DateField(_("receipt of"), null=True, blank=True)
    scan = models.ForeignKey(Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="deposits")
    note = models.TextField(_("note"), blank=True)
    recorded_at = models.DateTimeField(auto_now_add=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="deposits_recorded"
    )
    voided_at = models.DateTimeField(null=True, blank=True, editable=False)
    voided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="deposits_voided",
    )  # fmt: skip
    voided_why = models.CharField(max_length=200, blank=True, editable=False)

    history = HistoricalRecords()

    class Meta:
        ordering = ["-on", "-pk"]
        verbose_name = _("deposit in the country")
        verbose_name_plural = _("deposits in the country")
        constraints = [
            models.CheckConstraint(
                condition=Q(country__regex=r"^[A-Z]{2}$"),
                name="deposit_country_form",
                violation_error_message=_("A country is two capital letters (ISO 3166-1)."),
            ),
            models.CheckConstraint(
                condition=~Q(depository=""),
                name="deposit_says_where",
                violation_error_message=_("Say where it was deposited."),
            ),
            models.CheckConstraint(
                condition=Q(use__isnull=False, specimens__isnull=True)
                | Q(use__isnull=True, specimens__isnull=False, specimens__gt=0),
                name="deposit_counted_once",
                violation_error_message=_("Name the entry of uses, or how many specimens were never entered here."),
            ),
            models.CheckConstraint(
                condition=Q(receipt_on__isnull=True) | (Q(receipt_on__gte=F("on")) & ~Q(receipt="")),
                name="deposit_receipt_whole",
                violation_error_message=_("A receipt has a number, and is not of a day before the deposit."),
            ),
            models.CheckConstraint(
                condition=Q(voided_at__isnull=True, voided_by__isnull=True, voided_why="")
                | (Q(voided_at__isnull=False, voided_by__isnull=False) & ~Q(voided_why="")),
                name="deposit_voided_for_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.depository}, {self.on}"
