"""Fields of duties: their states by the room of duties; the words of a restricted paper for its readers only."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from governance.audit.asking import Cell, ColumnKind
from governance.audit.composer.fields import YES_NO, Catalogue, Field, Kind, Shown
from governance.audit.composer.telling import Ground, Teller, among, choice, flag, for_readers, point, text
from governance.audit.questions.addresses import accession_link, duty_link, paper_link
from governance.duties.models import Duty, DutyKind
from governance.duties.queries.listing import MINE, NOBODY, OPEN, DutyLine, countries, lines, people, with_state
from governance.duties.words import OPEN_STATES, STATES
from governance.papers.countries import country_name
from governance.papers.models import Paper
from governance.papers.restriction import readable


def _closed(reader: Any) -> Q:
    shut = Paper.objects.exclude(pk__in=readable(Paper.objects.all(), reader).order_by().values("pk"))
    return Q(paper__isnull=False, paper__in=shut.order_by().values("pk"))


def _own(inner: Teller) -> Teller:
    return for_readers(inner, _closed)


def _line(shown: Shown) -> DutyLine:
    found: DutyLine = shown.more
    return found


def _told(path: str) -> Callable[[Shown], Cell]:
    """Words that only readers of the paper see."""
    return lambda shown: "" if _line(shown).hidden else str(getattr(shown.row, path))


def _of_country(value: str, _ground: Ground) -> Q:
    of_paper = Q(paper__isnull=False) & (Q(paper__jurisdiction=value) | Q(paper__jurisdiction__startswith=f"{value}-"))
    return of_paper | Q(promise__isnull=False, promise__country=value)


def _no_country(_ground: Ground) -> Q:
    return (Q(paper__isnull=True) | Q(paper__jurisdiction="")) & (Q(promise__isnull=True) | Q(promise__country=""))


def _of_person(value: str, ground: Ground) -> Q:
    if value == NOBODY:
        return Q(assignee__isnull=True)
    return Q(assignee__isnull=False, assignee=ground.reader.pk if value == MINE else int(value))


def _people() -> list[tuple[str, Any]]:
    return [(NOBODY, _("nobody")), *((str(pk), name) for pk, name in people())]


def _with_paper(value: int, _ground: Ground) -> Q:
    return Q(paper__isnull=False, paper=value)


def _due() -> Iterator[Field]:
    """What is to be done, by when, and how it stands."""
    yield Field("what", _("Words of the duty"), Kind.TEXT, _own(text("what")),
                lambda shown: duty_link(shown.row, _line(shown).what), may_lack=False)  # fmt: skip
    yield Field("kind", _("Kind of duty"), Kind.CHOICE, choice("kind"),
                lambda shown: str(shown.row.get_kind_display()), choices=lambda: DutyKind.choices, may_lack=False,
                order=("kind", "due_on"))  # fmt: skip
    yield Field("due", _("Day due"), Kind.DAY, point("due_on"), lambda shown: shown.row.due_on, ColumnKind.DAY,
                order=("due_on",))  # fmt: skip
    yield Field("state", _("State"), Kind.CHOICE, choice("state"),
                lambda shown: str(_line(shown).state_name), may_lack=False,
                choices=lambda: [(state.value, name) for state, name in STATES.items()])  # fmt: skip
    yield Field("open", _("Still to be done"), Kind.FLAG, flag(lambda: OPEN), choices=lambda: YES_NO, may_lack=False)
    yield Field("days-left", _("Days left"), Kind.NUMBER, None, _days_left, ColumnKind.NUMBER, unit="days")
    yield Field("paper", _("Paper"), Kind.PAPER, among(_with_paper, lambda _ground: Q(paper__isnull=True)),
                lambda shown: paper_link(shown.row.paper) if shown.row.paper else "",
                help=_("Not known of duties that rest on no paper."))  # fmt: skip
    yield Field("country", _("Country"), Kind.COUNTRY, among(_of_country, _no_country),
                lambda shown: _line(shown).country, ColumnKind.COUNTRY,
                choices=lambda: [(code, country_name(code)) for code in countries()])  # fmt: skip
    yield Field("who", _("Person who sees to it"), Kind.CHOICE, among(_of_person),
                lambda shown: shown.row.assignee.shown_name if shown.row.assignee else "", choices=_people,
                may_lack=False)  # fmt: skip
    yield Field("to-whom", _("Addressee"), Kind.TEXT, _own(text("to_whom")), lambda shown: _line(shown).to_whom)
    yield Field("of", _("Counted from"), Kind.TEXT, text("label"), lambda shown: shown.row.label,
                help=_("The accession, use or trip that it is counted from."))  # fmt: skip


def _became() -> Iterator[Field]:
    """What became of it."""
    yield Field("accession", _("Accession"), Kind.TEXT, text("accession__number", has_null=True),
                lambda shown: accession_link(shown.row.accession) if shown.row.accession else "")  # fmt: skip
    for key, label in (("done", _("Day done")), ("accepted", _("Day accepted")), ("waived", _("Day waived")),
                       ("dropped", _("Day since which it is no longer asked for"))):  # fmt: skip
        path = f"{key}_on"
        yield Field(key, label, Kind.DAY, point(path), lambda shown, path=path: getattr(shown.row, path),  # type: ignore[misc]
                    ColumnKind.DAY, help=_("Not known where that did not happen."))  # fmt: skip
    yield Field("nil", _("Nil return"), Kind.FLAG, flag(lambda: Q(is_nil=True)), choices=lambda: YES_NO, may_lack=False)
    yield Field("how", _("Proof"), Kind.TEXT, _own(text("done_how")), _told("done_how"))
    yield Field("note", _("Note"), Kind.TEXT, _own(text("note")), _told("note"))


def _days_left(shown: Shown) -> Cell:
    due = shown.row.due_on
    return (due - shown.ground.on).days if due and _line(shown).state in OPEN_STATES else None


def _rows(ground: Ground) -> Any:
    return with_state(Duty.objects.select_related("paper", "promise", "assignee", "accession"), ground.on)


def _prepare(rows: Sequence[Duty], _wanted: frozenset[str], ground: Ground) -> Callable[[Any], Any]:
    by_key = {line.duty.pk: line for line in lines(rows, ground.reader)}
    return lambda duty: by_key[duty.pk]


def _counted(n: int) -> str:
    return ngettext("%(n)s duty", "%(n)s duties", n) % {"n": intcomma(n)}


CATALOGUE: Final = Catalogue(
    fields=(*_due(), *_became()), rows=_rows, usual=("what", "due", "state", "paper", "country", "who"),
    usual_order="due", key="duty", counted=_counted, prepare=_prepare,
)  # fmt: skip
