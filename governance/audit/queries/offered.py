"""What a form suggests for a parameter: values of the register, few enough for a page."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from typing import Any, Final

from accessions.material.models import Accession, Specimen
from accessions.people.models import Agent
from accessions.sites.models import Site
from governance.audit.asking import ParameterKind
from governance.papers.models import Paper
from governance.reports.models import Report
from governance.scans.queries.searching import open_to

Suggestion = tuple[str, str]
"""What is written, and what it is."""

MOST: Final = 300
_MOST_SPECIMENS: Final = 25


def suggestions(kind: ParameterKind, text: str, reader: Any) -> list[Suggestion]:
    """Values that may be meant, one query for each kind; none for kinds that have a control of their own.

    text: what stands in the form, by which specimens are looked for: their list is too long.
    """
    find = _FINDERS.get(kind)
    return find(text, reader) if find else []


def _specimens(text: str, reader: Any) -> list[Suggestion]:
    """Those that begin with what is written, or the first ones."""
    found = Specimen.objects.exclude(catalog_number="").filter(catalog_number__gte=text).order_by("catalog_number")
    numbers = found.values_list("catalog_number", flat=True)[:_MOST_SPECIMENS]
    return [(number, "") for number in numbers if number.startswith(text)]


def _papers(text: str, reader: Any) -> list[Suggestion]:
    found = Paper.objects.order_by("reference").only("reference", "kind")[:MOST]
    return [(one.reference, str(one.get_kind_display())) for one in found]


def _accessions(text: str, reader: Any) -> list[Suggestion]:
    return list(Accession.objects.order_by("-number").values_list("number", "title")[:MOST])


def _agents(text: str, reader: Any) -> list[Suggestion]:
    """By name; those that share one by key."""
    found = list(Agent.objects.order_by("name", "pk").values_list("pk", "name")[:MOST])
    times = Counter(name for _key, name in found)
    return [(name, "") if times[name] == 1 else (str(key), name) for key, name in found]


def _sites(text: str, reader: Any) -> list[Suggestion]:
    found = Site.objects.order_by("code", "name").values_list("code", "name")[:MOST]
    return list(found)


def _reports(text: str, reader: Any) -> list[Suggestion]:
    found = Report.objects.exclude(reference="").order_by("-pk").only("reference", "kind")[:MOST]
    return [(one.reference, str(one.get_kind_display())) for one in found]


def _scans(text: str, reader: Any) -> list[Suggestion]:
    """Only those that are open to the reader: a name may tell what is in a file."""
    found = open_to(reader).order_by("-pk").values_list("pk", "original_name")[:MOST]
    return [(str(key), name) for key, name in found]


_FINDERS: Final[Mapping[ParameterKind, Callable[[str, Any], list[Suggestion]]]] = {
    ParameterKind.SPECIMEN: _specimens, ParameterKind.PAPER: _papers, ParameterKind.ACCESSION: _accessions,
    ParameterKind.AGENT: _agents, ParameterKind.SITE: _sites, ParameterKind.REPORT: _reports,
    ParameterKind.SCAN: _scans,
}  # fmt: skip
