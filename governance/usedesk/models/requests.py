"""Requests: who asks for which material and which uses, from asked to answered."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.material.models import Specimen
from accessions.people.models import Agent
from governance.engine.tables import Layer
from governance.engine.uses import Answer, RecipientKind, Use
from governance.papers.models import EVERY_USE, RECIPIENT_NAMES, Paper
from governance.scans.models import Scan
from governance.usedesk.models.rules import ANSWERS


class Told(models.TextChoices):
    """A fact of a request that may not have been told."""

    NOT_TOLD = "", _("Not told")
    YES = "yes", _("Yes")
    NO = "no", _("No")


class Recipient(models.Model):
    """An institution or person that receives material or data. kind null: not known. country: ISO 3166-1.

    cites_code: its number in the register of scientific institutions that CITES keeps by country; blank: not
    registered, or not known: ``cites_checked_on`` tells whether somebody looked.
    """

    name = models.CharField(_("name"), max_length=300)
    kind = models.PositiveSmallIntegerField(
        _("kind"), choices=[(int(kind), name) for kind, name in RECIPIENT_NAMES.items()], null=True, blank=True
    )
    country = models.CharField(_("country"), max_length=2, blank=True)
    address = models.TextField(_("address"), blank=True)
    contact = models.TextField(_("contact"), blank=True)
    agent = models.ForeignKey(Agent, on_delete=models.PROTECT, null=True, blank=True, related_name="receives_as")
    cites_code = models.CharField(_("number in the CITES register"), max_length=20, blank=True)
    cites_checked_on = models.DateField(_("register looked up on"), null=True, blank=True)
    remarks = models.TextField(_("remarks"), blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["name", "pk"]
        verbose_name = _("recipient")
        verbose_name_plural = _("recipients")
        constraints = [
            models.CheckConstraint(
                condition=~Q(name=""), name="recipient_named", violation_error_message=_("Name the recipient.")
            ),
            models.UniqueConstraint(
                fields=["name", "country"],
                name="recipient_once",
                violation_error_message=_("This recipient is on file already."),
            ),
            models.CheckConstraint(
                condition=Q(kind__isnull=True) | Q(kind__lt=len(RecipientKind)), name="recipient_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(country="") | Q(country__regex=r"^[A-Z]{2}$"),
                name="recipient_country_form",
                violation_error_message=_("A country is two capital letters (ISO 3166-1)."),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class UseRequest(models.Model):
    """One request. uses: bit n is set for the use n of ``Use``. asked_on: the day whose terms decide.

    country: where the material or the result goes; "" is not told. starts_on, ends_on: of the loan or the work.
    """

    reference = models.CharField(_("request number"), max_length=60, unique=True)
    title = models.CharField(_("what is asked"), max_length=200)
    recipient = models.ForeignKey(
        Recipient, on_delete=models.PROTECT, null=True, blank=True, related_name="requests", verbose_name=_("for")
    )
    asked_by = models.CharField(_("asked by"), max_length=200, blank=True)
    asked_on = models.DateField(_("asked on"))
    answer_by = models.DateField(_("answer by"), null=True, blank=True)
    uses = models.PositiveIntegerField(_("uses"))
    purpose = models.TextField(_("purpose"), blank=True)
    commercial = models.CharField(_("commercial"), max_length=3, choices=Told, blank=True, default="")
    identification_only = models.CharField(
        _("for identification only"), max_length=3, choices=Told, blank=True, default=""
    )
    parts = models.CharField(_("parts to be taken"), max_length=200, blank=True)
    country = models.CharField(_("goes to"), max_length=2, blank=True)
    starts_on = models.DateField(_("from"), null=True, blank=True)
    ends_on = models.DateField(_("until"), null=True, blank=True)
    remarks = models.TextField(_("remarks"), blank=True)
    scan = models.ForeignKey(Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="use_requests")
    answered_at = models.DateTimeField(null=True, blank=True, editable=False)
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="requests_answered",
    )  # fmt: skip
    closed_at = models.DateTimeField(null=True, blank=True, editable=False)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="requests_closed",
    )  # fmt: skip
    closed_why = models.CharField(max_length=200, blank=True, editable=False)

    history = HistoricalRecords()

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("request")
        verbose_name_plural = _("requests")
        constraints = [
            models.CheckConstraint(
                condition=~Q(reference=""),
                name="userequest_numbered",
                violation_error_message=_("Give the request a number."),
            ),
            models.CheckConstraint(
                condition=~Q(title=""), name="userequest_titled", violation_error_message=_("Say what is asked.")
            ),
            models.CheckConstraint(
                condition=Q(uses__range=(1, EVERY_USE)),
                name="userequest_asks_for_a_use",
                violation_error_message=_("Choose at least one use."),
            ),
            models.CheckConstraint(
                condition=Q(commercial__in=["", "yes", "no"], identification_only__in=["", "yes", "no"]),
                name="userequest_told_words",
            ),
            models.CheckConstraint(
                condition=Q(country="") | Q(country__regex=r"^[A-Z]{2}$"),
                name="userequest_country_form",
                violation_error_message=_("A country is two capital letters (ISO 3166-1)."),
            ),
            models.CheckConstraint(
                condition=Q(starts_on__isnull=True) | Q(ends_on__isnull=True) | Q(ends_on__gte=F("starts_on")),
                name="userequest_period",
                violation_error_message=_("The last day is before the first day."),
            ),
            models.CheckConstraint(
                condition=Q(answered_at__isnull=True, answered_by__isnull=True)
                | Q(answered_at__isnull=False, answered_by__isnull=False),
                name="userequest_answered_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True, closed_by__isnull=True, closed_why="")
                | (Q(closed_at__isnull=False, closed_by__isnull=False) & ~Q(closed_why="")),
                name="userequest_closed_for_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return self.reference

    @property
    def is_open(self) -> bool:
        return self.closed_at is None

    @property
    def use_list(self) -> list[Use]:
        return [use for use in Use if self.uses >> use & 1]


class RequestDecision(models.Model):
    """What was decided of some specimens of a request: they may go, or they stay. Withdrawn, never deleted.

    answer: of the desk at that moment. reasons: what decided then, as text and as keys of papers, versions and clauses,
    so that the use stays judged by the terms of its day.
    """

    request = models.ForeignKey(UseRequest, on_delete=models.CASCADE, related_name="decisions")
    is_approved = models.BooleanField(_("may go"))
    answer = models.PositiveSmallIntegerField(_("answer of the desk"), choices=ANSWERS)
    is_silent = models.BooleanField(default=False)
    reasons = models.JSONField(default=list)
    reason = models.TextField(_("reason"), blank=True)
    decided_at = models.DateTimeField(auto_now_add=True)
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="use_decisions")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True,
        related_name="use_decisions_withdrawn",
    )  # fmt: skip
    withdrawn_reason = models.TextField(blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["request", "decided_at", "pk"]
        verbose_name = _("decision on a request")
        verbose_name_plural = _("decisions on requests")
        constraints = [
            models.CheckConstraint(condition=Q(answer__lt=len(Answer)), name="requestdecision_answer_known"),
            models.CheckConstraint(
                condition=Q(is_approved=False) | Q(answer__lte=int(Answer.WITH_DUTIES)) | ~Q(reason=""),
                name="requestdecision_beyond_terms_reasoned",
                violation_error_message=_("The terms on file do not simply allow this: give the reason."),
            ),
            models.CheckConstraint(
                condition=Q(is_approved=False) | ~Q(answer=int(Answer.NOT_ALLOWED)),
                name="requestdecision_not_against_a_no",
                violation_error_message=_("The terms do not allow it. A paper that allows it is entered first."),
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="requestdecision_withdrawal_whole",
            ),
        ]


class RequestItem(models.Model):
    """A specimen in the basket of a request. decision null: not decided, or the decision was withdrawn."""

    request = models.ForeignKey(UseRequest, on_delete=models.CASCADE, related_name="items")
    specimen = models.ForeignKey(Specimen, on_delete=models.PROTECT, related_name="request_items")
    decision = models.ForeignKey(RequestDecision, on_delete=models.PROTECT, null=True, blank=True, related_name="items")
    note = models.CharField(_("note"), max_length=200, blank=True)
    added_at = models.DateTimeField(auto_now_add=True)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="request_items")

    history = HistoricalRecords()

    class Meta:
        ordering = ["request", "pk"]
        verbose_name = _("specimen of a request")
        verbose_name_plural = _("specimens of requests")
        constraints = [
            models.UniqueConstraint(
                fields=["request", "specimen"],
                name="requestitem_once",
                violation_error_message=_("This specimen is in the request already."),
            ),
        ]


class ScanLine(models.Model):
    """One code that was read at the desk, and what came of it: kept so that nothing read is lost.

    key: made by the page that read it, so that a line that is sent again after a broken connection counts once.
    """

    class Outcome(models.TextChoices):
        ADDED = "added", _("Added")
        ALREADY_IN = "already-in", _("Already in the basket")
        UNKNOWN = "unknown", _("No such number")
        SEVERAL = "several", _("Several specimens have this number")
        TAKEN_OUT = "taken-out", _("Taken out again")

    request = models.ForeignKey(UseRequest, on_delete=models.CASCADE, related_name="scan_lines")
    key = models.CharField(max_length=64)
    code = models.CharField(_("code as read"), max_length=300)
    specimen = models.ForeignKey(Specimen, on_delete=models.PROTECT, null=True, blank=True, related_name="scan_lines")
    outcome = models.CharField(_("outcome"), max_length=12, choices=Outcome)
    read_at = models.DateTimeField(auto_now_add=True)
    read_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="scan_lines")

    class Meta:
        ordering = ["request", "-pk"]
        verbose_name = _("code read")
        verbose_name_plural = _("codes read")
        constraints = [
            models.UniqueConstraint(fields=["request", "key"], name="scanline_once"),
            models.CheckConstraint(
                condition=Q(outcome__in=["added", "already-in", "unknown", "several", "taken-out"]),
                name="scanline_outcome_known",
            ),
            models.CheckConstraint(
                condition=Q(specimen__isnull=False) | Q(outcome__in=["unknown", "several", "taken-out"]),
                name="scanline_of_a_specimen",
            ),
        ]


class ProviderQuestion(models.Model):
    """A provider was asked on a day whether a use may be made, under one paper; the reply, when it comes.

    uses: bits, as in ``UseRequest``. Its agreement counts for this request alone.
    """

    class Reply(models.TextChoices):
        WAITING = "", _("No reply yet")
        AGREED = "agreed", _("Agreed")
        REFUSED = "refused", _("Refused")

    request = models.ForeignKey(UseRequest, on_delete=models.CASCADE, related_name="questions")
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, related_name="use_questions")
    uses = models.PositiveIntegerField(_("uses"))
    asked_of = models.CharField(_("asked of"), max_length=300)
    asked_on = models.DateField(_("asked on"))
    letter = models.ForeignKey(Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="use_questions")
    reply = models.CharField(_("reply"), max_length=8, choices=Reply, blank=True, default="")
    replied_on = models.DateField(_("replied on"), null=True, blank=True)
    reply_words = models.TextField(_("the reply in its words"), blank=True)
    reply_scan = models.ForeignKey(Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="use_replies")
    recorded_at = models.DateTimeField(auto_now_add=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="use_questions")

    history = HistoricalRecords()

    class Meta:
        ordering = ["request", "asked_on", "pk"]
        verbose_name = _("question to a provider")
        verbose_name_plural = _("questions to providers")
        constraints = [
            models.CheckConstraint(
                condition=Q(uses__range=(1, EVERY_USE)),
                name="providerquestion_asks_for_a_use",
                violation_error_message=_("Choose at least one use."),
            ),
            models.CheckConstraint(
                condition=~Q(asked_of=""),
                name="providerquestion_of_somebody",
                violation_error_message=_("Say who was asked."),
            ),
            models.CheckConstraint(
                condition=Q(reply="", replied_on__isnull=True)
                | (Q(reply__in=["agreed", "refused"], replied_on__isnull=False, replied_on__gte=F("asked_on"))
                   & ~Q(reply_words="")),
                name="providerquestion_reply_whole",
                violation_error_message=_("A reply has a day, not before the question, and its words."),
            ),
        ]  # fmt: skip


class WayDecision(models.Model):
    """What a person found of one paper of the way there: not needed for a reason, or held. Withdrawn, never deleted."""

    WAY_LAYERS = (Layer.EXPORT, Layer.IMPORT, Layer.CITES)

    request = models.ForeignKey(UseRequest, on_delete=models.CASCADE, related_name="way_decisions")
    layer = models.PositiveSmallIntegerField(
        _("paper"),
        choices=[(int(Layer.EXPORT), _("Export")), (int(Layer.IMPORT), _("Import")), (int(Layer.CITES), "CITES")],
    )
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, null=True, blank=True, related_name="way_decisions")
    reason = models.TextField(_("reason"))
    evidence = models.TextField(_("evidence"))
    decided_at = models.DateTimeField(auto_now_add=True)
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="way_decisions")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True,
        related_name="way_decisions_withdrawn",
    )  # fmt: skip
    withdrawn_reason = models.TextField(blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["request", "layer", "-decided_at"]
        verbose_name = _("decision on the way there")
        verbose_name_plural = _("decisions on the way there")
        constraints = [
            models.CheckConstraint(
                condition=Q(layer__in=[int(Layer.EXPORT), int(Layer.IMPORT), int(Layer.CITES)]),
                name="waydecision_layer_known",
            ),
            models.CheckConstraint(
                condition=~Q(reason="") & ~Q(evidence=""),
                name="waydecision_with_evidence",
                violation_error_message=_("Say why, and what shows it."),
            ),
            models.UniqueConstraint(
                fields=["request", "layer"],
                condition=Q(withdrawn_at__isnull=True),
                name="waydecision_one_stands",
                violation_error_message=_("A decision on this stands already; withdraw it first."),
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="waydecision_withdrawal_whole",
            ),
        ]


class ExchangeLabel(models.Model):
    """The label of a scientific exchange, held against CITES Article VII(6): what was seen of each of five conditions.

    "" is not looked at. evidence: what shows that the material was legally acquired.
    """

    class Preserved(models.TextChoices):
        NOT_TOLD = "", _("Not told")
        HERBARIUM = "herbarium", _("Herbarium specimens")
        MUSEUM = "museum", _("Preserved, dried or embedded museum specimens")
        LIVE_PLANTS = "live-plants", _("Live plant material")
        OTHER = "other", _("Anything else")

    request = models.OneToOneField(UseRequest, on_delete=models.CASCADE, related_name="exchange_label")
    non_commercial = models.CharField(_("non-commercial loan, donation or exchange"), max_length=3, choices=Told, blank=True, default="")  # fmt: skip  # noqa: E501
    sender_code = models.CharField(_("sender’s number in the register"), max_length=20, blank=True)
    recipient_code = models.CharField(_("recipient’s number in the register"), max_length=20, blank=True)
    preserved = models.CharField(_("kind of specimen"), max_length=12, choices=Preserved, blank=True, default="")
    label_by_authority = models.CharField(_("label issued or approved by a Management Authority"), max_length=3, choices=Told, blank=True, default="")  # fmt: skip  # noqa: E501
    label_number = models.CharField(_("number of the label"), max_length=60, blank=True)
    legally_acquired = models.CharField(_("legally acquired"), max_length=3, choices=Told, blank=True, default="")
    evidence = models.TextField(_("what shows it"), blank=True)
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, null=True, blank=True, related_name="exchange_labels")
    scan = models.ForeignKey(Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="exchange_labels")

    history = HistoricalRecords()

    class Meta:
        verbose_name = _("label of a scientific exchange")
        verbose_name_plural = _("labels of scientific exchanges")
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    non_commercial__in=["", "yes", "no"], label_by_authority__in=["", "yes", "no"],
                    legally_acquired__in=["", "yes", "no"],
                    preserved__in=["", "herbarium", "museum", "live-plants", "other"],
                ),
                name="exchangelabel_words_known",
            ),
            models.CheckConstraint(
                condition=~Q(legally_acquired="yes") | ~Q(evidence=""),
                name="exchangelabel_acquired_by_evidence",
                violation_error_message=_("Say what shows that it was legally acquired."),
            ),
        ]  # fmt: skip
