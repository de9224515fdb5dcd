"""What a version says of the use of material: the clauses, in its words, and who keeps the title."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from governance.engine.uses import Ownership, RecipientKind, Said, Use
from governance.papers.models.paper import PaperVersion

USE_NAMES = {
    Use.STUDY_ON_THE_SPOT: _("Study on the spot"),
    Use.LOAN_AT_HOME: _("Loan at home"),
    Use.LOAN_ABROAD: _("Loan abroad"),
    Use.ONWARD_LOAN: _("Onward loan"),
    Use.RETENTION: _("Retention by the borrower"),
    Use.GIFT_OR_EXCHANGE: _("Gift or exchange"),
    Use.DESTRUCTIVE_SAMPLING: _("Destructive sampling"),
    Use.DNA_FOR_IDENTIFICATION: _("DNA for identification"),
    Use.SEQUENCING: _("Sequencing"),
    Use.PUBLISHING_SEQUENCES: _("Publishing sequences"),
    Use.IMAGING: _("Imaging"),
    Use.PUBLISHING_IMAGES: _("Publishing images"),
    Use.PUBLISHING_LOCALITIES: _("Publishing exact localities"),
    Use.EXHIBITION: _("Exhibition"),
    Use.TEACHING: _("Teaching"),
    Use.COMMERCIAL_USE: _("Commercial use"),
    Use.DISPOSAL: _("Disposal"),
    Use.RETURN_TO_PROVIDER: _("Return to the provider"),
}
"""Names of the kinds of use on screens."""

SAID_NAMES = {
    Said.ALLOWED: _("Allowed"),
    Said.WITH_DUTIES: _("Allowed with duties"),
    Said.ASK_FIRST: _("Ask the provider first"),
    Said.NOT_ALLOWED: _("Not allowed"),
    Said.SILENT: _("Silent"),
}
"""What a paper says of a use, on screens."""

RECIPIENT_NAMES = {
    RecipientKind.PUBLIC_RESEARCH: _("Public research institution"),
    RecipientKind.PRIVATE_RESEARCH: _("Private research institution, not for profit"),
    RecipientKind.COMPANY: _("Company"),
    RecipientKind.INDIVIDUAL: _("Private person"),
    RecipientKind.AUTHORITY: _("Authority"),
}
"""Kinds of recipients on screens."""

OWNERSHIP_NAMES = {
    Ownership.NOT_SAID: _("The paper does not say"),
    Ownership.HOUSE: _("The institution"),
    Ownership.STATE_KEEPS_TITLE: _("The state keeps title"),
    Ownership.OWNER_KEEPS_TITLE: _("The owner keeps title"),
    Ownership.DEPOSIT: _("Deposit: title stays with the owner"),
    Ownership.LOAN_IN: _("Borrowed from somebody else"),
}
"""Who keeps the title, on screens."""

EVERY_USE = 2 ** len(Use) - 1
"""Bits of all uses."""

EVERY_RECIPIENT = 2 ** len(RecipientKind) - 1


class TermsReading(models.Model):
    """Somebody read a version for what it says of the use of material. The clauses stand in ``UseTerm``.

    A use without a ``UseTerm`` was not read: the desk says "not known", never "silent". ask_whom: who is asked first,
    as the paper says; blank: the issuer. reply_days: how long a reply takes, as far as known.
    """

    version = models.OneToOneField(PaperVersion, on_delete=models.CASCADE, related_name="terms_reading")
    ownership = models.PositiveSmallIntegerField(
        _("who keeps the title"), choices=[(int(one), name) for one, name in OWNERSHIP_NAMES.items()], default=0
    )
    ownership_clause = models.TextField(_("clause on ownership"), blank=True)
    ownership_page = models.PositiveSmallIntegerField(_("page"), null=True, blank=True)
    ask_whom = models.CharField(_("whom to ask"), max_length=300, blank=True)
    reply_days = models.PositiveSmallIntegerField(_("a reply takes about (days)"), null=True, blank=True)
    acknowledgement = models.TextField(
        _("words of acknowledgement"), blank=True, help_text=_("As the paper wants them in print")
    )
    whole_text_read = models.BooleanField(_("the whole text was read"), default=False)
    note = models.TextField(_("note"), blank=True)
    read_at = models.DateTimeField(auto_now_add=True)
    read_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="terms_read")

    history = HistoricalRecords()

    class Meta:
        ordering = ["version"]
        verbose_name = _("reading of the terms of use")
        verbose_name_plural = _("readings of the terms of use")
        constraints = [
            models.CheckConstraint(condition=Q(ownership__lt=len(Ownership)), name="termsreading_ownership_known"),
            models.CheckConstraint(
                condition=Q(ownership_page__isnull=True) | Q(ownership_page__gte=1),
                name="termsreading_page_from_one",
                violation_error_message=_("Pages count from 1."),
            ),
        ]


class UseTerm(models.Model):
    """What a version says of one use: the answer, the clause in its words, its page, its conditions.

    recipients: bit n is set for the kind n of ``RecipientKind``; 0: it says nothing of recipients. only_countries,
    not_countries: codes of ISO 3166-1 with blanks between. parts: words with commas between. otherwise: the answer
    where a condition is not met.
    """

    version = models.ForeignKey(PaperVersion, on_delete=models.CASCADE, related_name="use_terms")
    use = models.PositiveSmallIntegerField(_("use"), choices=[(int(use), name) for use, name in USE_NAMES.items()])
    said = models.PositiveSmallIntegerField(
        _("the paper says"), choices=[(int(said), name) for said, name in SAID_NAMES.items()]
    )
    clause = models.TextField(_("clause"), blank=True, help_text=_("In the words of the paper"))
    clause_number = models.CharField(_("clause number"), max_length=40, blank=True)
    page = models.PositiveSmallIntegerField(_("page"), null=True, blank=True)
    recipients = models.PositiveSmallIntegerField(_("only to"), default=0)
    only_countries = models.CharField(_("only in"), max_length=200, blank=True)
    not_countries = models.CharField(_("not in"), max_length=200, blank=True)
    non_commercial_only = models.BooleanField(_("non-commercial only"), default=False)
    identification_only = models.BooleanField(_("for identification only"), default=False)
    most_specimens = models.PositiveIntegerField(_("at most, specimens"), null=True, blank=True)
    amount = models.CharField(_("amount"), max_length=200, blank=True, help_text=_("Such as one leg of each"))
    parts = models.CharField(_("parts"), max_length=200, blank=True, help_text=_("Such as leg, wing"))
    not_before = models.DateField(_("not before"), null=True, blank=True)
    duties = models.TextField(_("duties"), blank=True, help_text=_("What must be done for it, in words"))
    other_condition = models.TextField(
        _("other condition"), blank=True, help_text=_("What only a person can check, in words")
    )
    otherwise = models.PositiveSmallIntegerField(
        _("if a condition is not met"),
        choices=[(int(said), SAID_NAMES[said]) for said in (Said.NOT_ALLOWED, Said.ASK_FIRST, Said.SILENT)],
        default=int(Said.NOT_ALLOWED),
    )

    history = HistoricalRecords()

    class Meta:
        ordering = ["version", "use"]
        verbose_name = _("term of use")
        verbose_name_plural = _("terms of use")
        constraints = [
            models.UniqueConstraint(
                fields=["version", "use"],
                name="useterm_use_once",
                violation_error_message=_("This version already has a clause on this use."),
            ),
            models.CheckConstraint(condition=Q(use__lt=len(Use), said__lt=len(Said)), name="useterm_words_known"),
            models.CheckConstraint(
                condition=Q(otherwise__in=[int(Said.NOT_ALLOWED), int(Said.ASK_FIRST), int(Said.SILENT)]),
                name="useterm_otherwise_known",
            ),
            models.CheckConstraint(condition=Q(recipients__lte=EVERY_RECIPIENT), name="useterm_recipients_known"),
            models.CheckConstraint(
                condition=Q(page__isnull=True) | Q(page__gte=1),
                name="useterm_page_from_one",
                violation_error_message=_("Pages count from 1."),
            ),
            models.CheckConstraint(
                condition=Q(said=int(Said.SILENT)) | ~Q(clause=""),
                name="useterm_clause_quoted",
                violation_error_message=_("Quote the clause: an answer stands on the words of the paper."),
            ),
            models.CheckConstraint(
                condition=~Q(said=int(Said.WITH_DUTIES)) | ~Q(duties="") | ~Q(other_condition=""),
                name="useterm_duties_told",
                violation_error_message=_("Say which duties: what must be done for it."),
            ),
            models.CheckConstraint(
                condition=Q(only_countries="") | Q(only_countries__regex=r"^[A-Z]{2}( [A-Z]{2})*$"),
                name="useterm_only_countries_form",
                violation_error_message=_("Countries are codes of two capital letters with blanks between: SE IS."),
            ),
            models.CheckConstraint(
                condition=Q(not_countries="") | Q(not_countries__regex=r"^[A-Z]{2}( [A-Z]{2})*$"),
                name="useterm_not_countries_form",
                violation_error_message=_("Countries are codes of two capital letters with blanks between: SE IS."),
            ),
        ]
