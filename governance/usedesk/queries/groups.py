"""An answer of the desk as people use it: by groups of specimens that are answered alike, with papers and clauses."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from governance.engine.tables import NONE
from governance.engine.uses import MAY_GO, NO_PAPER, Answer, Answers, Case, Finding, Use, may_go
from governance.papers.models import Paper, PaperVersion, TermsReading, UseTerm
from governance.usedesk.models import SilenceRule
from governance.usedesk.queries.way import WayThere
from governance.usedesk.questions import Facts


@dataclass(frozen=True)
class Group:
    """Specimens with one word, for the same deciding reasons; or, as a block, all with one word.

    key: stable, for addresses: as long as papers, versions and words stay, a group has the same. word: on screens;
    answer: how it counts: a silence that the house reads as allowed has the word SILENT and the answer ALLOWED.
    findings: the deciding ones, strictest first. lines: these in words that everybody may read. parts: of a block, its
    groups. cases: rows of the answers.
    """

    key: str
    word: Answer
    answer: Answer
    is_silent: bool
    ids: tuple[int, ...]
    findings: tuple[Finding, ...]
    cases: tuple[int, ...]
    lines: tuple[str, ...] = ()
    parts: tuple[Group, ...] = ()

    @property
    def count(self) -> int:
        return len(self.ids)

    @property
    def may_go(self) -> bool:
        """Whether they may go as asked: the terms allow it, or the house reads silence so."""
        return self.answer in MAY_GO


@dataclass(frozen=True)
class DeskAnswer:
    """The answer for some specimens, and what stands behind it. ids: of the specimens, in the order asked.

    keys: of the papers, by row as findings name them; negative: a deposit without a paper on file. version_keys: of the
    versions, by row of the paper and of the version. way: the way there. late: specimens that came into the basket
    after something was settled for it, which does not count for them. What is shown of papers is read when it is asked
    for, in a number of queries that does not grow.
    """

    ids: Sequence[int]
    facts: Facts
    answers: Answers
    keys: Sequence[int]
    references: Sequence[str]
    version_keys: Sequence[Sequence[int]]
    way: WayThere
    late: int = 0

    @cached_property
    def papers(self) -> Mapping[int, Paper]:
        """By row. A deposit without a paper has none: ``references`` names it."""
        found = Paper.objects.in_bulk([key for key in self.keys if key > 0])
        return {row: found[key] for row, key in enumerate(self.keys) if key in found}

    @cached_property
    def versions(self) -> Mapping[tuple[int, int], PaperVersion]:
        """By row of the paper and row of the version: those that findings name, with their reading of terms."""
        wanted = {(f.paper, f.version) for f in self._findings if f.version != NONE and self.keys[f.paper] > 0}
        keys = {place: self.version_keys[place[0]][place[1]] for place in wanted}
        found = PaperVersion.objects.select_related("terms_reading__read_by").in_bulk(list(set(keys.values())))
        return {place: found[key] for place, key in keys.items() if key in found}

    @cached_property
    def terms(self) -> Mapping[tuple[int, int, Use], UseTerm]:
        """The clauses of these versions on the uses that are asked for, by row of paper and version and by use."""
        place_of = {version.pk: place for place, version in self.versions.items()}
        rows = UseTerm.objects.filter(version__in=list(place_of), use__in=[int(use) for use in self.facts.uses])
        return {(*place_of[term.version_id], Use(term.use)): term for term in rows}

    def reading(self, finding: Finding) -> TermsReading | None:
        """The reading of the version that a finding names; None if nobody read it for its terms."""
        version = self.versions.get((finding.paper, finding.version))
        return getattr(version, "terms_reading", None)

    def term(self, finding: Finding) -> UseTerm | None:
        """The clause that a finding rests on, if there is one."""
        return self.terms.get((finding.paper, finding.version, finding.use))

    @property
    def _findings(self) -> Iterable[Finding]:
        return (finding for case in self.answers.cases for finding in case.findings)

    @cached_property
    def silence_rules(self) -> Mapping[tuple[int | None, str], SilenceRule]:
        """How the house reads silence, by use and kind of paper."""
        return {(rule.use, rule.paper_kind): rule for rule in SilenceRule.objects.all()}

    def silence_rule(self, finding: Finding) -> SilenceRule | None:
        """The rule by which a silence was read: the kind before the use, as the engine has it; None: no rule."""
        if finding.code == "no-terms":
            kind = NO_PAPER
        else:
            kind = self.papers[finding.paper].kind if finding.paper in self.papers else DEPOSIT_KIND
        places: list[tuple[int | None, str]] = [(int(finding.use), kind), (None, kind)]
        if kind != NO_PAPER:
            places += [(int(finding.use), ""), (None, "")]
        return next((self.silence_rules[place] for place in places if place in self.silence_rules), None)

    @cached_property
    def row_of(self) -> Mapping[int, int]:
        """By key of a specimen, its place in ``ids``."""
        return {pk: place for place, pk in enumerate(self.ids)}

    def case_of(self, specimen: int) -> Case:
        """What is answered to one specimen of ``ids``."""
        return self.answers.cases[int(self.answers.case[self.row_of[specimen]])]

    @cached_property
    def counts(self) -> Mapping[Answer, int]:
        """Specimens by the word on screens; words that nobody got are 0."""
        return self._counted(lambda case: case.word)

    @cached_property
    def counts_by_answer(self) -> Mapping[Answer, int]:
        """Specimens by the answer that counts: a silence stands where the house reads it."""
        return self._counted(lambda case: case.answer)

    def _counted(self, answer_of: Callable[[Case], Answer]) -> dict[Answer, int]:
        found = dict.fromkeys(Answer, 0)
        counts = np.bincount(self.answers.case, minlength=len(self.answers.cases)).tolist()
        for case, count in zip(self.answers.cases, counts, strict=True):
            found[answer_of(case)] += count
        return found

    @cached_property
    def may_go(self) -> int:
        """How many may go as asked, with or without duties."""
        return may_go(self.answers)

    def by_use(self, specimen: int) -> Mapping[Use, Case]:
        """What is answered to one specimen, use by use, of a question that asked for several."""
        findings = self.case_of(specimen).findings
        own = {use: tuple(finding for finding in findings if finding.use == use) for use in self.facts.uses}
        return {use: Case(some[0].answer, some) for use, some in own.items()}

    @cached_property
    def groups(self) -> tuple[Group, ...]:
        """By word, answer, silence and deciding reasons: mildest word first, the largest group of a word first."""
        ids_of: dict[int, list[int]] = {}
        for pk, row in zip(self.ids, self.answers.case.tolist(), strict=True):
            ids_of.setdefault(row, []).append(pk)
        rows_of: dict[tuple[object, ...], list[int]] = {}
        for row in ids_of:
            rows_of.setdefault(_place(self.answers.cases[row]), []).append(row)
        groups = [self._group(rows, ids_of) for rows in rows_of.values()]
        return tuple(sorted(groups, key=lambda group: (group.word, group.answer, -group.count, group.key)))

    @cached_property
    def blocks(self) -> tuple[Group, ...]:
        """By word and answer alone; their groups are ``parts``."""
        by_word: dict[tuple[Answer, Answer], list[Group]] = {}
        for group in self.groups:
            by_word.setdefault((group.word, group.answer), []).append(group)
        return tuple(self._block(word, answer, groups) for (word, answer), groups in by_word.items())

    def group(self, key: str) -> Group | None:
        """The group or block of an address; None if there is none any more."""
        return next((group for group in (*self.blocks, *self.groups) if group.key == key), None)

    def _group(self, rows: Sequence[int], ids_of: Mapping[int, Sequence[int]]) -> Group:
        case = self.answers.cases[rows[0]]
        ids = sorted((pk for row in rows for pk in ids_of[row]), key=self.row_of.__getitem__)
        return Group(
            self._key(case), case.word, case.answer, case.is_silent, tuple(ids), case.deciding, tuple(rows),
            self._lines(case.deciding),
        )  # fmt: skip

    def _block(self, word: Answer, answer: Answer, groups: Sequence[Group]) -> Group:
        key = word.code if word == answer else f"{word.code}-as-{answer.code}"
        ids = sorted((pk for group in groups for pk in group.ids), key=self.row_of.__getitem__)
        findings = tuple(dict.fromkeys(finding for group in groups for finding in group.findings))
        return Group(
            key, word, answer, groups[0].is_silent, tuple(ids), findings,
            tuple(row for group in groups for row in group.cases), self._lines(findings), tuple(groups),
        )  # fmt: skip

    def _lines(self, findings: Sequence[Finding]) -> tuple[str, ...]:
        from governance.usedesk.words import finding_words

        return tuple(dict.fromkeys(finding_words(finding, self) for finding in findings))

    def _key(self, case: Case) -> str:
        """By keys of the database, not by rows, which change with what is asked."""
        reasons = sorted(
            (f.code, self.keys[f.paper] if f.paper != NONE else 0, self._version_key(f), int(f.use))
            for f in case.deciding
        )
        text = repr((int(case.word), int(case.answer), reasons))
        return f"{case.word.code}-{hashlib.sha256(text.encode()).hexdigest()[:10]}"

    def _version_key(self, finding: Finding) -> int:
        if finding.version == NONE or self.keys[finding.paper] < 0:
            return 0
        return self.version_keys[finding.paper][finding.version]


DEPOSIT_KIND = "deposit"
"""Kind of a deposit without a paper: none that a paper can have, so that only rules on any paper read its silence."""


def _place(case: Case) -> tuple[object, ...]:
    deciding = frozenset((f.code, f.paper, f.version, f.use) for f in case.deciding)
    return case.word, case.answer, case.is_silent, deciding
