"""Assessments and what they found, stored once for all specimens that have it; and what stands."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from accessions.material.models import SamplingEvent, Specimen
from accessions.names.models import WrittenName
from governance.engine.tables import Verdict
from governance.papers.models import Paper
from governance.verdicts.models.words import LAYERS, VERDICTS


class Run(models.Model):
    """One assessment: by which engine, house rules and papers, of what, asked for by whom. Never changed once done.

    Its results count only when it is DONE; those of a run that stopped in the middle are as if they were not there.
    papers: what was used, [[paper id, [start day of each version]], ...]. rules: the requirement rules and house rules.
    """

    class State(models.TextChoices):
        WAITING = "waiting", _("Waiting")
        RUNNING = "running", _("Running")
        DONE = "done", pgettext_lazy("assessment", "Done")
        STOPPED = "stopped", _("Stopped before its end")

    state = models.CharField(max_length=10, choices=State, default=State.WAITING)
    engine_version = models.CharField(max_length=20)
    scope = models.CharField(max_length=200, help_text=_("what was judged, in words"))
    why = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="runs")
    asked_at = models.DateTimeField(auto_now_add=True)
    started_at = models.DateTimeField(null=True)
    finished_at = models.DateTimeField(null=True)
    judged = models.PositiveIntegerField(default=0)
    changed = models.PositiveIntegerField(default=0)
    progress = models.PositiveIntegerField(default=0, help_text=_("specimens written so far"))
    house = models.JSONField(default=dict)
    papers = models.JSONField(default=list)
    rules_digest = models.CharField(max_length=64, blank=True)
    names = models.CharField(
        max_length=120, blank=True, help_text=_("the classification that was used, if all of its changes were taken up")
    )

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("assessment")
        verbose_name_plural = _("assessments")
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=["waiting", "running", "done", "stopped"]), name="run_state_known"
            ),
            models.CheckConstraint(
                condition=~Q(state="done") | Q(started_at__isnull=False, finished_at__isnull=False),
                name="run_done_has_times",
            ),
        ]


class RunSeal(models.Model):
    """What the seal knows of the results of a run that is done: one hash over all of them, one over what is new in
    outcomes and rulings. Made after the run by the register, never changed.

    contents_to: the last key, by table, that ``contents_sha256`` covers; those from the seal before on.
    """

    run = models.OneToOneField(Run, on_delete=models.PROTECT, related_name="seal")
    results = models.PositiveIntegerField()
    results_sha256 = models.CharField(max_length=64)
    contents_to = models.JSONField(default=dict)
    contents_sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["pk"]
        verbose_name = _("seal of an assessment")
        verbose_name_plural = _("seals of assessments")


class Outcome(models.Model):
    """One distinct answer of a layer: verdict, papers, findings. Kept once by its content and never changed.

    Sentences keep the words of the specimen open ({name}, {when}, ...): they are filled where they are shown, from the
    event and name that the result holds.
    """

    digest = models.CharField(max_length=64, unique=True)
    layer = models.PositiveSmallIntegerField(choices=LAYERS)
    verdict = models.PositiveSmallIntegerField(choices=VERDICTS)

    class Meta:
        indexes = [models.Index(fields=["layer", "verdict"], name="outcome_layer_verdict")]


class OutcomePaper(models.Model):
    """A paper that an outcome rests on or was held against, with the version in force (null: unread, or unknown)."""

    outcome = models.ForeignKey(Outcome, on_delete=models.CASCADE, related_name="papers")
    position = models.PositiveSmallIntegerField()
    paper = models.ForeignKey(Paper, on_delete=models.PROTECT, related_name="outcomes")
    reference = models.CharField(max_length=100)
    versions = models.JSONField(default=list, help_text=_("start days of the versions tested, null if unknown"))

    class Meta:
        ordering = ["outcome", "position"]
        constraints = [models.UniqueConstraint(fields=["outcome", "position"], name="outcomepaper_order")]


class OutcomeFinding(models.Model):
    """One finding of an outcome: code, measure, the value it was held against, unit, sentence."""

    outcome = models.ForeignKey(Outcome, on_delete=models.CASCADE, related_name="findings")
    position = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=30, blank=True, db_index=True)
    measure = models.FloatField(null=True)
    against = models.FloatField(null=True)
    unit = models.CharField(max_length=20, blank=True)
    sentence = models.TextField()

    class Meta:
        ordering = ["outcome", "position"]
        constraints = [models.UniqueConstraint(fields=["outcome", "position"], name="outcomefinding_order")]


class Ruling(models.Model):
    """One distinct row of nine outcomes. strip: the verdicts of the layers as nine digits; worst: the largest."""

    digest = models.CharField(max_length=64, unique=True)
    strip = models.CharField(max_length=9)
    worst = models.PositiveSmallIntegerField(choices=VERDICTS, db_index=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(strip__regex=r"^[0-5]{9}$"), name="ruling_strip_form"),
            models.CheckConstraint(condition=Q(worst__lt=len(Verdict)), name="ruling_worst_known"),
        ]


class RulingLayer(models.Model):
    """The outcome of one layer in a ruling."""

    ruling = models.ForeignKey(Ruling, on_delete=models.CASCADE, related_name="layers")
    outcome = models.ForeignKey(Outcome, on_delete=models.PROTECT, related_name="rulings")
    layer = models.PositiveSmallIntegerField(choices=LAYERS)

    class Meta:
        ordering = ["ruling", "layer"]
        constraints = [models.UniqueConstraint(fields=["ruling", "layer"], name="rulinglayer_once")]


class Result(models.Model):
    """From this run on, until a later row, the verdict of a specimen is this ruling. Appended, never changed.

    A run that finds what stood before appends nothing for that specimen. event, name: the facts that were judged; the
    database does not check them a second time, since the specimen pointed at them a moment before. specimen: not
    checked either: results are sealed, and stay when it is removed (decision 10).
    """

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="results")
    specimen = models.ForeignKey(Specimen, on_delete=models.DO_NOTHING, related_name="results", db_constraint=False)
    ruling = models.ForeignKey(Ruling, on_delete=models.PROTECT, related_name="results", db_index=False)
    event = models.ForeignKey(
        SamplingEvent, on_delete=models.PROTECT, related_name="+", db_index=False, db_constraint=False
    )
    name = models.ForeignKey(
        WrittenName, on_delete=models.PROTECT, related_name="+", db_index=False, db_constraint=False
    )

    class Meta:
        ordering = ["specimen_id", "-run_id"]  # no join, which would pass over those of specimens that were removed


class Standing(models.Model):
    """The ruling that stands for a specimen: the newest of its results, kept apart so that lists are quick.

    No verdict is stored here alone: every row repeats a ``Result``. worst: after overrides; is_overruled: any layer.
    The columns from ``accession_key`` on repeat facts, so that a list of a million specimens is one scan of a narrow
    table and no join; ``standing_columns`` fills them. They are copies and no foreign keys: nothing is checked twice.
    Run and ruling are those of the result, where the database has checked them.
    cells: bit 6 * layer + verdict is set for the verdict of each layer, after overrides.
    """

    specimen = models.OneToOneField(Specimen, on_delete=models.CASCADE, primary_key=True, related_name="standing")
    ruling = models.ForeignKey(Ruling, on_delete=models.PROTECT, related_name="standings", db_constraint=False)
    run = models.ForeignKey(
        Run, on_delete=models.PROTECT, related_name="standings", db_index=False, db_constraint=False
    )
    event = models.ForeignKey(
        SamplingEvent, on_delete=models.PROTECT, related_name="+", db_index=False, db_constraint=False
    )
    name = models.ForeignKey(
        WrittenName, on_delete=models.PROTECT, related_name="+", db_index=False, db_constraint=False
    )
    worst = models.PositiveSmallIntegerField(choices=VERDICTS)
    is_overruled = models.BooleanField(default=False)
    accession_key = models.BigIntegerField(default=0, db_default=0)
    part_key = models.BigIntegerField(null=True)
    site_key = models.BigIntegerField(null=True)
    country = models.CharField(max_length=2, default="", db_default="")
    kind = models.CharField(max_length=10, default="", db_default="")
    first_on = models.DateField(null=True)
    last_on = models.DateField(null=True)
    cells = models.BigIntegerField(default=0, db_default=0)
    catalog_number = models.CharField(max_length=200, default="", db_default="")
    accession_number = models.CharField(max_length=100, default="", db_default="")

    class Meta:
        indexes = [
            models.Index(fields=["-worst", "catalog_number", "specimen"], name="standing_worst"),
            models.Index(fields=["catalog_number", "specimen"], name="standing_number"),
            models.Index(fields=["first_on", "catalog_number", "specimen"], name="standing_collected"),
            models.Index(fields=["accession_number", "catalog_number", "specimen"], name="standing_accession"),
        ]
