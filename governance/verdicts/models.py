"""Requirements of countries, and verdicts: runs, what they found, what stands, and what a person decided beside it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy
from simple_history.models import HistoricalRecords

from accessions.material.models import Accession, Part, SamplingEvent, Specimen
from accessions.names.models import WrittenName
from governance.engine.tables import Layer, SearchState, Verdict
from governance.papers.models import LAYER_NAMES, Paper

LAYERS = [(int(layer), name) for layer, name in LAYER_NAMES.items()]

VERDICT_NAMES = {
    Verdict.COVERED: _("Covered"),
    Verdict.NOT_REQUIRED: _("Not required"),
    Verdict.CANNOT_TELL: _("Cannot tell"),
    Verdict.STRADDLES: _("Straddles"),
    Verdict.OUTSIDE: _("Outside terms"),
    Verdict.MISSING: _("No paper on file"),
}
"""Words of the verdicts on screens, best first."""

VERDICTS = [(int(verdict), name) for verdict, name in VERDICT_NAMES.items()]

SEARCH_STATES = [
    (int(SearchState.NOT_SEARCHED), _("Not searched yet")),
    (int(SearchState.KNOWN_NOT_LOCATED), _("Known to exist, not located")),
    (int(SearchState.NONE_FOUND), _("None found")),
]


class CountrySheet(models.Model):
    """What is known of the requirements of a country ("" is everywhere), who checked it and when.

    A country without a sheet has no rule: its specimens cannot be told, and never pass as covered.
    """

    country = models.CharField(
        _("country"), max_length=2, blank=True, unique=True, help_text=_("ISO 3166-1, two letters; blank is everywhere")
    )
    authority = models.CharField(_("authority"), max_length=300, blank=True)
    contact = models.TextField(_("contact"), blank=True)
    remarks = models.TextField(_("remarks"), blank=True)
    checked_by = models.CharField(_("checked by"), max_length=200, blank=True)
    checked_on = models.DateField(_("checked on"), null=True, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["country"]
        verbose_name = _("country sheet")
        verbose_name_plural = _("country sheets")
        constraints = [
            models.CheckConstraint(
                condition=Q(country="") | Q(country__regex=r"^[A-Z]{2}$"),
                name="countrysheet_country_form",
                violation_error_message=_("A country is two capital letters (ISO 3166-1)."),
            ),
            models.CheckConstraint(
                condition=Q(checked_by="", checked_on__isnull=True) | (~Q(checked_by="") & Q(checked_on__isnull=False)),
                name="countrysheet_who_and_when",
                violation_error_message=_("Say who checked the sheet and on which day, both or neither."),
            ),
        ]

    def __str__(self) -> str:
        return self.country or str(_("Everywhere"))


class SheetRule(models.Model):
    """A dated, sourced rule of a sheet: the layer is, or is not, required from one day to another."""

    sheet = models.ForeignKey(CountrySheet, on_delete=models.CASCADE, related_name="rules")
    layer = models.PositiveSmallIntegerField(_("layer"), choices=LAYERS)
    required = models.BooleanField(_("required"))
    from_on = models.DateField(_("from"), null=True, blank=True)
    to_on = models.DateField(_("to"), null=True, blank=True)
    source = models.CharField(_("source"), max_length=500)
    lead_days = models.PositiveSmallIntegerField(_("lead time in days"), null=True, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["sheet", "layer", F("from_on").asc(nulls_first=True)]
        verbose_name = _("rule of a country sheet")
        verbose_name_plural = _("rules of country sheets")
        constraints = [
            models.CheckConstraint(
                condition=Q(from_on__isnull=True) | Q(to_on__isnull=True) | Q(to_on__gte=F("from_on")),
                name="sheetrule_period",
                violation_error_message=_("The last day is before the first day."),
            ),
            models.CheckConstraint(
                condition=~Q(source=""),
                name="sheetrule_sourced",
                violation_error_message=_("Say where the rule stands: law, paragraph, date."),
            ),
            models.CheckConstraint(condition=Q(layer__lt=len(Layer)), name="sheetrule_layer_known"),
            models.UniqueConstraint(
                fields=["sheet", "layer", "from_on"],
                name="sheetrule_start_once",
                violation_error_message=_("Another rule for this layer starts on the same day."),
            ),
            models.UniqueConstraint(
                fields=["sheet", "layer"],
                condition=Q(from_on__isnull=True),
                name="sheetrule_unknown_start_once",
                violation_error_message=_("Another rule for this layer starts on an unknown day, too."),
            ),
        ]


class HouseRuleSet(models.Model):
    """What the house assumes where a record is silent. One row; its history tells since when.

    approximate_count_percent: "ca. 400" counts as 400 ± this; null: as 1 to no bound.
    """

    assumed_radius_m = models.FloatField(
        _("assumed radius (m)"), null=True, blank=True, default=1000,
        help_text=_("Of a point whose uncertainty is not recorded; blank: such a point cannot be told"),
    )  # fmt: skip
    datum_allowance_m = models.FloatField(
        _("datum allowance (m)"), default=250, help_text=_("Added where the datum is not recorded")
    )
    approximate_count_percent = models.PositiveSmallIntegerField(
        _("“ca.” means within (%)"), null=True, blank=True,
        help_text=_("25: “ca. 400” counts as 300 to 500; blank: as one to no bound"),
    )  # fmt: skip
    longest_wait_days = models.PositiveSmallIntegerField(
        _("longest wait of a delivery (days)"), default=30,
        help_text=_("Deliveries that wait longer for release or for an accession number show up on Today"),
    )  # fmt: skip
    overrides_need_review = models.BooleanField(
        _("a second person agrees"), default=False,
        help_text=_("A decision beside a verdict counts once another person has agreed to it"),
    )  # fmt: skip

    history = HistoricalRecords()

    class Meta:
        verbose_name = _("house rules")
        verbose_name_plural = _("house rules")
        constraints = [
            models.CheckConstraint(condition=Q(id=1), name="houseruleset_one_row"),
            models.CheckConstraint(
                condition=Q(assumed_radius_m__isnull=True) | Q(assumed_radius_m__gt=0),
                name="houseruleset_radius_positive",
                violation_error_message=_("The assumed radius is more than zero metres, or blank."),
            ),
            models.CheckConstraint(
                condition=Q(datum_allowance_m__gte=0),
                name="houseruleset_allowance_positive",
                violation_error_message=_("The datum allowance is zero or more metres."),
            ),
            models.CheckConstraint(
                condition=Q(approximate_count_percent__isnull=True) | Q(approximate_count_percent__lt=100),
                name="houseruleset_percent",
                violation_error_message=_("The margin is less than 100 percent."),
            ),
        ]


class Search(models.Model):
    """A search for the papers of a layer: for an accession, or one part of it; what it came to, by whom, when."""

    accession = models.ForeignKey(Accession, on_delete=models.CASCADE, related_name="searches")
    part = models.ForeignKey(Part, on_delete=models.CASCADE, null=True, blank=True, related_name="searches")
    layer = models.PositiveSmallIntegerField(_("layer"), choices=LAYERS)
    state = models.PositiveSmallIntegerField(_("outcome"), choices=SEARCH_STATES)
    searched_on = models.DateField(_("searched on"))
    searched_by = models.CharField(_("searched by"), max_length=200)
    note = models.TextField(_("where, and what was found"), blank=True)
    recorded_at = models.DateTimeField(auto_now_add=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["accession", "layer", "searched_on", "pk"]
        verbose_name = _("search for papers")
        verbose_name_plural = _("searches for papers")
        constraints = [
            models.CheckConstraint(condition=Q(layer__lt=len(Layer)), name="search_layer_known"),
            models.CheckConstraint(condition=Q(state__lt=len(SearchState)), name="search_state_known"),
            models.CheckConstraint(
                condition=~Q(searched_by=""), name="search_has_person", violation_error_message=_("Say who searched.")
            ),
        ]


class LayerDecision(models.Model):
    """A person's decision that a layer needs no paper, for an accession or one part of it: why, on what evidence, who.

    It counts as "not required" in verdicts (the contract, section 7.1) until it is withdrawn; it is never deleted.
    """

    accession = models.ForeignKey(Accession, on_delete=models.CASCADE, related_name="layer_decisions")
    part = models.ForeignKey(Part, on_delete=models.CASCADE, null=True, blank=True, related_name="layer_decisions")
    layer = models.PositiveSmallIntegerField(_("layer"), choices=LAYERS)
    reason = models.TextField(_("not required because"))
    evidence = models.TextField(_("evidence"))
    decided_at = models.DateTimeField(auto_now_add=True)
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="layer_decisions")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True,
        related_name="layer_decisions_withdrawn",
    )  # fmt: skip
    withdrawn_reason = models.TextField(blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["accession", "layer", "-decided_at"]
        verbose_name = _("decision that no paper is required")
        verbose_name_plural = _("decisions that no paper is required")
        constraints = [
            models.CheckConstraint(condition=Q(layer__lt=len(Layer)), name="layerdecision_layer_known"),
            models.CheckConstraint(
                condition=~Q(reason="") & ~Q(evidence=""),
                name="layerdecision_with_evidence",
                violation_error_message=_("Say why no paper is required, and what shows it."),
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="layerdecision_withdrawal_whole",
            ),
            models.UniqueConstraint(
                fields=["accession", "layer"],
                condition=Q(withdrawn_at__isnull=True, part__isnull=True),
                name="layerdecision_of_accession_once",
                violation_error_message=_("A decision for this layer stands already."),
            ),
            models.UniqueConstraint(
                fields=["part", "layer"],
                condition=Q(withdrawn_at__isnull=True, part__isnull=False),
                name="layerdecision_of_part_once",
                violation_error_message=_("A decision for this layer stands already."),
            ),
        ]


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
    database does not check them a second time, since the specimen pointed at them a moment before.
    """

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="results")
    specimen = models.ForeignKey(Specimen, on_delete=models.CASCADE, related_name="results")
    ruling = models.ForeignKey(Ruling, on_delete=models.PROTECT, related_name="results", db_index=False)
    event = models.ForeignKey(
        SamplingEvent, on_delete=models.PROTECT, related_name="+", db_index=False, db_constraint=False
    )
    name = models.ForeignKey(
        WrittenName, on_delete=models.PROTECT, related_name="+", db_index=False, db_constraint=False
    )

    class Meta:
        ordering = ["specimen", "-run"]


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


COUNTING = Q(withdrawn_at__isnull=True) & (Q(needs_review=False) | Q(reviewed_at__isnull=False))
"""Decisions beside verdicts that count: not withdrawn, and agreed to where a second person was asked for."""

COUNTING_SQL = "{0}.withdrawn_at IS NULL AND (NOT {0}.needs_review OR {0}.reviewed_at IS NOT NULL)"
"""The same as a condition; the brace stands for the table, or for what a statement calls it."""

WAITING = Q(withdrawn_at__isnull=True, needs_review=True, reviewed_at__isnull=True)
"""Those that wait for a second person: they change nothing yet."""


class Override(models.Model):
    """A person's decision beside the computed verdict of a layer: reason, name, date. Withdrawn, not deleted.

    needs_review: the house rule of that day asks for a second person; until one agrees (``reviewed_at``) the computed
    verdict counts. One who refuses withdraws it.
    """

    specimen = models.ForeignKey(Specimen, on_delete=models.CASCADE, related_name="overrides")
    layer = models.PositiveSmallIntegerField(_("layer"), choices=LAYERS)
    computed = models.PositiveSmallIntegerField(choices=VERDICTS, help_text=_("the computed verdict on that day"))
    decided = models.PositiveSmallIntegerField(_("decided"), choices=VERDICTS)
    reason = models.TextField(_("reason"))
    decided_at = models.DateTimeField(auto_now_add=True)
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="overrides")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="overrides_withdrawn"
    )
    withdrawn_reason = models.TextField(blank=True)
    needs_review = models.BooleanField(default=False)
    reviewed_at = models.DateTimeField(null=True, blank=True)
    reviewed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="overrides_reviewed"
    )
    review_note = models.TextField(blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["specimen", "layer", "-decided_at"]
        verbose_name = _("decision beside a verdict")
        verbose_name_plural = _("decisions beside verdicts")
        constraints = [
            models.CheckConstraint(
                condition=~Q(reason=""), name="override_reasoned", violation_error_message=_("Give the reason.")
            ),
            models.CheckConstraint(
                condition=Q(layer__lt=len(Layer), decided__lt=len(Verdict), computed__lt=len(Verdict)),
                name="override_words_known",
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="override_withdrawal_whole",
            ),
            models.CheckConstraint(
                condition=Q(reviewed_at__isnull=True, reviewed_by__isnull=True, review_note="")
                | (Q(reviewed_at__isnull=False, reviewed_by__isnull=False, needs_review=True) & ~Q(review_note="")),
                name="override_review_whole",
            ),
            models.CheckConstraint(
                condition=Q(reviewed_by__isnull=True) | ~Q(reviewed_by=F("decided_by")),
                name="override_reviewed_by_another",
                violation_error_message=_("Another person than the one who decided looks at it."),
            ),
            models.UniqueConstraint(
                fields=["specimen", "layer"],
                condition=Q(withdrawn_at__isnull=True),
                name="override_one_stands",
                violation_error_message=_("Another decision stands for this layer; withdraw it first."),
            ),
        ]

    @property
    def counts(self) -> bool:
        """Whether the decided verdict counts, as ``COUNTING`` has it."""
        return self.withdrawn_at is None and (not self.needs_review or self.reviewed_at is not None)

    @property
    def waits(self) -> bool:
        """Whether it waits for a second person."""
        return self.withdrawn_at is None and not self.counts
