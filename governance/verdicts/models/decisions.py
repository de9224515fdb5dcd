"""What persons found and decided beside the computed verdicts: searches, decisions of a layer, overrides."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.material.models import Accession, Part, Specimen
from governance.engine.tables import Layer, SearchState, Verdict
from governance.verdicts.models.words import LAYERS, SEARCH_STATES, VERDICTS

COUNTING = Q(withdrawn_at__isnull=True) & (Q(needs_review=False) | Q(reviewed_at__isnull=False))
"""Decisions beside verdicts that count: not withdrawn, and agreed to where a second person was asked for."""

COUNTING_SQL = "{0}.withdrawn_at IS NULL AND (NOT {0}.needs_review OR {0}.reviewed_at IS NOT NULL)"
"""The same as a condition; the brace stands for the table, or for what a statement calls it."""

WAITING = Q(withdrawn_at__isnull=True, needs_review=True, reviewed_at__isnull=True)
"""Those that wait for a second person: they change nothing yet."""


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
