"""Which publications cite material, whether the source is acknowledged as papers ask, and whether copies were sent."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from django.db.models import Count, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from governance.audit.asking import Answer, Asked, Cell, Column, ColumnKind, Group, Missing, QueriedRows, Question, Row
from governance.audit.questions.addresses import duty_link, use_link
from governance.audit.questions.material_asked import PARAMETERS, material_asked
from governance.audit.questions.telling import counted, sentences
from governance.audit.questions.uses.wanted_words import NOTHING_WANTED, Wanted, wanted_words
from governance.duties.models import Duty, DutyKind
from governance.duties.queries.listing import DutyLine, lines, with_state
from governance.duties.words import OPEN_STATES
from governance.engine.duties import State
from governance.papers.models import Paper
from governance.papers.restriction import readable
from governance.usedesk.deeds import CITED
from governance.usedesk.models import MadeUse
from governance.usedesk.queries.material import Material, among

_COLUMNS: Final = (
    Column("on", gettext_lazy("On"), ColumnKind.DAY),
    Column("entry", gettext_lazy("Entry")),
    Column("what", gettext_lazy("What")),
    Column("citation", gettext_lazy("Citation")),
    Column("doi", gettext_lazy("DOI"), ColumnKind.CODE),
    Column("specimens", gettext_lazy("Specimens of this material"), ColumnKind.NUMBER),
    Column("acknowledged", gettext_lazy("Acknowledged as papers ask")),
    Column("words", gettext_lazy("Words that papers want")),
    Column("unread", gettext_lazy("Papers not read for it"), ColumnKind.NUMBER),
    Column("copies", gettext_lazy("Copies sent")),
    Column("sent", gettext_lazy("Sent on"), ColumnKind.DAY),
)

_CITE: Final = ngettext_lazy(
    "%(n)s publication or set of data cites material %(words)s.",
    "%(n)s publications and sets of data cite material %(words)s.", "count",
)  # fmt: skip
_CITE_ALL: Final = ngettext_lazy(
    "%(n)s publication or set of data is on record.", "%(n)s publications and sets of data are on record.", "count"
)
_RIGHT: Final = ngettext_lazy(
    "%(n)s acknowledges the source as papers ask.", "%(n)s acknowledge the source as papers ask.", "count"
)
_WRONG: Final = ngettext_lazy("%(n)s does not.", "%(n)s do not.", "count")
_NOT_LOOKED: Final = ngettext_lazy(
    "Of %(n)s nobody has looked at the acknowledgement.", "Of %(n)s nobody has looked at the acknowledgement.", "count"
)
_SENT: Final = ngettext_lazy("Of %(n)s copies were sent.", "Of %(n)s copies were sent.", "count")
_TO_SEND: Final = ngettext_lazy(
    "Of %(n)s copies are still to be sent.", "Of %(n)s copies are still to be sent.", "count"
)
_WAIVED: Final = ngettext_lazy(
    "Of %(n)s the duty to send copies was waived.", "Of %(n)s the duties to send copies were waived.", "count"
)
_NO_DUTY: Final = ngettext_lazy(
    "Of %(n)s no duty to send copies is entered: whether papers ask for it is not known here.",
    "Of %(n)s no duty to send copies is entered: whether papers ask for it is not known here.", "count",
)  # fmt: skip
_KEPT: Final = ngettext_lazy(
    "The words that %(n)s paper on file wants in print are for its readers.",
    "The words that %(n)s papers on file want in print are for their readers.", "count",
)  # fmt: skip
_ACKNOWLEDGED: Final[Mapping[str, Any]] = {
    "": gettext_lazy("Nobody has looked"), "yes": gettext_lazy("Yes"), "no": gettext_lazy("No"),
}  # fmt: skip


def answer(asked: Asked) -> Answer:
    """Publications and sets of data, the newest first: a fixed number of queries, and about twenty for each slice."""
    told = material_asked(asked)
    made = _made(told.material)
    numbers = made.order_by().aggregate(
        all=Count("pk"), right=Count("pk", filter=Q(acknowledged="yes")), wrong=Count("pk", filter=Q(acknowledged="no"))
    )
    copies = _copies(made, asked)
    return Answer(
        sentence=_sentence(numbers, copies, told.words), columns=_COLUMNS,
        rows=QueriedRows(made, lambda found: _rows(found, told.material, copies, asked.reader), numbers["all"]),
        missing=tuple(_missing(numbers, copies)),
        kept_back=tuple(_kept_back(asked.reader) if numbers["all"] else ()),
        notes=(
            _("Words: of the papers that bear on the specimens and on what they were taken from, by the version in "
              "force on the day of publication. Whether they stand in print is what somebody entered who looked. "
              "Copies: the duties to send a publication that follow from this entry."),
        ),
    )  # fmt: skip


def _made(material: Material) -> QuerySet[MadeUse]:
    rows = MadeUse.objects.filter(among("pk", material.uses), voided_at__isnull=True, deed__in=CITED)
    return rows.order_by("-on", "-pk")


def _copies(made: QuerySet[MadeUse], asked: Asked) -> dict[int, list[DutyLine]]:
    """By publication the duties to send it: two queries."""
    rows = Duty.objects.filter(kind=DutyKind.COPY, use__in=made.order_by().values("pk"), dropped_on__isnull=True)
    found = with_state(rows, asked.on).select_related("paper", "promise", "assignee").order_by("due_on", "pk")
    by_use: dict[int, list[DutyLine]] = defaultdict(list)
    for line in lines(list(found), asked.reader):
        by_use[line.duty.use_id or 0].append(line)
    return by_use


def _rows(
    found: Sequence[Any], material: Material, copies: Mapping[int, Sequence[DutyLine]], reader: Any
) -> list[Row]:  # fmt: skip
    wanted = wanted_words(found, reader)
    items = material.items.filter(use__in=[one.pk for one in found]).order_by().values_list("use")
    counts = dict(items.annotate(n=Count("pk")))
    return [
        _row(one, counts.get(one.pk, 0), wanted.get(one.pk, NOTHING_WANTED), copies.get(one.pk, ())) for one in found
    ]


def _row(made: MadeUse, count: int, wanted: Wanted, copies: Sequence[DutyLine]) -> Row:
    open_ones = [one for one in copies if one.state in OPEN_STATES]
    shown = (open_ones or copies)[:1]
    return Row(
        f"use:{made.pk}",
        (
            made.on, use_link(made), str(made.get_deed_display()), made.citation, made.doi, count,
            str(_ACKNOWLEDGED[made.acknowledged]), wanted.shown, wanted.unread, _copy_words(shown),
            shown[0].duty.done_on if shown else None,
        ),
    )  # fmt: skip


def _copy_words(shown: Sequence[DutyLine]) -> Cell:
    """How the duty stands that is furthest from being done."""
    if not shown:
        return _("No duty entered")
    return duty_link(shown[0].duty, str(shown[0].state_name))


def _sentence(numbers: Mapping[str, int], copies: Mapping[int, Sequence[DutyLine]], words: str) -> str:
    if not numbers["all"]:
        nothing = _("No publication that cites material %(words)s is on record.") % {"words": words}
        return nothing if words else _("No publication is on record.")
    to_send = sum(1 for own in copies.values() if any(one.state in OPEN_STATES for one in own))
    waived = sum(1 for own in copies.values() if all(one.state is State.WAIVED for one in own))
    first = counted(_CITE if words else _CITE_ALL, numbers["all"], words=words)
    not_looked = numbers["all"] - numbers["right"] - numbers["wrong"]
    told = (
        (_RIGHT, numbers["right"]), (_WRONG, numbers["wrong"]), (_NOT_LOOKED, not_looked),
        (_SENT, len(copies) - to_send - waived), (_TO_SEND, to_send), (_WAIVED, waived),
    )  # fmt: skip
    return sentences(first, *(counted(text, number) for text, number in told if number))


def _missing(numbers: Mapping[str, int], copies: Mapping[int, Sequence[DutyLine]]) -> Iterator[Missing]:
    without = numbers["all"] - len(copies)
    if without:
        yield Missing(counted(_NO_DUTY, without), without)


def _kept_back(reader: Any) -> Iterator[str]:
    """Papers with words that the reader may not read, whatever they bear on: which of them bear is told row by row."""
    wanting = Paper.objects.filter(versions__terms_reading__isnull=False)
    wanting = wanting.exclude(versions__terms_reading__acknowledgement="").distinct()
    closed = wanting.count() - readable(wanting, reader).count()
    if closed:
        yield counted(_KEPT, closed)


QUESTION: Final = Question(
    "publications", Group.USES,
    gettext_lazy("Which publications cite this material, is the acknowledgement right, were copies sent?"),
    gettext_lazy("Publications and data that name the material, with the words that papers want in print, and the "
                 "duties to send copies."), answer, PARAMETERS,
)  # fmt: skip
