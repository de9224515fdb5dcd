"""What came after a consent was withdrawn: what was taken, used and lent from that day on, and what is still held."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Count, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.material.models import SamplingEvent, Specimen
from accessions.people.models import Agent
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
from governance.audit.questions.addresses import link, use_link
from governance.audit.questions.wording import long_day, specimens_words
from governance.audit.resolving import agent_of, day_of, paper_of
from governance.duties.queries.paper_material import specimens_under
from governance.papers.models import Paper, PaperStatus
from governance.papers.statuses import ENDS
from governance.usedesk.deeds import LOANS
from governance.usedesk.models import ANSWER_NAMES, MadeUse, UseItem
from governance.usedesk.queries.material import Where, among, of_owner, undated, with_taken
from governance.usedesk.queries.whereabouts import gone, still_out
from governance.verdicts.shown_days import event_day, short_day

_COLUMNS: Final = (
    Column("what", gettext_lazy("What")), Column("when", gettext_lazy("When")),
    Column("record", gettext_lazy("Record")), Column("specimens", gettext_lazy("Specimens"), ColumnKind.NUMBER),
    Column("detail", gettext_lazy("Detail")),
)  # fmt: skip


@dataclass(frozen=True)
class _Withdrawn:
    """Whose consent, and from which day on. lead: that in a sentence. where: of the material, for a path to the
    specimen. items: uses of it and of what was taken from it. unknown: specimens of which nobody knows whether they
    were the owner's.
    """

    lead: str
    day: date
    where: Where
    items: QuerySet[UseItem]
    unknown: int = 0

    @property
    def specimens(self) -> QuerySet[Specimen]:
        return Specimen.objects.filter(self.where("")).order_by()


@dataclass(frozen=True)
class _Taken:
    """Specimens of one event and accession. is_certain: no day of the record is before the withdrawal."""

    event: SamplingEvent
    accession: int
    number: str
    specimens: int
    is_certain: bool


@dataclass(frozen=True)
class _Used:
    """A use with how many of the material are in it. is_later: from the day on; else it lasted beyond it."""

    use: MadeUse
    specimens: int
    is_later: bool


@dataclass(frozen=True)
class _Held:
    """What is here of one accession. total: all of it that the consent was for; out: on loan."""

    accession: int
    number: str
    total: int
    gone: int
    out: int

    @property
    def here(self) -> int:
        return self.total - self.gone - self.out


def answer(asked: Asked) -> Answer:
    """About fifteen queries for an owner; for a paper as many more as it takes to find what it bears on."""
    told = _withdrawn(asked)
    taken, used, held = _taken(told), _used(told), _held(told)
    return Answer(
        sentence=_sentence(told, taken, used, held),
        columns=_COLUMNS,
        rows=ListedRows([*_taken_rows(taken), *_used_rows(used), *_held_rows(held)]),
        missing=tuple(_missing(told, taken)),
        notes=(
            _("From the day of the withdrawal on; that day counts."),
            _("Uses are of the material and of what was taken from it, as entered and not voided. What was taken, lent "
              "or used before keeps the terms of its day; whether it may stay is for the owner and the papers to say."),
        ),
        total=sum(one.specimens for one in taken if one.is_certain) + sum(one.is_later for one in used),
    )  # fmt: skip


def _withdrawn(asked: Asked) -> _Withdrawn:
    """Raises:
    UnknownValueError: neither or both are told, or no day is told and none is on file.
    """
    if bool(asked["paper"]) == bool(asked["agent"]):
        raise UnknownValueError("paper", _("Write a paper, or an owner; one of the two."))
    day = day_of(asked, "day")
    return _of_paper(paper_of(asked), day) if asked["paper"] else _of_agent(agent_of(asked), day)


def _of_paper(paper: Paper, day: date | None) -> _Withdrawn:
    ended = PaperStatus.objects.filter(paper=paper, state__in=ENDS).first()
    if day is None and ended is None:
        raise UnknownValueError("day", _("Nothing on file says that %(paper)s was withdrawn. Write the day.") % {
            "paper": paper.reference})  # fmt: skip
    keys = specimens_under([paper.pk])[paper.pk]
    used = set(UseItem.objects.order_by().values_list("specimen", flat=True).distinct())
    items = UseItem.objects.filter(among("specimen", (keys | with_taken(keys)) & used)).order_by()
    on_file = _("%(paper)s: %(state)s on %(day)s.") % {
        "paper": paper.reference, "state": str(ended.get_state_display()).lower(), "day": long_day(ended.from_on),
    } if ended else ""  # fmt: skip
    asked = day or ended.from_on  # type: ignore[union-attr]
    lead = on_file if ended and asked == ended.from_on else _asked_from(paper.reference, asked, on_file)
    return _Withdrawn(lead, asked, lambda path: among(f"{path}pk", keys), items)


def _asked_from(what: str, day: date, on_file: str) -> str:
    """That a day is asked for which is not the one on file."""
    words = _("%(what)s, asked from %(day)s on.") % {"what": what, "day": long_day(day)}
    return f"{words} {on_file}".rstrip()


def _of_agent(agent: Agent, day: date | None) -> _Withdrawn:
    withdrawn = PaperStatus.objects.filter(paper__issuer_agent=agent, state=PaperStatus.State.WITHDRAWN)
    days = sorted(set(withdrawn.values_list("from_on", flat=True)))
    if day is None and len(days) != 1:
        words = _("%(agent)s withdrew consent on several days. Write which one.")
        if not days:
            words = _("Nothing on file says that %(agent)s withdrew a consent. Write the day.")
        raise UnknownValueError("day", words % {"agent": agent.name})
    material = of_owner(agent)
    assert material.where is not None  # of an owner it always is
    asked = day or days[0]
    lead = _("%(agent)s withdrew consent on %(day)s.") % {"agent": agent.name, "day": long_day(asked)}
    if asked not in days:
        lead = _asked_from(_("Sites of %(agent)s") % {"agent": agent.name}, asked, "")
    return _Withdrawn(lead, asked, material.where, material.items, undated(agent))


def _taken(told: _Withdrawn) -> list[_Taken]:
    """Two queries."""
    later = Q(event__latest_on__gte=told.day) | Q(event__latest_on=None)
    rows = told.specimens.filter(later, parent__isnull=True)
    counted = list(rows.values_list("event", "accession", "accession__number").annotate(n=Count("pk")))
    columns = ("number", "event_date", "verbatim_event_date", "earliest_on", "latest_on", "recorded_by")
    events = SamplingEvent.objects.filter(pk__in=rows.values("event")).only(*columns).order_by().in_bulk()
    found = [
        _Taken(event := events[key], accession, number, count,
               event.earliest_on is not None and event.earliest_on >= told.day)
        for key, accession, number, count in counted
    ]  # fmt: skip
    return sorted(found, key=lambda one: (one.event.earliest_on or date.max, one.number, one.event.pk))


def _used(told: _Withdrawn) -> list[_Used]:
    """Two queries: uses from the day on, and loans that were out on it."""
    items = told.items.filter(use__voided_at__isnull=True)
    out = Q(use__deed__in=LOANS) & (Q(returned__isnull=True) | Q(returned__on__gte=told.day))
    out &= ~Q(specimen__in=gone().filter(use__on__lt=told.day).values("specimen"))
    rows = items.filter(Q(use__on__gte=told.day) | out).values_list("use").annotate(n=Count("pk"))
    counts = dict(rows)
    uses = MadeUse.objects.select_related("recipient").filter(pk__in=items.values("use"))
    ordered = sorted((one for one in uses if one.pk in counts), key=lambda one: (one.on, one.pk))
    return [_Used(one, counts[one.pk], one.on >= told.day) for one in ordered]


def _held(told: _Withdrawn) -> list[_Held]:
    """Three queries: all of it, what is gone, what is out on loan."""
    totals = told.specimens.values_list("accession", "accession__number").annotate(n=Count("pk"))
    condition = told.where("specimen__")

    def counted(rows: QuerySet[UseItem]) -> dict[int, int]:
        found = rows.filter(condition).order_by().values_list("specimen__accession")
        return dict(found.annotate(n=Count("specimen", distinct=True)))

    away, out = counted(gone()), counted(still_out())
    return [
        _Held(key, number, count, away.get(key, 0), out.get(key, 0))
        for key, number, count in totals.order_by("accession__number")
    ]


def _taken_rows(taken: Sequence[_Taken]) -> Iterator[Row]:
    for one in taken:
        what = _("Taken after") if one.is_certain else _("May have been taken after")
        record = link("accession", one.accession, one.number)
        cells = (what, event_day(one.event), record, one.specimens, one.event.recorded_by)
        yield Row(f"taken:event:{one.event.pk}:accession:{one.accession}", cells)


def _used_rows(used: Sequence[_Used]) -> Iterator[Row]:
    for one in used:
        use = one.use
        what = str(use.get_deed_display()) if one.is_later else _("Out on loan on that day")
        told = [use.recipient.name if use.recipient else "", _answer_words(use)]
        detail = "; ".join(text for text in told if text)
        yield Row(f"use:{use.pk}", (what, short_day(use.on), use_link(use), one.specimens, detail))


def _answer_words(use: MadeUse) -> str:
    """What the desk answered on the day of the use, as kept with it."""
    if use.answer is None:
        return ""
    words = _("answer of the desk: %(answer)s") % {"answer": str(ANSWER_NAMES[use.answer]).lower()}  # type: ignore[index]
    return words + (_(", outside the terms") if use.is_outside else "")


def _held_rows(held: Sequence[_Held]) -> Iterator[Row]:
    for one in held:
        if not one.here and not one.out:
            continue
        detail = _("%(n)s out on loan") % {"n": intcomma(one.out)} if one.out else ""
        record = link("accession", one.accession, one.number)
        yield Row(f"held:accession:{one.accession}", (_("Still here"), "", record, one.here, detail))


def _sentence(
    told: _Withdrawn, taken: Sequence[_Taken], used: Sequence[_Used], held: Sequence[_Held]
) -> str:  # fmt: skip
    words = _("%(lead)s From %(day)s on %(taken)s, and %(uses)s.")
    values = {"lead": told.lead, "day": long_day(told.day), "taken": _taken_words(taken), "uses": _used_words(used)}
    return words % values + _held_words(held)


def _taken_words(taken: Sequence[_Taken]) -> str:
    certain = sum(one.specimens for one in taken if one.is_certain)
    maybe = sum(one.specimens for one in taken if not one.is_certain)
    words = _("nothing was taken for certain") if maybe else _("nothing was taken")
    if certain:
        words = ngettext("%(n)s was taken", "%(n)s were taken", certain) % {"n": specimens_words(certain)}
    return words + (_(" (of %(n)s the day does not tell)") % {"n": specimens_words(maybe)} if maybe else "")


def _used_words(used: Sequence[_Used]) -> str:
    later = [one for one in used if one.is_later]
    if not later:
        return _("no use of it is entered")
    words = ngettext("%(n)d use was made", "%(n)d uses were made", len(later)) % {"n": len(later)}
    loans = sum(one.use.deed in LOANS for one in later)
    return words + (ngettext(", %(n)d of them a loan", ", %(n)d of them loans", loans) % {"n": loans} if loans else "")


def _held_words(held: Sequence[_Held]) -> str:
    here, out = sum(one.here for one in held), sum(one.out for one in held)
    words = _(" Nothing of it is here")
    if here:
        words = ngettext(" %(n)s is still here", " %(n)s are still here", here) % {"n": specimens_words(here)}
    return words + (_("; out on loan: %(n)s") % {"n": specimens_words(out)} if out else "") + "."


def _missing(told: _Withdrawn, taken: Sequence[_Taken]) -> Iterator[Missing]:
    vague = sum(one.specimens for one in taken if not one.is_certain)
    if vague:
        yield Missing(_("The day of collecting: whether it was before the withdrawal cannot be told."), vague)
    if told.unknown:
        yield Missing(_("The day of collecting, to tell who held the site: these are left out."), told.unknown)


CONSENT_WITHDRAWN: Final = Question(
    key="consent-withdrawn",
    group=Group.PERMISSION,
    title=gettext_lazy("An owner withdrew consent: what came after?"),
    shows=gettext_lazy(
        "What was taken, used and lent from the day of the withdrawal on, what was out on loan on it, and what is "
        "still held."
    ),
    answer=answer,
    parameters=(
        Parameter("agent", ParameterKind.AGENT, gettext_lazy("Owner or occupier"),
                  help=gettext_lazy("Of the sites where it was taken; or name a paper.")),
        Parameter("paper", ParameterKind.PAPER, gettext_lazy("Paper"),
                  help=gettext_lazy("The consent that was withdrawn, or a paper that was revoked.")),
        Parameter("day", ParameterKind.DAY, gettext_lazy("From"),
                  help=gettext_lazy("Blank: the day on which the register says that it was withdrawn.")),
    ),
)  # fmt: skip
