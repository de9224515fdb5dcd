"""The answers that depend on what a specimen is, not on when and where: name, sex, life stage (sections 5, 6).

A *kind* is one combination of name, sexes, life stages and of whether the count was blank.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from governance.engine.answers import NO, YES
from governance.engine.columns import Column, MoreFindings, join_versions, yes
from governance.engine.pairs import Edition
from governance.engine.tables import CODES, BoolColumn, ByteColumn, IntColumn, ListedTaxon, Material
from governance.engine.taxa import Classification, judge_taxa
from governance.engine.words import judge_words


@dataclass(frozen=True)
class Kinds:
    """Distinct kinds, shape (n_kinds,) each.

    taxon, sexes, life_stages: int32 rows into the tables of ``Material``. count_assumed: the count was blank.
    """

    taxon: IntColumn
    sexes: IntColumn
    life_stages: IntColumn
    count_assumed: BoolColumn

    def __len__(self) -> int:
        return len(self.taxon)


@dataclass(frozen=True)
class KindAnswers:
    """One edition's answers to every kind. limits: how many of the three tests can fail at all."""

    taxon: Column
    sexes: Column
    life_stages: Column
    limits: int

    @property
    def columns(self) -> tuple[Column, Column, Column]:
        """Name, sex, stage: the order of the bits in ``KindTable``."""
        return self.taxon, self.sexes, self.life_stages


class KindTests:
    """Judges editions against kinds, each once."""

    def __init__(self, material: Material, classification: Classification, kinds: Kinds, more: MoreFindings) -> None:
        self.material = material
        self.classification = classification
        self.kinds = kinds
        self.more = more
        self._answers: dict[tuple[tuple[int, ...], bool], KindAnswers] = {}
        self._taxa: dict[tuple[tuple[ListedTaxon, ...], tuple[ListedTaxon, ...]], Column] = {}
        self._plain = yes(len(kinds))

    def judge(self, edition: Edition) -> KindAnswers:
        """The answers of an edition, columns of shape (n_kinds,); an edition without versions says yes."""
        key = (tuple(id(v) for v in edition.versions), edition.is_run)
        if key not in self._answers:
            self._answers[key] = self._judge(edition)
        return self._answers[key]

    def _judge(self, edition: Edition) -> KindAnswers:
        """Every version's answers, joined test by test."""
        versions = edition.versions
        taxon = [self._taxon(v.include_taxa, v.exclude_taxa) for v in versions]
        sexes = [judge_words(self.kinds.sexes, self.material.sexes, v.sexes, "sex") for v in versions]
        stages = [
            judge_words(self.kinds.life_stages, self.material.life_stages, v.life_stages, "life-stage")
            for v in versions
        ]
        joined = [self._join(columns, edition) for columns in (taxon, sexes, stages)]
        return KindAnswers(joined[0], joined[1], joined[2], sum(bool(c.answer.any()) for c in joined))

    def _taxon(self, include: tuple[ListedTaxon, ...], exclude: tuple[ListedTaxon, ...]) -> Column:
        """Many versions list the same taxa: each list is judged once."""
        if not include and not exclude:
            return self._plain
        key = (include, exclude)
        if key not in self._taxa:
            self._taxa[key] = judge_taxa(self.classification, include, exclude)
        return self._taxa[key].take(self.kinds.taxon)

    def _join(self, columns: Sequence[Column], edition: Edition) -> Column:
        """The versions' answers as one; an edition without versions is told by ``paper-unread`` alone."""
        if not columns:
            return self._plain
        return join_versions(columns, is_run=edition.is_run, more=self.more, codes=CODES)


@dataclass(frozen=True)
class KindTable:
    """All editions' answers to all kinds, shape (n_editions, n_kinds).

    any_no: is any answer no. failing: which are not yes (bit 0 the name, bit 1 the sex, bit 2 the stage).
    """

    any_no: BoolColumn
    failing: ByteColumn

    @classmethod
    def of(cls, answers: Sequence[KindAnswers], count: int) -> KindTable:
        """The table of the answers of each edition to so many kinds."""
        shape = (len(answers), count)
        any_no, failing = np.zeros(shape, bool), np.zeros(shape, np.uint8)
        for row, answer in enumerate(answers):
            for bit, column in enumerate(answer.columns):
                any_no[row] |= column.answer == NO
                failing[row] |= (column.answer != YES).astype(np.uint8) << bit
        return cls(any_no, failing)
