"""Uses that were made: loans and what came back, samples, sequences, publications, losses; and remedies."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy
from simple_history.models import HistoricalRecords

from accessions.material.models import Specimen
from governance.engine.uses import Answer
from governance.papers.models import Paper
from governance.scans.models import Scan
from governance.usedesk.models.requests import Recipient, RequestDecision, Told, UseRequest
from governance.usedesk.models.rules import ANSWERS, USES


class MadeUse(models.Model):
    """One use that was made, of one specimen or of thousands: a loan, a sampling, a publication. Voided, never deleted.

    deed: what was done. use: which kind of use that is by the terms, null where no term speaks of it (a loss). on,
    until_on: when; due_on: of a loan. parent: the loan from which an onward loan or a retention came. answer: strictest
    answer of the desk on ``on``, by the terms of that day; is_outside: of some specimen the terms of that day forbade
    it, or asked for an agreement that nobody had seen; what is silent or unread is not outside. commercial,
    identification_only, parts: facts that clauses ask about; blank: as the request says, or not told.
    """

    class Deed(models.TextChoices):
        STUDY = "study", _("Studied on the spot")
        LOAN = "loan", _("Lent")
        ONWARD_LOAN = "onward-loan", _("Lent on by the borrower")
        RETENTION = "retention", _("Kept by the borrower")
        GIFT = "gift", _("Given away")
        EXCHANGE = "exchange", _("Exchanged")
        SAMPLING = "sampling", _("Sampled destructively")
        EXTRACTION = "extraction", _("DNA extracted")
        SEQUENCING = "sequencing", _("Sequenced")
        IMAGING = "imaging", _("Imaged")
        PUBLICATION = "publication", _("Published")
        DATA = "data", _("Data published")
        EXHIBITION = "exhibition", _("Exhibited")
        TEACHING = "teaching", _("Used in teaching")
        COMMERCIAL = "commercial", _("Used commercially")
        LOSS = "loss", _("Lost or damaged")
        DISPOSAL = "disposal", _("Disposed of")
        RETURN = "return", _("Returned to the provider")

    reference = models.CharField(_("number"), max_length=60, blank=True, help_text=_("Such as the loan number"))
    deed = models.CharField(_("what was done"), max_length=12, choices=Deed)
    use = models.PositiveSmallIntegerField(_("kind of use"), choices=USES, null=True, blank=True)
    title = models.CharField(_("in words"), max_length=300, blank=True)
    request = models.ForeignKey(UseRequest, on_delete=models.PROTECT, null=True, blank=True, related_name="made_uses")
    recipient = models.ForeignKey(
        Recipient, on_delete=models.PROTECT, null=True, blank=True, related_name="made_uses", verbose_name=_("by or to")
    )
    parent = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="followed_by")
    on = models.DateField(_("on"))
    until_on = models.DateField(_("until"), null=True, blank=True)
    due_on = models.DateField(_("due back on"), null=True, blank=True)
    citation = models.TextField(_("citation"), blank=True)
    doi = models.CharField(_("DOI"), max_length=300, blank=True)
    acknowledged = models.CharField(
        _("source acknowledged as the papers ask"), max_length=3, blank=True,
        choices=[("", _("Not looked at")), ("yes", _("Yes")), ("no", _("No"))],
    )  # fmt: skip
    commercial = models.CharField(_("commercial"), max_length=3, choices=Told, blank=True, default="")
    identification_only = models.CharField(
        _("for identification only"), max_length=3, choices=Told, blank=True, default=""
    )
    parts = models.CharField(_("parts that were taken"), max_length=200, blank=True)
    note = models.TextField(_("note"), blank=True)
    scan = models.ForeignKey(Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="made_uses")
    answer = models.PositiveSmallIntegerField(_("answer of the desk"), choices=ANSWERS, null=True, editable=False)
    is_outside = models.BooleanField(_("outside the terms"), default=False, editable=False)
    recorded_at = models.DateTimeField(auto_now_add=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="uses_recorded")
    voided_at = models.DateTimeField(null=True, blank=True, editable=False)
    voided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="uses_voided",
    )  # fmt: skip
    voided_why = models.CharField(max_length=200, blank=True, editable=False)

    history = HistoricalRecords()

    class Meta:
        ordering = ["-on", "-pk"]
        verbose_name = _("use that was made")
        verbose_name_plural = _("uses that were made")
        indexes = [models.Index(fields=["deed", "due_on"], name="madeuse_due")]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    deed__in=[
                        "study", "loan", "onward-loan", "retention", "gift", "exchange", "sampling", "extraction",
                        "sequencing", "imaging", "publication", "data", "exhibition", "teaching", "commercial", "loss",
                        "disposal", "return",
                    ]
                ),
                name="madeuse_deed_known",
            ),
            models.CheckConstraint(
                condition=Q(until_on__isnull=True) | Q(until_on__gte=F("on")),
                name="madeuse_period",
                violation_error_message=_("The last day is before the first day."),
            ),
            models.CheckConstraint(
                condition=Q(due_on__isnull=True) | Q(deed__in=["loan", "onward-loan"], due_on__gte=F("on")),
                name="madeuse_due_of_a_loan",
                violation_error_message=_("Only a loan is due back, and not before it left."),
            ),
            models.CheckConstraint(
                condition=~Q(deed="publication") | ~Q(citation="") | ~Q(doi=""),
                name="madeuse_publication_cited",
                violation_error_message=_("Give the citation or the DOI."),
            ),
            models.CheckConstraint(
                condition=Q(doi="") | Q(doi__regex=r"^10\.[0-9]{4,9}(\.[0-9]+)*/.+$"),
                name="madeuse_doi_form",
                violation_error_message=_("A DOI begins with 10., a registrant’s number and a slash: 10.1234/abc."),
            ),
            models.CheckConstraint(
                condition=Q(commercial__in=["", "yes", "no"], identification_only__in=["", "yes", "no"]),
                name="madeuse_told_words",
            ),
            models.CheckConstraint(
                condition=Q(answer__isnull=True) | Q(answer__lt=len(Answer)), name="madeuse_answer_known"
            ),
            models.CheckConstraint(
                condition=Q(voided_at__isnull=True, voided_by__isnull=True, voided_why="")
                | (Q(voided_at__isnull=False, voided_by__isnull=False) & ~Q(voided_why="")),
                name="madeuse_voided_for_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(parent__isnull=True) | Q(deed__in=["onward-loan", "retention", "sampling", "loss"]),
                name="madeuse_from_a_loan",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return self.reference or f"#{self.pk}"


class LoanReturn(models.Model):
    """Material of a loan came back on a day: all of it or a part (``UseItem.returned``)."""

    use = models.ForeignKey(MadeUse, on_delete=models.CASCADE, related_name="returns")
    on = models.DateField(_("came back on"))
    note = models.TextField(_("state, and what is missing"), blank=True)
    recorded_at = models.DateTimeField(auto_now_add=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="loan_returns")

    history = HistoricalRecords()

    class Meta:
        ordering = ["use", "on", "pk"]
        verbose_name = _("return of a loan")
        verbose_name_plural = _("returns of loans")


class UseItem(models.Model):
    """A specimen in a use. answer, reasons: of the desk, by the terms of the day of the use. decision: by which it was
    allowed; None where none stood on that day. is_outside: as of ``MadeUse``, of this specimen. amount, left: what was
    taken, and what is left. returned: with which return it came back.
    """

    use = models.ForeignKey(MadeUse, on_delete=models.CASCADE, related_name="items")
    specimen = models.ForeignKey(Specimen, on_delete=models.PROTECT, related_name="use_items")
    decision = models.ForeignKey(
        RequestDecision, on_delete=models.PROTECT, null=True, blank=True, related_name="use_items"
    )
    amount = models.CharField(_("taken"), max_length=200, blank=True)
    left = models.CharField(_("left"), max_length=200, blank=True)
    is_used_up = models.BooleanField(_("nothing is left"), default=False)
    product = models.ForeignKey(
        Specimen, on_delete=models.PROTECT, null=True, blank=True, related_name="made_by", verbose_name=_("made")
    )
    returned = models.ForeignKey(LoanReturn, on_delete=models.PROTECT, null=True, blank=True, related_name="items")
    answer = models.PositiveSmallIntegerField(_("answer of the desk"), choices=ANSWERS, null=True, editable=False)
    reasons = models.JSONField(default=list, editable=False)
    is_outside = models.BooleanField(_("outside the terms"), default=False, editable=False)

    history = HistoricalRecords()

    class Meta:
        ordering = ["use", "pk"]
        verbose_name = _("specimen of a use")
        verbose_name_plural = _("specimens of uses")
        constraints = [
            models.UniqueConstraint(
                fields=["use", "specimen"],
                name="useitem_once",
                violation_error_message=_("This specimen is in the entry already."),
            ),
            models.CheckConstraint(
                condition=Q(answer__isnull=True) | Q(answer__lt=len(Answer)), name="useitem_answer_known"
            ),
        ]


class Sequence(models.Model):
    """A sequence in the public archives: its accession number (INSDC) and from which specimen it was read."""

    item = models.ForeignKey(UseItem, on_delete=models.CASCADE, related_name="sequences")
    accession_number = models.CharField(pgettext_lazy("sequence", "accession number"), max_length=30)
    marker = models.CharField(_("marker or kind"), max_length=100, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["item", "accession_number"]
        verbose_name = _("sequence")
        verbose_name_plural = _("sequences")
        constraints = [
            models.UniqueConstraint(
                fields=["item", "accession_number"],
                name="sequence_once",
                violation_error_message=_("This accession number is recorded for the specimen already."),
            ),
            models.CheckConstraint(condition=~Q(accession_number=""), name="sequence_numbered"),
        ]


class Remedy(models.Model):
    """What is done about a use outside the terms: told to whom, until when, and how it ended."""

    use = models.ForeignKey(MadeUse, on_delete=models.CASCADE, related_name="remedies")
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, null=True, blank=True, related_name="remedies")
    what = models.TextField(_("what is to be done"))
    due_on = models.DateField(_("by"), null=True, blank=True)
    opened_at = models.DateTimeField(auto_now_add=True)
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="remedies_opened")
    done_on = models.DateField(_("done on"), null=True, blank=True)
    done_how = models.TextField(_("how it ended"), blank=True)
    done_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="remedies_done"
    )

    history = HistoricalRecords()

    class Meta:
        ordering = ["use", "opened_at", "pk"]
        verbose_name = _("remedy")
        verbose_name_plural = _("remedies")
        constraints = [
            models.CheckConstraint(
                condition=~Q(what=""), name="remedy_says_what", violation_error_message=_("Say what is to be done.")
            ),
            models.CheckConstraint(
                condition=Q(done_on__isnull=True, done_by__isnull=True, done_how="")
                | (Q(done_on__isnull=False, done_by__isnull=False) & ~Q(done_how="")),
                name="remedy_done_whole",
                violation_error_message=_("Say how it ended, and on which day."),
            ),
        ]
