"""Requests for material or its data: who asked, for what, and what was decided."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.people.models import Agent
from governance.engine.uses import Answer, RecipientKind, Use
from governance.papers.models import EVERY_USE, RECIPIENT_NAMES
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
