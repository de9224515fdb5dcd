"""Which papers expire, and who knows of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final

from django.db.models import Max
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from accessions.people.access import Verb, may
from accessions.people.models import User
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
)
from governance.audit.questions.addresses import paper_link
from governance.audit.questions.paper_states import STANDING_WORDS
from governance.audit.questions.telling import counted, day_words, days_after, sentences
from governance.audit.resolving import country_of, days_of
from governance.duties.models import ReminderSent
from governance.duties.queries.listing import open_duties
from governance.duties.queries.rules_of_papers import life_of
from governance.papers.lifetimes import Standing
from governance.papers.queries.listing import PaperRow, Wanted, paper_rows

_STANDINGS: Final[Mapping[Standing, Any]] = {
    **STANDING_WORDS, Standing.APPLIED: gettext_lazy("In force; its renewal is applied for"),
    Standing.REFUSED: gettext_lazy("In force; its renewal was refused"),
}  # fmt: skip
"""How a paper stands whose last day is to come; the last word on some is the application for its renewal."""

_COLUMNS: Final = (
    Column("paper", gettext_lazy("Paper")),
    Column("kind", gettext_lazy("Kind")),
    Column("last", gettext_lazy("Last day"), ColumnKind.DAY),
    Column("left", gettext_lazy("Left"), ColumnKind.NUMBER, "days"),
    Column("state", gettext_lazy("State")),
    Column("country", gettext_lazy("Country"), ColumnKind.COUNTRY),
    Column("duties", gettext_lazy("Open duties"), ColumnKind.NUMBER),
    Column("knows", gettext_lazy("Who knows")),
    Column("digest", gettext_lazy("Last digest to them"), ColumnKind.DAY),
)

_EXPIRE: Final = ngettext_lazy(
    "%(n)s paper expires by %(day)s, within %(days)s.", "%(n)s papers expire by %(day)s, within %(days)s.", "count"
)
_DAYS: Final = ngettext_lazy("%(n)s day", "%(n)s days", "count")
_NOBODY: Final = ngettext_lazy(
    "Of %(n)s of them nobody has been told.", "Of %(n)s of them nobody has been told.", "count"
)
_UNREAD: Final = ngettext_lazy(
    "No version of %(n)s paper is entered: its last day is not known.",
    "No version of %(n)s papers is entered: their last days are not known.", "count",
)  # fmt: skip
_OPEN_END: Final = ngettext_lazy(
    "%(n)s paper that holds has no last day and does not expire.",
    "%(n)s papers that hold have no last day and do not expire.", "count",
)  # fmt: skip
_KEPT_BACK: Final = ngettext_lazy(
    "%(n)s paper that is not open to you is left out: its country is for its readers.",
    "%(n)s papers that are not open to you are left out: their countries are for their readers.", "count",
)  # fmt: skip


@dataclass(frozen=True)
class _Ending:
    """A paper with its last day."""

    row: PaperRow
    last: date | None


@dataclass
class _Told:
    """Who is known to know of a paper: those who see to one of its open duties, and the last digest to one of them."""

    duties: int = 0
    people: dict[int, str] = field(default_factory=dict)
    nobodys: int = 0
    digest: date | None = None

    @property
    def is_told(self) -> bool:
        return bool(self.people) or self.digest is not None

    @property
    def words(self) -> str:
        if self.people:
            return in_a_list(sorted(self.people.values()))
        return _("Those who keep duties, by their digests") if self.digest else _("Nobody has been told")


def answer(asked: Asked) -> Answer:
    """Papers whose last day lies within some days from the day asked for, the nearest first: six queries."""
    days, country, on = days_of(asked), country_of(asked), asked.on
    until = days_after(on, days)
    standing = [_ending(row, on) for row in paper_rows(Wanted(on=on), asked.reader)]
    found = [one for one in standing if one.last is not None and on <= one.last <= until]
    kept = [one for one in found if not country or one.row.jurisdiction[:2] == country]
    hidden = sum(1 for one in found if country and not one.row.is_readable)
    told = _told_of([one.row.pk for one in kept], on)
    kept.sort(key=lambda one: (one.last or date.max, one.row.paper.reference))
    nobody = sum(1 for one in kept if not told[one.row.pk].is_told)
    return Answer(
        sentence=sentences(
            counted(_EXPIRE, len(kept), day=day_words(until), days=counted(_DAYS, days)),
            counted(_NOBODY, nobody) if nobody else "",
        ),
        columns=_COLUMNS,
        rows=ListedRows([_row(one, told[one.row.pk], on) for one in kept]),
        missing=tuple(_missing(one.row for one in standing)),
        kept_back=(counted(_KEPT_BACK, hidden),) if hidden else (),
        notes=tuple(_notes(standing, on)),
    )


def _ending(row: PaperRow, on: date) -> _Ending:
    """The last day on which it holds; of one that waits for its renewal, of what was given before."""
    life = life_of(row.paper, on)
    return _Ending(row, life.stands.last if life is not None else None)


def _told_of(papers: Collection[int], on: date) -> Mapping[int, _Told]:
    """By paper who sees to its open duties. Duties that nobody sees to are told to all who keep duties."""
    found: dict[int, _Told] = defaultdict(_Told)
    for duty in open_duties(on).filter(paper__in=papers).select_related("assignee").order_by("pk"):
        own = found[duty.paper_id or 0]
        own.duties += 1
        if duty.assignee is None:
            own.nobodys += 1
        else:
            own.people[duty.assignee.pk] = duty.assignee.shown_name
    digests = _last_digests(on) if found else {}
    keepers = _keepers(digests) if any(one.nobodys for one in found.values()) else set()
    for own in found.values():
        readers = set(own.people) | (keepers if own.nobodys else set())
        own.digest = max((digests[key] for key in readers if key in digests), default=None)
    return found


def _last_digests(on: date) -> dict[int, date]:
    rows = ReminderSent.objects.filter(on__lte=on).order_by().values_list("user").annotate(last=Max("on"))
    return dict(rows)


def _keepers(digests: Mapping[int, date]) -> set[int]:
    people = User.objects.filter(pk__in=digests)
    return {one.pk for one in people if may(one, Verb.KEEP_DUTIES)}


def _row(one: _Ending, told: _Told, on: date) -> Row:
    paper = one.row.paper
    return Row(
        f"paper:{paper.pk}",
        (
            paper_link(paper), str(paper.get_kind_display()), one.last, (one.last - on).days if one.last else None,
            str(_STANDINGS[one.row.life.standing]), one.row.jurisdiction[:2], told.duties, told.words,
            told.digest,
        ),
    )  # fmt: skip


def _missing(rows: Iterable[PaperRow]) -> Iterable[Missing]:
    unread = sum(1 for row in rows if row.life.standing == Standing.UNREAD)
    if unread:
        yield Missing(counted(_UNREAD, unread), unread, f"{reverse('papers:papers')}?state=unread")


def _notes(standing: Iterable[_Ending], on: date) -> Iterable[str]:
    is_open = sum(1 for one in standing if one.last is None and one.row.life.standing == Standing.IN_FORCE)
    if is_open:
        yield counted(_OPEN_END, is_open)
    yield _(
        "The last day is that of the last version, or the day before the paper was revoked, withdrawn or surrendered; "
        "what was amended or renewed under the same number counts as one paper."
    )
    yield _(
        "Who knows: whoever sees to an open duty of the paper; and, of duties that nobody sees to, whoever keeps "
        "duties and was sent a digest. Of a digest the register keeps its day and how many duties it told of, not "
        "which."
    )


QUESTION: Final = Question(
    "papers-that-expire", Group.DUTIES, gettext_lazy("Which papers expire soon, and who knows?"),
    gettext_lazy("Papers whose last day comes within some days, and who was assigned or told."), answer,
    (
        Parameter("days", ParameterKind.DAYS, gettext_lazy("Within days"), default="90",
                  help=gettext_lazy("Counted from the day for which it is asked")),
        Parameter("country", ParameterKind.COUNTRY, gettext_lazy("Country"),
                  help=gettext_lazy("Whose authorities gave the paper; blank: any")),
    ),
)  # fmt: skip
