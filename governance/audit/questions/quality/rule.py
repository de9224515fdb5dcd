"""A rule of data quality, and the question that it makes: what it finds, less what somebody noted as right as it is."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final
from urllib.parse import urlencode

from django.contrib.humanize.templatetags.humanize import intcomma
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.people.access import Verb, may
from governance.audit.asking import (
    Answer,
    Asked,
    Cell,
    Column,
    ColumnKind,
    Group,
    Linked,
    ListedRows,
    Missing,
    Parameter,
    ParameterKind,
    Question,
    Row,
    Rows,
    Text,
)
from governance.audit.models import QualityNote
from governance.audit.queries.quality import standing_notes
from governance.audit.questions.quality.found import Fact, Found

Cells = tuple[Cell, ...]

NOTE_VERB: Final = Verb.DECIDE
"""To call a row right as it is takes it out of every count: a decision, and not the typing of a fact."""

_NOTED: Final = "noted"
_SHOW: Final = Parameter(
    "show", ParameterKind.CHOICE, gettext_lazy("Shown"), default="open",
    choices=(("open", gettext_lazy("to be looked at")), (_NOTED, gettext_lazy("noted as right as they are"))),
)  # fmt: skip


@dataclass(frozen=True)
class Rule:
    """What cannot be right, or is seldom right and should be looked at.

    key: of the question. word: what a row is about, the first part of its key. found: on a day. cells: of some rows,
    for a reader; None: for nobody but the digest, with all there is. words: the sentence of a number. basis: where the
    rule comes from. notes: what it does not look at. lacks: what could not be looked at just now.
    """

    key: str
    word: str
    title: Text
    shows: Text
    columns: tuple[Column, ...]
    found: Callable[[date], Found]
    cells: Callable[[Sequence[Fact], Any], list[Cells]]
    words: Callable[[int], str]
    basis: Text
    notes: tuple[Text, ...] = ()
    lacks: Callable[[], tuple[Missing, ...]] = tuple

    def row_key(self, fact: Fact) -> str:
        return f"{self.word}:{fact[0]}"


@dataclass(frozen=True)
class Sorted:
    """What a rule found. noted: rows that are right as they are by a note whose row still says the same. left: others.
    outdated: notes whose row says something else by now."""

    left: Found
    noted: Mapping[str, QualityNote]
    noted_facts: Sequence[Fact]
    outdated: Mapping[str, QualityNote]


def sorted_out(rule: Rule, on: date) -> Sorted:
    """One query for the notes, and one for their rows if there are any, beside those of the rule."""
    found, notes = rule.found(on), standing_notes(rule.key)
    if not notes:
        return Sorted(found, {}, (), {})
    facts = found.only([key.partition(":")[2] for key in notes])
    holding = [
        fact for fact, cells in zip(facts, rule.cells(facts, None), strict=True)
        if digest_of(cells) == notes[rule.row_key(fact)].digest
    ]  # fmt: skip
    keys = {rule.row_key(fact) for fact in holding}
    present = {rule.row_key(fact) for fact in facts}
    return Sorted(
        found.without([str(fact[0]) for fact in holding]), {key: notes[key] for key in keys}, holding,
        {key: notes[key] for key in present - keys},
    )  # fmt: skip


def digest_of(cells: Cells) -> str:
    """SHA-256 of what a row says, without the addresses to which it leads."""
    return hashlib.sha256(json.dumps(plain(cells), ensure_ascii=False).encode()).hexdigest()


def plain(cells: Cells) -> list[str]:
    """What a row says, as text."""
    return [str(value) for cell in cells for value in [cell.value if isinstance(cell, Linked) else cell]]


def counted(rule: Rule, on: date) -> tuple[int, int]:
    """How many rows are to be looked at, and how many are noted as right."""
    found = sorted_out(rule, on)
    return len(found.left), len(found.noted)


def row_said(rule: Rule, on: date, key: str, reader: Any) -> tuple[Cells, str] | None:
    """What the row with a key says to a reader, and its digest; None where the rule does not find it (any more)."""
    word, _colon, bare = key.partition(":")
    facts = rule.found(on).only([bare]) if word == rule.word else ()
    if not facts:
        return None
    return rule.cells(facts, reader)[0], digest_of(rule.cells(facts, None)[0])


def question_of(rule: Rule) -> Question:
    """The question of a rule."""
    return Question(
        rule.key, Group.QUALITY, rule.title, rule.shows, lambda asked: _answer(rule, asked), (_SHOW,)
    )  # fmt: skip


def _answer(rule: Rule, asked: Asked) -> Answer:
    found = sorted_out(rule, asked.on)
    left, noted = len(found.left), len(found.noted)
    notes = (str(rule.basis), *map(str, rule.notes), *_told_of(noted, len(found.outdated)))
    if asked["show"] == _NOTED:
        return _noted_answer(rule, asked, found, notes)
    may_note = may(asked.reader, NOTE_VERB)
    columns = (*rule.columns, *((_LOOK,) if may_note else ()))
    rows = _FoundRows(rule, found.left, asked.reader, may_note, left)
    sentence = rule.words(left) if left else _("Nothing of this kind was found.")
    return Answer(sentence, columns, rows, missing=rule.lacks(), notes=notes, total=left)


_LOOK: Final = Column("look", gettext_lazy("Right as it is?"))


def _told_of(noted: int, outdated: int) -> Iterator[str]:
    if noted:
        words = ngettext("%(n)s row was looked at and noted as right as it is; it is not counted.",
                         "%(n)s rows were looked at and noted as right as they are; they are not counted.",
                         noted)  # fmt: skip
        yield words % {"n": intcomma(noted)}
    if outdated:
        words = ngettext("%(n)s row was noted as right and says something else by now: it counts again.",
                         "%(n)s rows were noted as right and say something else by now: they count again.",
                         outdated)  # fmt: skip
        yield words % {"n": intcomma(outdated)}


@dataclass(frozen=True)
class _FoundRows(Rows):
    """The rows of an answer. may_note: each ends with the way to say that it is right as it is."""

    rule: Rule
    found: Found
    reader: Any
    may_note: bool
    count: int

    def __len__(self) -> int:
        return self.count

    def between(self, first: int, last: int) -> Sequence[Row]:
        return self._made(self.found.between(first, last))

    def __iter__(self) -> Iterator[Row]:
        for facts in self.found:
            yield from self._made(facts)

    def _made(self, facts: Sequence[Fact]) -> list[Row]:
        if not facts:
            return []
        made = zip(facts, self.rule.cells(facts, self.reader), strict=True)
        return [self._row(self.rule.row_key(fact), cells) for fact, cells in made]

    def _row(self, key: str, cells: Cells) -> Row:
        return Row(key, (*cells, Linked(_("Say why"), note_address(self.rule.key, key))) if self.may_note else cells)


def note_address(question: str, row: str) -> str:
    """Where somebody says that a row is right as it is."""
    return f"{reverse('audit:quality-note', args=[question])}?{urlencode({'row': row})}"


_NOTE_COLUMNS: Final = (
    Column("why", gettext_lazy("Right as it is because")), Column("noted_by", gettext_lazy("Noted by")),
    Column("noted_at", gettext_lazy("Noted"), ColumnKind.MOMENT),
)  # fmt: skip


def _noted_answer(rule: Rule, asked: Asked, found: Sorted, notes: tuple[str, ...]) -> Answer:
    """The rows that were noted, each with its note and, for whoever may, the way to take it back."""
    may_note, rows = may(asked.reader, NOTE_VERB), []
    made = rule.cells(found.noted_facts, asked.reader) if found.noted_facts else []
    for fact, cells in zip(found.noted_facts, made, strict=True):
        note = found.noted[rule.row_key(fact)]
        told: Cells = (note.why, note.noted_by.shown_name, note.noted_at)
        back = Linked(_("Take it back"), reverse("audit:quality-withdraw", args=[note.pk]))
        rows.append(Row(rule.row_key(fact), (*cells, *told, *((back,) if may_note else ()))))
    words = ngettext("%(n)s row was noted as right as it is.", "%(n)s rows were noted as right as they are.", len(rows))
    columns = (*rule.columns, *_NOTE_COLUMNS, *((Column("back", _("Note")),) if may_note else ()))
    sentence = words % {"n": intcomma(len(rows))} if rows else _("Nothing was noted as right as it is here.")
    return Answer(sentence, columns, ListedRows(rows), notes=notes)
