"""The filters that are applied, as chips: each in words, with the address of the list without it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.http import QueryDict
from django.utils.translation import gettext as _

from accessions.material.models import Specimen
from governance.engine.tables import Layer, Verdict
from governance.papers.countries import country_name
from governance.papers.models import LAYER_NAMES
from governance.verdicts.models import VERDICT_NAMES
from governance.verdicts.queries.filters import Filters
from governance.verdicts.reason_words import reason_words

PAGE_KEYS = ("page", "after", "before")
"""What says where in the list one is: gone as soon as the list changes."""


@dataclass(frozen=True)
class Chip:
    """A filter in words. without: the address of the list without it."""

    words: str
    without: str


def chips(filters: Filters, meaning: str, asked: QueryDict) -> list[Chip]:
    """The chips of a list. meaning: how the words of the search were understood, "" for no search."""
    return [Chip(words, address_without(asked, *names)) for names, words in _in_words(filters, meaning) if words]


def address_without(asked: QueryDict, *names: str) -> str:
    """The address of the list without some of its parameters, on its first page."""
    rest = asked.copy()
    for name in (*names, *PAGE_KEYS):
        rest.pop(name, None)
    return f"?{rest.urlencode()}"


def _in_words(filters: Filters, meaning: str) -> Iterator[tuple[tuple[str, ...], str]]:
    yield ("q",), meaning
    yield ("verdict",), _verdicts(filters)
    yield ("layer",), _layers(filters)
    yield ("code",), reason_words(filters.code) if filters.code else ""
    yield ("paper",), _("Held against %(paper)s") % {"paper": filters.paper} if filters.paper else ""
    yield ("reason",), _reason(filters)
    yield ("overruled",), _("Overruled by a person") if filters.overruled else ""
    yield ("accession", "part"), _accession(filters)
    yield ("site",), _("Site %(site)s") % {"site": filters.site} if filters.site else ""
    yield ("country",), _country(filters.country)
    yield ("taxon",), str(filters.taxon or "")
    yield ("year_from", "year_to"), _years(filters)
    yield ("kind",), _kind(filters.kind)


def _verdicts(filters: Filters) -> str:
    words = [str(VERDICT_NAMES[Verdict(verdict)]) for verdict in filters.verdicts]
    return _joined([*words, *([_("Not yet checked")] if filters.unchecked else [])])


def _layers(filters: Filters) -> str:
    if filters.layers:
        return _("On %(layers)s") % {"layers": _joined([str(LAYER_NAMES[Layer(n)]) for n in filters.layers])}
    return _("On any layer") if filters.any_layer else ""


def _joined(words: list[str]) -> str:
    """The first as it stands, the others with a small letter unless they are written in capitals."""
    return ", ".join(w if n == 0 or w[:2].isupper() else w[:1].lower() + w[1:] for n, w in enumerate(words))


def _reason(filters: Filters) -> str:
    if not filters.reason:
        return ""
    outcome = filters.reason
    finding, paper = outcome.findings.first(), outcome.papers.first()
    words = [str(LAYER_NAMES[Layer(outcome.layer)]), reason_words(finding.code) if finding else ""]
    return ": ".join(filter(None, words)) + (f", {paper.reference}" if paper else "")


def _accession(filters: Filters) -> str:
    if filters.part:
        return _("Accession %(number)s, part %(part)s") % {
            "number": filters.part.accession.number, "part": filters.part.letter,
        }  # fmt: skip
    return _("Accession %(number)s") % {"number": filters.accession.number} if filters.accession else ""


def _country(code: str) -> str:
    return country_name(code) if code else ""


def _years(filters: Filters) -> str:
    first, last = filters.year_from, filters.year_to
    if first and last:
        return _("Collected %(first)d to %(last)d") % {"first": first, "last": last}
    if first:
        return _("Collected %(first)d or later") % {"first": first}
    return _("Collected %(last)d or earlier") % {"last": last} if last else ""


def _kind(kind: str) -> str:
    return str(Specimen.Kind(kind).label) if kind else ""
