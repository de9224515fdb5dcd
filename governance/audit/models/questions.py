"""Saved questions: kept, shared, put on Today, asked again by schedule, followed."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords


class Schedule(models.TextChoices):
    """How often a saved question is asked again."""

    NONE = "none", _("Only when somebody asks")
    DAILY = "daily", _("Every day")
    WEEKLY = "weekly", _("Every Monday")
    MONTHLY = "monthly", _("On the first of the month")


class SavedQuestion(models.Model):
    """A question with what it is asked with. ready: the key of a ready question, or "" for a composed one, whose
    conditions stand in ``composed``. values: parameters as people wrote them, and the clocks as addresses write them:
    ``on`` and ``known`` as ISO text, "" for the day it is asked. Removed, never deleted: the answers that were taken
    are sealed."""

    title = models.CharField(_("title"), max_length=200)
    ready = models.CharField(max_length=60, blank=True)
    values = models.JSONField(default=dict, blank=True)
    composed = models.JSONField(default=dict, blank=True)
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="saved_questions")
    is_shared = models.BooleanField(_("everybody sees it"), default=False)
    schedule = models.CharField(_("asked again"), max_length=10, choices=Schedule, default=Schedule.NONE)
    saved_at = models.DateTimeField(auto_now_add=True)
    saved_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    removed_at = models.DateTimeField(null=True, blank=True)
    removed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    history = HistoricalRecords()

    class Meta:
        ordering = ["title", "pk"]
        verbose_name = _("saved question")
        verbose_name_plural = _("saved questions")
        constraints = [
            models.CheckConstraint(
                condition=~Q(title=""), name="savedquestion_titled", violation_error_message=_("Give it a title.")
            ),
            models.CheckConstraint(condition=Q(schedule__in=Schedule.values), name="savedquestion_schedule_known"),
            models.UniqueConstraint(
                fields=["owner", "title"],
                condition=Q(removed_at__isnull=True),
                name="savedquestion_title_once",
                violation_error_message=_("You have saved another question under this title."),
            ),
            models.CheckConstraint(
                condition=Q(removed_at__isnull=True, removed_by__isnull=True)
                | Q(removed_at__isnull=False, removed_by__isnull=False),
                name="savedquestion_removal_whole",
            ),
        ]

    def __str__(self) -> str:
        return self.title


class Follower(models.Model):
    """Somebody who wants to know of a saved question: its number on Today, and a message when its answer changes.

    told_up_to: key of the last answer of which this person was told by e-mail; no fact of the register, so no history.
    """

    question = models.ForeignKey(SavedQuestion, on_delete=models.CASCADE, related_name="followers")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="followed_questions")
    is_on_today = models.BooleanField(_("show its number on Today"), default=True)
    is_mailed = models.BooleanField(_("send an e-mail when its answer changes"), default=False)
    told_up_to = models.BigIntegerField(default=0, editable=False)

    history = HistoricalRecords(excluded_fields=["told_up_to"])

    class Meta:
        ordering = ["question", "user"]
        verbose_name = _("follower of a question")
        verbose_name_plural = _("followers of questions")
        constraints = [
            models.UniqueConstraint(
                fields=["question", "user"],
                name="follower_once",
                violation_error_message=_("You follow this question already."),
            ),
        ]


class AnswerTaken(models.Model):
    """What a saved question was answered at a moment, for a role: its number, sentence, and the hash of its rows.
    changed: whether it differs from the one taken before for the same role."""

    question = models.ForeignKey(SavedQuestion, on_delete=models.CASCADE, related_name="answers")
    role = models.CharField(max_length=20)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    count = models.PositiveIntegerField()
    sentence = models.TextField()
    rows_sha256 = models.CharField(max_length=64)
    changed = models.BooleanField(default=False)
    problem = models.TextField(blank=True, help_text=_("why it could not be answered"))

    class Meta:
        ordering = ["-asked_at", "-pk"]
        verbose_name = _("answer that was taken")
        verbose_name_plural = _("answers that were taken")
        indexes = [models.Index(fields=["question", "role", "-asked_at"], name="answertaken_newest")]
