"""Fields of papers. What only the readers of a paper may know is neither a yes nor a no to others, and said so."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Exists, OuterRef, Q
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from accessions.people.access import EVERY_ROLE
from governance.audit.asking import Cell, ColumnKind
from governance.audit.composer.fields import YES_NO, Catalogue, Field, Kind, Shown
from governance.audit.composer.telling import Ground, Teller, Told, among, bits, choice, flag, for_readers, point, text
from governance.audit.questions.addresses import paper_link
from governance.papers.countries import country_name
from governance.papers.lifetimes import Standing
from governance.papers.models import LAYER_NAMES, Paper, PaperKind, PaperScan
from governance.papers.queries.links import standing as standing_links
from governance.papers.queries.listing import PaperRow
from governance.papers.restriction import is_restricted, readable
from governance.scans.opened import note_opened
from governance.verdicts.models import LAYERS

STATE_WORDS: Final = {
    Standing.IN_FORCE: _("in force"), Standing.NOT_YET: _("not yet in force"), Standing.BETWEEN: _("between versions"),
    Standing.SUSPENDED: _("suspended"), Standing.ENDED: _("ended"), Standing.REVOKED: _("revoked"),
    Standing.WITHDRAWN: _("consent withdrawn"), Standing.SURRENDERED: _("surrendered"),
    Standing.UNREAD: _("not read yet"), Standing.APPLIED: _("applied for"), Standing.REFUSED: _("refused"),
}  # fmt: skip
TERMS_WORDS: Final = {"read": _("read"), "partly": _("partly read"), "not-read": _("not read")}


def _closed(reader: Any) -> Q:
    return ~Q(pk__in=readable(Paper.objects.all(), reader).order_by().values("pk"))


def _opens(shown: Shown) -> bool:
    """Whether the reader may read the paper; of a restricted one it is noted that it was shown."""
    if shown.more.is_readable and is_restricted(shown.row):
        note_opened("paper", shown.row.pk)
    return bool(shown.more.is_readable)


def _own(inner: Teller) -> Teller:
    return for_readers(inner, _closed)


def _hidden(cell: Callable[[Shown], Cell], closed: str | None = None) -> Callable[[Shown], Cell]:
    """The cell, for readers of the paper; closed: what others see."""
    return lambda shown: cell(shown) if _opens(shown) else closed


def _lives(holds: Callable[[PaperRow, Any], bool], lacks: Callable[[PaperRow], bool]) -> Teller:
    """By how each paper stands on the day, which is worked out from its versions and turns and is no column."""

    def keys(ground: Ground, fits: Callable[[PaperRow], bool]) -> Q:
        return Q(pk__in=[row.pk for row in ground.papers if fits(row)])

    return among(
        lambda value, ground: keys(ground, lambda row: not lacks(row) and holds(row, value)),
        lambda ground: keys(ground, lacks),
    )


def _by_day(day: Callable[[PaperRow], date | int | None]) -> Teller:
    """A day, or a number of days, of how the paper stands; None: not known, or without an end."""
    tests: dict[str, Callable[[Any, Any], bool]] = {
        "is": lambda found, value: found == value, "is-not": lambda found, value: found != value,
        "before": lambda found, value: found < value, "after": lambda found, value: found > value,
        "at-least": lambda found, value: found >= value, "at-most": lambda found, value: found <= value,
    }  # fmt: skip

    def told(test: Any, values: tuple[Any, ...], ground: Ground) -> Told:
        known = [(row.pk, day(row)) for row in ground.papers if day(row) is not None]
        there = Q(pk__in=[pk for pk, _day in known])
        if not values:
            return Told(there if test.value == "known" else ~there)
        return Told(Q(pk__in=[pk for pk, found in known if tests[test.value](found, values[0])]), ~there)

    return told


def _countries() -> list[tuple[str, Any]]:
    codes = Paper.objects.exclude(jurisdiction="").order_by().values_list("jurisdiction", flat=True).distinct()
    return sorted({(code[:2], country_name(code[:2])) for code in codes}, key=lambda one: one[1])


def _of_country(value: str, _ground: Ground) -> Q:
    return Q(jurisdiction=value) | Q(jurisdiction__startswith=f"{value}-")


def _has_scan() -> Q:
    return Q(Exists(PaperScan.objects.filter(paper=OuterRef("pk"), taken_off_at__isnull=True)))


def _is_linked() -> Q:
    return Q(Exists(standing_links().filter(paper=OuterRef("pk")).order_by()))


def _linked_to(value: str, _ground: Ground) -> Q:
    rows = standing_links().filter(Q(accession__number=value) | Q(part__accession__number=value)
                                   | Q(specimen__accession__number=value))  # fmt: skip
    return Q(pk__in=rows.order_by().values("paper"))


def _layers(shown: Shown) -> Cell:
    return ", ".join(str(LAYER_NAMES[layer]) for layer in shown.row.layer_list)


def _state(shown: Shown) -> Cell:
    return str(STATE_WORDS[shown.more.life.standing])


def _face() -> Iterator[Field]:
    """What everybody sees of a paper."""
    yield Field("reference", _("Reference"), Kind.TEXT, text("reference"), lambda shown: paper_link(shown.row),
                may_lack=False, order=("reference",))  # fmt: skip
    yield Field("kind", _("Kind of paper"), Kind.CHOICE, choice("kind"), lambda shown: shown.row.get_kind_display(),
                choices=lambda: PaperKind.choices, may_lack=False, order=("kind", "reference"))  # fmt: skip
    yield Field("layer", _("Layer"), Kind.CHOICE, bits("layers", lambda value: 1 << int(value)), _layers,
                choices=lambda: [(str(layer), name) for layer, name in LAYERS], may_lack=False)  # fmt: skip
    yield Field("state", _("State"), Kind.CHOICE,
                _lives(lambda row, value: row.life.standing.value == value, lambda row: False), _state,
                choices=lambda: [(state.value, name) for state, name in STATE_WORDS.items()],
                may_lack=False)  # fmt: skip
    yield Field("first", _("First day"), Kind.DAY, _by_day(lambda row: row.life.first),
                lambda shown: shown.more.life.first, ColumnKind.DAY)  # fmt: skip
    yield Field("last", _("Last day"), Kind.DAY, _by_day(lambda row: row.life.last),
                lambda shown: shown.more.life.last, ColumnKind.DAY,
                help=_("Not known also where the paper holds until told otherwise."))  # fmt: skip
    yield Field("days-left", _("Days left"), Kind.NUMBER, _by_day(lambda row: row.life.days_left),
                lambda shown: shown.more.life.days_left, ColumnKind.NUMBER, unit="days",
                help=_("Of papers in force that have a last day."))  # fmt: skip
    yield Field("terms", _("Terms of use"), Kind.CHOICE,
                _lives(lambda row, value: row.terms == value, lambda row: False),
                lambda shown: str(TERMS_WORDS.get(shown.more.terms, "")), may_lack=False,
                choices=lambda: list(TERMS_WORDS.items()))  # fmt: skip
    yield Field("restricted", _("Open to some roles only"), Kind.FLAG,
                flag(lambda: ~Q(restricted_to=EVERY_ROLE)),
                lambda shown: _now("yes") if shown.row.restricted_to != EVERY_ROLE else "",
                choices=lambda: YES_NO, may_lack=False)  # fmt: skip
    yield Field("linked", _("Linked to something"), Kind.FLAG, flag(_is_linked), choices=lambda: YES_NO,
                may_lack=False)  # fmt: skip
    yield Field("linked-to", _("Accession it is linked to, or to a part or specimen of"), Kind.TEXT, among(_linked_to),
                may_lack=False)  # fmt: skip


def _content() -> Iterator[Field]:
    """What only its readers see."""
    for key, label, path in (("issuer", _("Issuer"), "issuer"), ("holder", _("Holder"), "holder"),
                             ("second-number", _("Second number"), "second_number"),
                             ("language", _("Language"), "language"),
                             ("remarks", _("Remarks"), "remarks")):  # fmt: skip
        yield Field(key, label, Kind.TEXT, _own(text(path)), _hidden(_of(path)))
    yield Field("country", _("Country"), Kind.COUNTRY, _own(among(_of_country, lambda _ground: Q(jurisdiction=""))),
                _hidden(lambda shown: shown.row.jurisdiction[:2]), ColumnKind.COUNTRY, choices=_countries)  # fmt: skip
    yield Field("issued", _("Day of issue"), Kind.DAY, _own(point("issued_on")),
                _hidden(lambda shown: shown.row.issued_on), ColumnKind.DAY)  # fmt: skip
    yield Field("scanned", _("Has a scan"), Kind.FLAG, _own(flag(_has_scan)), choices=lambda: YES_NO,
                may_lack=False)  # fmt: skip


def _of(path: str) -> Callable[[Shown], Cell]:
    return lambda shown: str(getattr(shown.row, path))


def _prepare(rows: Sequence[Paper], _wanted: frozenset[str], ground: Ground) -> Callable[[Any], Any]:
    by_key = {row.pk: row for row in ground.papers}
    return lambda paper: by_key[paper.pk]


def _counted(n: int) -> str:
    return ngettext("%(n)s paper", "%(n)s papers", n) % {"n": intcomma(n)}


CATALOGUE: Final = Catalogue(
    fields=(*_face(), *_content()), rows=lambda _ground: Paper.objects.all(),
    usual=("reference", "kind", "country", "layer", "state", "last", "terms"), usual_order="reference", key="paper",
    counted=_counted, prepare=_prepare,
)  # fmt: skip
