"""Reminders: the secret address of a person's calendar, who wants a daily digest, and which was sent."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords


class CalendarAddress(models.Model):
    """The secret address at which a calendar program reads the duties of a person. Only its hash is kept (SHA-256): the
    address is shown once, and a new one ends the old."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="calendar_addresses")
    secret_sha256 = models.CharField(max_length=64, unique=True)
    is_all = models.BooleanField(_("all duties, not only one's own"), default=False)
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    read_on = models.DateField(null=True, blank=True, help_text=_("last read by a calendar program"))

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("address of a calendar")
        verbose_name_plural = _("addresses of calendars")
        constraints = [
            models.UniqueConstraint(
                fields=["user"], condition=Q(ended_at__isnull=True), name="calendaraddress_one_at_a_time"
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ended_by__isnull=True)
                | Q(ended_at__isnull=False, ended_by__isnull=False),
                name="calendaraddress_ended_by",
            ),
        ]


class ReminderWish(models.Model):
    """What a person wants to be told of each day by e-mail. No row: one's own duties, if an address is known."""

    class Wish(models.TextChoices):
        OWN = "own", _("My duties, and those nobody sees to")
        ALL = "all", _("All duties")
        NONE = "none", _("Nothing")

    user = models.OneToOneField(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="reminder_wish")
    wish = models.CharField(_("daily digest"), max_length=4, choices=Wish, default=Wish.OWN)

    history = HistoricalRecords()

    class Meta:
        ordering = ["user"]
        verbose_name = _("wish for reminders")
        verbose_name_plural = _("wishes for reminders")
        constraints = [
            models.CheckConstraint(condition=Q(wish__in=["own", "all", "none"]), name="reminderwish_known"),
        ]


class ReminderSent(models.Model):
    """A digest that went out: at most one a day to a person."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="reminders_sent")
    on = models.DateField()
    duties = models.PositiveIntegerField()

    class Meta:
        ordering = ["-on", "user"]
        verbose_name = _("digest that was sent")
        verbose_name_plural = _("digests that were sent")
        constraints = [models.UniqueConstraint(fields=["user", "on"], name="remindersent_once_a_day")]
