"""How long records are kept, what was disposed of after its day, and whose personal data were minimised."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.people.models import Agent
from governance.papers.models import Paper


class KeptKind(models.TextChoices):
    """Sorts of records that are kept by rules of their own."""

    ABS = "abs", _("Papers and terms of access and benefit-sharing")
    TITLE = "title", _("Title: how the institution came to own material")
    OTHER = "other", _("Other papers")
    PERSON = "person", _("Data of a private person")


class KeepingRule(models.Model):
    """The house rule for one sort of record. years: after the end of utilisation (ABS), of the last day of a paper, or
    of the last paper that names a person; null: for ever. source: where the number comes from."""

    kind = models.CharField(_("records"), max_length=10, choices=KeptKind, unique=True)
    years = models.PositiveSmallIntegerField(_("years"), null=True, blank=True, help_text=_("blank: for ever"))
    source = models.CharField(_("source"), max_length=300)

    history = HistoricalRecords()

    class Meta:
        ordering = ["kind"]
        verbose_name = _("rule of keeping")
        verbose_name_plural = _("rules of keeping")
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=KeptKind.values), name="keepingrule_kind_known"),
            models.CheckConstraint(
                condition=~Q(source=""),
                name="keepingrule_sourced",
                violation_error_message=_("Say where the number comes from: a law, an agreement, a house policy."),
            ),
            models.CheckConstraint(
                condition=~Q(kind="title") | Q(years__isnull=True),
                name="keepingrule_title_for_ever",
                violation_error_message=_("Records of title are kept for ever."),
            ),
        ]


class UtilisationEnd(models.Model):
    """A person's statement that utilisation under a paper ended on a day: without one it is open, and so is the day
    until which its records are kept. Withdrawn, never deleted."""

    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, related_name="utilisation_ends")
    ended_on = models.DateField(_("ended on"))
    evidence = models.TextField(_("what shows it"))
    recorded_at = models.DateTimeField(auto_now_add=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn_reason = models.TextField(blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["paper", "-pk"]
        verbose_name = _("end of utilisation")
        verbose_name_plural = _("ends of utilisation")
        constraints = [
            models.CheckConstraint(
                condition=~Q(evidence=""),
                name="utilisationend_evidenced",
                violation_error_message=_("Say what shows that utilisation ended."),
            ),
            models.UniqueConstraint(
                fields=["paper"],
                condition=Q(withdrawn_at__isnull=True),
                name="utilisationend_one_stands",
                violation_error_message=_("An end of utilisation stands for this paper already."),
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="utilisationend_withdrawal_whole",
            ),
        ]


class Disposal(models.Model):
    """Records and files that were disposed of after their day: what, by which rule, why, by whom; what remains is this.

    files: name, size in bytes and SHA-256 of each file that was destroyed.
    """

    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, related_name="disposals")
    rule = models.CharField(max_length=400, help_text=_("the rule as it stood, in words"))
    due_on = models.DateField(help_text=_("the day from which it could be disposed of"))
    files = models.JSONField(default=list)
    why = models.TextField(_("why"))
    disposed_at = models.DateTimeField(auto_now_add=True)
    disposed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    history = HistoricalRecords()

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("disposal")
        verbose_name_plural = _("disposals")
        constraints = [models.CheckConstraint(condition=~Q(why=""), name="disposal_reasoned")]


class Minimisation(models.Model):
    """A private person's data were taken out of the register and its history; the seal keeps that something stood
    there. changes: how many entries of the history lost what they said of the person."""

    agent = models.OneToOneField(Agent, on_delete=models.PROTECT, related_name="+")
    rule = models.CharField(max_length=400, help_text=_("the rule as it stood, in words"))
    why = models.TextField(_("why"))
    changes = models.PositiveIntegerField(default=0)
    minimised_at = models.DateTimeField(auto_now_add=True)
    minimised_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    history = HistoricalRecords()

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("minimisation of a person's data")
        verbose_name_plural = _("minimisations of persons' data")
        constraints = [models.CheckConstraint(condition=~Q(why=""), name="minimisation_reasoned")]
