"""The facts of a worked example in words: what the record says, what the papers say, what else the verdict rests on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.utils.formats import number_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from governance.engine.tables import Layer, MonthDay
from governance.guide.help.kept import Kept
from governance.papers.measures import distance
from governance.papers.models import LAYER_NAMES, PaperKind
from governance.verdicts.shown_days import short_day, span

Words = str | Promise


@dataclass(frozen=True)
class Line:
    """One fact: its name and what it says. is_taxon: a name of the classification, set in italics."""

    name: Words
    text: str
    is_taxon: bool = False


@dataclass(frozen=True)
class PaperFacts:
    """A paper of an example: lines of the paper, and of each version."""

    reference: str
    lines: Sequence[Line]
    versions: Sequence[Sequence[Line]]


@dataclass(frozen=True)
class RecordFacts:
    """A record of an example. is_judged: the one that the verdict is of."""

    number: int
    lines: Sequence[Line]
    is_judged: bool


def records(kept: Kept) -> Sequence[RecordFacts]:
    """The records, in the order of the file."""
    return [
        RecordFacts(number + 1, lines_of(facts), number == kept["shown"])
        for number, facts in enumerate(kept["records"])
    ]


def papers(kept: Kept) -> Sequence[PaperFacts]:
    """The papers, in the order of the file."""
    return [
        PaperFacts(one["reference"], lines_of(one["facts"]), [lines_of(version) for version in one["versions"]])
        for one in kept["papers"]
    ]


def lines_of(facts: Iterable[tuple[str, Sequence[Any]]]) -> Sequence[Line]:
    """Facts as lines; a value that is blank says so."""
    found = []
    for term, values in facts:
        text = _TEXTS.get(term, _list)(values) if values else _("not recorded")
        found.append(Line(NAMES[term], text, is_taxon=term in _TAXA))
    return found


NAMES: Final[Mapping[str, Promise]] = {
    # of the record
    "catalog": gettext_lazy("Number"),
    "accession": gettext_lazy("Accession"),
    "event": gettext_lazy("Sampling event"),
    "date": gettext_lazy("Collected"),
    "label": gettext_lazy("On the label"),
    "exported": gettext_lazy("Left the country"),
    "imported": gettext_lazy("Arrived"),
    "transferred": gettext_lazy("Changed hands"),
    "country": gettext_lazy("Country stated"),
    "subdivision": gettext_lazy("Subdivision stated"),
    "site": gettext_lazy("Site named"),
    "point": gettext_lazy("Position"),
    "radius": gettext_lazy("Known to"),
    "written": gettext_lazy("Coordinates"),
    "footprint": gettext_lazy("Area recorded"),
    "centre": gettext_lazy("Its centre"),
    "precision_radius_m": gettext_lazy("Written as exactly as"),
    "datum_known": gettext_lazy("Datum"),
    "generalized": gettext_lazy("Coordinates made coarser"),
    "taxon": gettext_lazy("Taxon"),
    "qualified": gettext_lazy("Named with a doubt"),
    "methods": gettext_lazy("Methods"),
    "people": gettext_lazy("People"),
    "sexes": gettext_lazy("Sex"),
    "stages": gettext_lazy("Life stage"),
    "count": gettext_lazy("Individuals"),
    # of the paper
    "kind": gettext_lazy("Kind"),
    "layers": gettext_lazy("Serves the layer"),
    "holder": gettext_lazy("Held by"),
    "jurisdiction": gettext_lazy("Jurisdiction of the issuer"),
    "suspended": gettext_lazy("Suspended"),
    "revoked": gettext_lazy("Revoked on"),
    "covers": gettext_lazy("Linked to"),
    "valid": gettext_lazy("In force"),
    "places": gettext_lazy("Places"),
    "not_places": gettext_lazy("Places excluded"),
    "taxa": gettext_lazy("Taxa"),
    "not_taxa": gettext_lazy("Taxa excluded"),
    "not_methods": gettext_lazy("Methods not allowed"),
    "not_sexes": gettext_lazy("Sexes not allowed"),
    "not_stages": gettext_lazy("Life stages not allowed"),
    "assistants": gettext_lazy("Helpers"),
    "closed": gettext_lazy("Closed each year"),
    "caps": gettext_lazy("At most"),
    # what else the verdict rests on
    "rule": gettext_lazy("Country sheets"),
    "decided": gettext_lazy("Decision"),
    "search": gettext_lazy("Searches"),
    "outline": gettext_lazy("On the map"),
    "assumed_radius_m": gettext_lazy("House rule on a missing radius"),
    "datum_allowance_m": gettext_lazy("House rule on a missing datum"),
}
"""Names of facts."""

_TAXA: Final = frozenset({"taxon", "taxa", "not_taxa"})


def _list(values: Sequence[Any]) -> str:
    return "; ".join(str(value) for value in values)


def _day(text: str) -> str:
    """A day written in full as tables show it; anything else as it is written."""
    first, _slash, last = text.partition("/")
    try:
        days = [date.fromisoformat(part) for part in (first, last or first)]
    except ValueError:
        return f"“{text}”"
    return span(*days) if last else short_day(days[0])


def _days(values: Sequence[str]) -> str:
    return _day(values[0]) if values[0] else _("not recorded")


def _valid(values: Sequence[str | None]) -> str:
    first, last = values
    start = _("from %(day)s") % {"day": _day(first)} if first else _("from a day that is not known")
    end = _("to %(day)s") % {"day": _day(last)} if last else _("without end")
    return f"{start} {end}"


def pause_words(values: Sequence[str | None]) -> str:
    """A suspension; one without a last day goes on."""
    first, last = values
    return _valid((first, None if last in ("", "..") else last))


def _seasons(values: Sequence[Sequence[str]]) -> str:
    return "; ".join(f"{_month_day(first)} – {_month_day(last)}" for first, last in values)


def _month_day(text: str) -> str:
    month_day: MonthDay = tuple(int(part) for part in text.split("-"))  # type: ignore[assignment]
    return short_day(date(2024, *month_day)).rpartition(" ")[0]


def _point(values: Sequence[float]) -> str:
    latitude, longitude = values
    return f"{_degrees(latitude, _('N'), _('S'))}, {_degrees(longitude, _('E'), _('W'))}"


def _degrees(value: float, positive: str, negative: str) -> str:
    written = f"{abs(value):.7g}"
    return f"{number_format(written, len(written.partition('.')[2]))}° {positive if value >= 0 else negative}"


def _places(values: Sequence[Kept]) -> str:
    return "; ".join(_place(value) for value in values)


def _place(value: Kept) -> str:
    parts = [_PLACE_WORDS[key] % {"name": value[key]} for key in _PLACE_WORDS if key in value]
    if "box" in value:
        west, south, east, north = value["box"]
        parts.append(_("the box from %(corner)s to %(other)s") % {
            "corner": _point((south, west)), "other": _point((north, east)),
        })  # fmt: skip
    if "disc" in value:
        longitude, latitude, radius_m = value["disc"]
        parts.append(_("%(radius)s around %(point)s") % {
            "radius": distance(radius_m), "point": _point((latitude, longitude)),
        })  # fmt: skip
    if value.get("drawn"):
        parts.append(_("an area drawn on the map"))
    if value.get("error"):
        parts.append(_("boundary known to ±%(error)s") % {"error": distance(value["error"])})
    return ", ".join(parts)


_PLACE_WORDS: Final[Mapping[str, Any]] = {
    "country": gettext_lazy("country %(name)s"),
    "subdivision": gettext_lazy("subdivision %(name)s"),
    "site": gettext_lazy("site %(name)s"),
}


def _count(values: Sequence[str]) -> str:
    return "–".join(values)


def _caps(values: Sequence[Kept]) -> str:
    return "; ".join(_cap(value) for value in values)


def _cap(value: Kept) -> str:
    count = ngettext("%(n)d individual", "%(n)d individuals", value["limit"]) % {"n": value["limit"]}
    parts = [count, *([value["taxon"]] if value["taxon"] else []), *([_("of each species")] if value["each"] else [])]
    return ", ".join([*parts, *([str(_PER[value["per"]])] if value["per"] in _PER else [])])


_PER: Final = {
    "year": gettext_lazy("in a year"),
    "site": gettext_lazy("at a site"),
    "event": gettext_lazy("in a sampling event"),
}


def _rules(values: Sequence[str]) -> str:
    layer, country, word, first, last = values
    needed = _("required") if word == "required" else _("not required")
    where = _("everywhere") if country == "*" else country
    days = "" if first == last == ".." else f", {_valid((*(None if day == '..' else day for day in (first, last)),))}"
    if first == ".." != last:
        days = ", " + _("until %(day)s") % {"day": _day(last)}
    return f"{_layer(layer)}, {where}: {needed}{days}"


def _layer(code: str) -> str:
    return str(LAYER_NAMES[Layer.from_code(code)])


def _layers(values: Sequence[str]) -> str:
    return ", ".join(_layer(code) for text in values for code in text.split())


def _decided(values: Sequence[str]) -> str:
    return _("%(layer)s: no paper is required for accession %(number)s") % {
        "layer": _layer(values[0]), "number": values[1],
    }  # fmt: skip


def _links(values: Sequence[Sequence[str]]) -> str:
    return "; ".join(f"{_LINKED[kind]} {', '.join(keys)}" for kind, *keys in values) or _("nothing")


_LINKED: Final = {
    "accessions": gettext_lazy("accession"),
    "sites": gettext_lazy("site"),
    "events": gettext_lazy("sampling event"),
    "specimens": gettext_lazy("specimen"),
}


def _outline(values: Sequence[Any]) -> str:
    code, shape = values
    return _("%(code)s is %(area)s") % {"code": code, "area": _place(shape)}


def _metres(values: Sequence[float | None]) -> str:
    return _("none is assumed") if values[0] is None else distance(values[0])


def _yes(values: Sequence[bool]) -> str:
    return _("yes") if values[0] else _("no")


_ASSISTANTS: Final = {
    "allowed": gettext_lazy("allowed"),
    "supervised": gettext_lazy("allowed under supervision"),
    "not-allowed": gettext_lazy("not allowed"),
}
_SEARCHES: Final = {
    "not-searched": gettext_lazy("none recorded"),
    "known-not-located": gettext_lazy("a paper is known to exist and was not located"),
    "none-found": gettext_lazy("searched, none found"),
}

_TEXTS: Final[Mapping[str, Callable[[Sequence[Any]], str]]] = {
    "date": _days, "exported": _days, "imported": _days, "transferred": _days, "revoked": _days,
    "label": lambda _values: _("another day"), "point": _point,
    "centre": lambda values: _point(values[::-1]), "radius": lambda values: f"±{distance(values[0])}",
    "footprint": _places, "precision_radius_m": lambda values: f"±{distance(values[0])}",
    "datum_known": lambda values: _("stated") if values[0] else _("not stated"),
    "generalized": _yes, "qualified": _yes, "taxon": " › ".join, "count": _count,
    "kind": lambda values: str(PaperKind(values[0]).label), "layers": _layers, "valid": _valid,
    "suspended": lambda values: "; ".join(pause_words(pause) for pause in values), "closed": _seasons,
    "places": _places, "not_places": _places, "caps": _caps, "covers": _links,
    "assistants": lambda values: str(_ASSISTANTS[values[0]]),
    "rule": _rules, "decided": _decided, "outline": _outline, "search": lambda values: str(_SEARCHES[values[0]]),
    "assumed_radius_m": _metres, "datum_allowance_m": _metres,
}  # fmt: skip
"""How the values of a fact are written; others as a list."""


def beside(kept: Kept) -> Sequence[Line]:
    """What else the verdict rests on."""
    return lines_of(kept["beside"])


def every_term(kept: Kept) -> Iterator[str]:
    """The terms of an example: for the test that each has a name."""
    for facts in (*kept["records"], kept["beside"], *(one["facts"] for one in kept["papers"])):
        yield from (term for term, _values in facts)
    for one in kept["papers"]:
        for version in one["versions"]:
            yield from (term for term, _values in version)
