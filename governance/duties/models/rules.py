"""Rules: what a paper asks for, and from which day it is counted; and how the house follows duties."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from governance.papers.models import Paper


class DutyKind(models.TextChoices):
    """What is to be done. Common practice, no source."""

    REPORT = "report", _("Send a report")
    RETURN = "return", _("Send a return of numbers taken")
    NOTICE = "notice", _("Give notice")
    DEPOSIT = "deposit", _("Deposit material")
    COPY = "copy", _("Send a publication")
    PAYMENT = "payment", _("Pay")
    TRAINING = "training", _("Train or include partners")
    RECORDS = "records", _("Send records or data")
    SITE = "site", _("Restore the site, take traps away")
    PAPER = "paper", _("Give back, renew or close the paper")
    BENEFIT = "benefit", _("Share a benefit")
    OTHER = "other", _("Something else")


class DutyRule(models.Model):
    """A duty as a paper asks for it, or the house itself (no paper). Yearly reports and notices that stand with the
    conditions of a paper (``papers.Condition``) are rules already and are not entered again.

    when, month_day, number, unit, on, about, deeds, if_nothing: as ``engine.duties.Rule``. held_from, held_to: when the
    rule itself stood, where an amendment brought or dropped it. A rule that does not hold any longer is ended, so that
    what followed from it stays.
    """

    class When(models.TextChoices):
        EACH_YEAR = "each-year", _("by a day each year")
        TWICE_A_YEAR = "twice-a-year", _("after each half-year")
        EACH_QUARTER = "each-quarter", _("after each quarter")
        AFTER_ISSUE = "after-issue", _("after the issue")
        AFTER_EXPIRY = "after-expiry", _("after the last day of validity")
        AFTER_COLLECTION = "after-collection", _("after each day of collecting")
        AFTER_LAST_FIELD_DAY = "after-last-field-day", _("after the last day in the field")
        AFTER_PUBLICATION = "after-publication", _("after each publication")
        AFTER_USE = "after-use", _("after each use")
        BEFORE_ENTRY = "before-entry", _("before the first day in the field")
        BEFORE_LEAVING = "before-leaving", _("before leaving")
        ON_A_DAY = "on-a-day", _("once, by a day")

    class Unit(models.TextChoices):
        DAYS = "days", _("days")
        MONTHS = "months", _("months")
        YEARS = "years", _("years")

    class About(models.TextChoices):
        BY_CUSTOM = "", _("By custom: due by June, the calendar year before; later, the twelve months up to the day")
        YEAR_BEFORE = "year-before", _("The calendar year before")
        UP_TO_THE_DAY = "up-to-the-day", _("The twelve months up to the day")

    paper = models.ForeignKey(
        Paper, on_delete=models.PROTECT, null=True, blank=True, related_name="duty_rules", verbose_name=_("paper")
    )
    kind = models.CharField(_("what is to be done"), max_length=10, choices=DutyKind)
    what = models.CharField(_("in words"), max_length=300)
    to_whom = models.CharField(_("to whom"), max_length=300, blank=True)
    clause = models.TextField(_("clause, in the words of the paper"), blank=True)
    clause_number = models.CharField(_("clause number"), max_length=40, blank=True)
    page = models.PositiveSmallIntegerField(_("page"), null=True, blank=True)
    when = models.CharField(_("when"), max_length=20, choices=When)
    month_day = models.CharField(_("day of each year"), max_length=5, blank=True, help_text=_("MM-DD, such as 01-31"))
    number = models.PositiveSmallIntegerField(_("how long after or before"), default=0)
    unit = models.CharField(_("unit"), max_length=6, choices=Unit, default=Unit.DAYS)
    on = models.DateField(_("on"), null=True, blank=True)
    about = models.CharField(_("the time it is about"), max_length=15, choices=About, blank=True, default="")
    deeds = models.JSONField(_("which uses"), default=list, blank=True, help_text=_("None: every use"))
    if_nothing = models.BooleanField(_("also where nothing was taken (nil return)"), default=True)
    assignee = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="duty_rules",
        verbose_name=_("who sees to it"),
    )  # fmt: skip
    held_from = models.DateField(_("asked since"), null=True, blank=True)
    held_to = models.DateField(_("asked until"), null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True, editable=False)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="duty_rules_ended",
    )  # fmt: skip
    ended_why = models.CharField(max_length=200, blank=True, editable=False)

    history = HistoricalRecords()

    class Meta:
        ordering = ["paper__reference", "pk"]
        verbose_name = _("rule of a duty")
        verbose_name_plural = _("rules of duties")
        constraints = [
            models.CheckConstraint(
                condition=~Q(what=""), name="dutyrule_says_what", violation_error_message=_("Say what is to be done.")
            ),
            models.CheckConstraint(
                condition=Q(
                    kind__in=[
                        "report", "return", "notice", "deposit", "copy", "payment", "training", "records", "site",
                        "paper", "benefit", "other",
                    ],
                    when__in=[
                        "each-year", "twice-a-year", "each-quarter", "after-issue", "after-expiry", "after-collection",
                        "after-last-field-day", "after-publication", "after-use", "before-entry", "before-leaving",
                        "on-a-day",
                    ],
                    unit__in=["days", "months", "years"],
                    about__in=["", "year-before", "up-to-the-day"],
                ),
                name="dutyrule_words_known",
            ),
            models.CheckConstraint(
                condition=Q(when="each-year", month_day__regex=r"^(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$")
                | (~Q(when="each-year") & Q(month_day="")),
                name="dutyrule_day_of_each_year",
                violation_error_message=_("A duty each year, and no other, has a month and a day, such as 01-31."),
            ),
            models.CheckConstraint(
                condition=Q(when="on-a-day", on__isnull=False) | (~Q(when="on-a-day") & Q(on__isnull=True)),
                name="dutyrule_day_of_once",
                violation_error_message=_("A duty on one day, and no other, has that day."),
            ),
            models.CheckConstraint(
                condition=Q(paper__isnull=False)
                | Q(when__in=["each-year", "twice-a-year", "each-quarter", "on-a-day"]),
                name="dutyrule_counted_from_a_paper",
                violation_error_message=_("Without a paper only days of the calendar are known."),
            ),
            models.CheckConstraint(
                condition=Q(held_from__isnull=True) | Q(held_to__isnull=True) | Q(held_to__gte=F("held_from")),
                name="dutyrule_period",
                violation_error_message=_("The last day is before the first day."),
            ),
            models.CheckConstraint(condition=Q(page__isnull=True) | Q(page__gte=1), name="dutyrule_page_from_one"),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ended_by__isnull=True, ended_why="")
                | (Q(ended_at__isnull=False, ended_by__isnull=False) & ~Q(ended_why="")),
                name="dutyrule_ended_for_a_reason",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return self.what


class DutyHouse(models.Model):
    """How the house follows duties. One row. follow_from: duties are followed from this day on; what was due before is
    not known here, neither done nor late. ahead_days: from how many days before its day on a duty is shown as due."""

    follow_from = models.DateField(_("followed from"), help_text=_("What was due before this day is not known here"))
    ahead_days = models.PositiveSmallIntegerField(_("due from so many days before"), default=30)

    history = HistoricalRecords()

    class Meta:
        verbose_name = _("how duties are followed")
        verbose_name_plural = _("how duties are followed")
        constraints = [
            models.CheckConstraint(condition=Q(id=1), name="dutyhouse_one_row"),
            models.CheckConstraint(
                condition=Q(ahead_days__lte=366),
                name="dutyhouse_ahead",
                violation_error_message=_("At most 366 days before."),
            ),
        ]
