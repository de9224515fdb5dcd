"""What the terms said on the day of a loan, and whether the register knew them then."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from accessions.material.models import Specimen
from accessions.people.wording import in_a_list
from governance.audit.asking import (
    Answer,
    Asked,
    Column,
    ColumnKind,
    Group,
    ListedRows,
    Missing,
    Parameter,
    ParameterKind,
    Question,
    Row,
    UnknownValueError,
)
from governance.audit.questions.addresses import paper_link, use_link
from governance.audit.questions.material_asked import SPECIMEN
from governance.audit.questions.paper_states import STANDING_WORDS
from governance.audit.questions.telling import counted, day_words, sentences
from governance.audit.questions.whereabouts.known_then import Entries, Known, entries
from governance.audit.resolving import specimen_of
from governance.engine.tables import NONE
from governance.engine.uses import Answer as Word
from governance.engine.uses import Said, Use, version_on
from governance.papers.lifetimes import Standing, lifetime
from governance.papers.models import SAID_NAMES, USE_NAMES, Paper, PaperVersion, UseTerm
from governance.papers.queries.terms import TermsOnFile, engine_terms
from governance.papers.restriction import is_readable, opens, restricted_words
from governance.usedesk.deeds import LOANS
from governance.usedesk.models import ANSWER_NAMES, MadeUse, UseItem
from governance.usedesk.queries.holding import Held, held
from governance.usedesk.queries.judging import Told
from governance.usedesk.queries.listed import NOT_ASKED

_COLUMNS: Final = (
    Column("entry", gettext_lazy("Loan")),
    Column("on", gettext_lazy("On"), ColumnKind.DAY),
    Column("paper", gettext_lazy("Paper")),
    Column("state", gettext_lazy("State that day")),
    Column("version_from", gettext_lazy("Version in force from"), ColumnKind.DAY),
    Column("version_to", gettext_lazy("to"), ColumnKind.DAY),
    Column("use", gettext_lazy("Use")),
    Column("said", gettext_lazy("The paper says")),
    Column("clause", gettext_lazy("Clause")),
    Column("place", gettext_lazy("Where it stands")),
    Column("known", gettext_lazy("Known then?")),
    Column("since", gettext_lazy("Entered so on"), ColumnKind.MOMENT),
)

_BORE: Final = ngettext_lazy(
    "On %(day)s, the day of %(entry)s, %(n)s paper bore on its material: %(said)s.",
    "On %(day)s, the day of %(entry)s, %(n)s papers bore on its material: %(said)s.", "count",
)  # fmt: skip
_ENTRIES: Final = ngettext_lazy(
    "%(n)s loan of %(specimen)s is on record.", "%(n)s loans of %(specimen)s are on record.", "count"
)
_NOT_KNOWN: Final = ngettext_lazy(
    "The terms of %(n)s were not known in the register then as they stand.",
    "The terms of %(n)s were not known in the register then as they stand.", "count",
)  # fmt: skip
_UNREAD: Final = ngettext_lazy(
    "%(n)s paper was not read for this use.", "%(n)s papers were not read for this use.", "count"
)
_KEPT: Final = ngettext_lazy(
    "The clauses of %(n)s paper are for its readers.", "The clauses of %(n)s papers are for their readers.", "count"
)
_NOT_READ: Final = gettext_lazy("Not read for this use")
_NO_VERSION: Final = gettext_lazy("No version had started")


@dataclass(frozen=True)
class _Line:
    """One paper on the day of one use. version: whose terms bound on that day; term: what it says of the use."""

    made: MadeUse
    paper: Paper
    use: Use
    version: PaperVersion | None
    term: UseTerm | None
    known: Known

    @property
    def said(self) -> str:
        if self.version is None:
            return str(_NO_VERSION if self.paper.versions.all() else STANDING_WORDS[Standing.UNREAD])
        return str(SAID_NAMES[Said(self.term.said)] if self.term is not None else _NOT_READ)


def answer(asked: Asked) -> Answer:
    """The papers that bear on what was lent, by the versions of that day: about twenty-five queries."""
    specimen = specimen_of(asked) if asked["specimen"] else None
    made = _made(asked, specimen)
    ids = [specimen.pk] if specimen is not None else _items(made)
    found = _lines(made, held(ids, NOT_ASKED), asked) if made and ids else []
    unread = sum(1 for one in found if one.term is None)
    closed = len({one.paper.pk for one in found if not is_readable(one.paper, asked.reader)})
    return Answer(
        sentence=_sentence(made, found, specimen), columns=_COLUMNS,
        rows=ListedRows([_row(one, asked.reader) for one in found]),
        missing=(Missing(counted(_UNREAD, unread), unread),) if unread else (),
        kept_back=(counted(_KEPT, closed),) if closed else (), notes=tuple(_notes()),
    )  # fmt: skip


# Which loan -----------------------------------------------------------------------------------------------------------


def _made(asked: Asked, specimen: Specimen | None) -> list[MadeUse]:
    """The entry that is named; else the loans of the specimen; else the newest loan, the newest first."""
    rows = MadeUse.objects.filter(voided_at__isnull=True).select_related("recipient", "request")
    rows = rows.order_by("-on", "-pk")
    if specimen is not None:
        rows = rows.filter(items__specimen=specimen)
    if asked["loan"]:
        return [_named(asked["loan"], list(_by_number(rows, asked["loan"])[:2]))]
    loans = rows.filter(deed__in=LOANS, on__lte=asked.on)
    return list(loans if specimen is not None else loans[:1])


def _by_number(rows: Any, text: str) -> Any:
    """By its number; one without a number is written as its key with # before it."""
    key = text.removeprefix("#")
    if text.startswith("#") and key.isascii() and key.isdigit() and len(key) < 19:
        return rows.filter(pk=int(key))
    return rows.filter(reference=text)


def _named(text: str, found: Sequence[MadeUse]) -> MadeUse:
    if len(found) == 1:
        return found[0]
    words = _("The register has no loan or other use “%(text)s” of this material.") if not found else _(
        "“%(text)s” is the number of several entries; write the key of one, such as #12.")  # fmt: skip
    raise UnknownValueError("loan", words % {"text": text})


def _items(made: Sequence[MadeUse]) -> list[int]:
    rows = UseItem.objects.filter(use__in=[one.pk for one in made]).order_by("specimen")
    return list(rows.values_list("specimen", flat=True))


# The papers of that day -----------------------------------------------------------------------------------------------


def _lines(made: Sequence[MadeUse], material: Held, asked: Asked) -> list[_Line]:
    keys = [key for key in material.papers if key > 0]
    uses = {one.pk: _use(one) for one in made}
    asked_uses = {use for use in uses.values() if use is not None}
    terms = engine_terms(keys, asked_uses)
    papers = Paper.objects.filter(pk__in=keys).prefetch_related("versions", "statuses").in_bulk()
    versions = {key: version for paper in papers.values() for version in paper.versions.all() for key in (version.pk,)}
    told = _terms(list(versions), asked_uses)
    known = entries(keys, material.rows, list(versions), [int(use) for use in asked_uses], asked.known_at)
    return [
        _line(one, papers[key], use, versions.get(_bound(terms, key, one)), told, known)
        for one in made
        for key in sorted(papers, key=lambda key: papers[key].reference)
        if (use := uses[one.pk]) is not None
    ]


def _use(made: MadeUse) -> Use | None:
    """The use that clauses speak of; of a loan of which it is not kept, as the desk would have it."""
    if made.use is not None:
        return Use(made.use)
    told = Told(made.deed, made.on, None, made.recipient, made.request).uses
    return told[-1] if told else None


def _bound(terms: TermsOnFile, paper: int, made: MadeUse) -> int:
    """The key of the version whose terms bound on the day; 0: none had started."""
    row = terms.row_of[paper]
    number = version_on(terms.papers[row], made.on.toordinal())
    return 0 if number == NONE else terms.versions[row][number]


def _terms(versions: Sequence[int], uses: set[Use]) -> dict[tuple[int, int], UseTerm]:
    rows = UseTerm.objects.filter(version__in=versions, use__in=[int(use) for use in uses])
    return {(term.version_id, term.use): term for term in rows}


def _line(
    made: MadeUse, paper: Paper, use: Use, version: PaperVersion | None, told: Mapping[tuple[int, int], UseTerm],
    known: Entries,
) -> _Line:  # fmt: skip
    if version is None:
        return _Line(made, paper, use, None, None, Known(""))
    term = told.get((version.pk, int(use)))
    return _Line(made, paper, use, version, term, known.known(paper.pk, version.pk, int(use), term, made.on))


# What is said of it ---------------------------------------------------------------------------------------------------


def _row(one: _Line, reader: Any) -> Row:
    version, hidden = one.version, "" if opens(one.paper, reader) else restricted_words(one.paper.restricted_to)
    return Row(
        f"use:{one.made.pk}:paper:{one.paper.pk}",
        (
            use_link(one.made), one.made.on, paper_link(one.paper),
            str(STANDING_WORDS[lifetime(one.paper, one.made.on).standing]),
            version.in_force_from if version else None, version.in_force_to if version else None,
            str(USE_NAMES[one.use]), one.said, hidden or (one.term.clause if one.term else ""),
            "" if hidden or one.term is None else _place(one.term), one.known.words, one.known.since,
        ),
    )  # fmt: skip


def _place(term: UseTerm) -> str:
    number = _("clause %(number)s") % {"number": term.clause_number} if term.clause_number else ""
    return ", ".join(part for part in (number, _("page %(n)s") % {"n": term.page} if term.page else "") if part)


def _sentence(made: Sequence[MadeUse], found: Sequence[_Line], specimen: Specimen | None) -> str:
    if not made:
        nothing = _("No loan of %(specimen)s is on record.") % {"specimen": specimen}
        return nothing if specimen is not None else _("No loan is on record.")
    first = made[0]
    told = counted(_ENTRIES, len(made), specimen=specimen) if len(made) > 1 else ""
    of_first = [one for one in found if one.made.pk == first.pk]
    not_known = sum(1 for one in of_first if one.version is not None and not one.known.is_known)
    return sentences(
        told, _of_day(first, of_first),
        _("The answer of the desk that day: %(answer)s.") % {"answer": ANSWER_NAMES[Word(first.answer)]}
        if first.answer is not None else "", counted(_NOT_KNOWN, not_known) if not_known else "",
    )  # fmt: skip


def _of_day(made: MadeUse, found: Sequence[_Line]) -> str:
    day = {"day": day_words(made.on), "entry": str(made)}
    if not found:
        return _("No paper on file bears on the material of %(entry)s of %(day)s.") % day
    said = Counter(one.said for one in found)
    words = in_a_list(f"{text} ({intcomma(number)})" for text, number in said.items())
    return counted(_BORE, len(found), said=words, **day)


def _notes() -> Iterator[str]:
    yield _(
        "The version of the day is the last that had started, also where its days were over: what was lent stays "
        "bound by it. Known then: the paper was linked to the material, the version was entered and read for this use "
        "by the end of that day, with the words that stand."
    )
    yield _("Of links to sites any counts, wherever it leads. Days end at midnight in %(zone)s.") % {
        "zone": timezone.get_current_timezone_name()
    }


QUESTION: Final = Question(
    "terms-on-day-of-loan", Group.WHEREABOUTS,
    gettext_lazy("What did the terms say on the day of the loan, and did we know it?"),
    gettext_lazy("Each paper that bears on what was lent, in the version of that day, with what it says of that use, "
                 "and whether the register knew it then."), answer,
    (
        Parameter("loan", ParameterKind.USE, gettext_lazy("Loan or other entry"),
                  help=gettext_lazy("Its number, or its key such as #12; blank: the newest loan")),
        Parameter("specimen", SPECIMEN.kind, SPECIMEN.label,
                  help=gettext_lazy("Its catalogue number: all loans of it; or of the one that is named")),
    ),
)  # fmt: skip
