"""Of what evidence is asked: a specimen, a paper, an accession, a country, a report, or a question with its answer."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from django.db.models import Q, QuerySet, Sum
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from accessions.material.models import Accession, Specimen
from governance.audit.asking import Question, Row, UnknownValueError
from governance.audit.questions import QUESTION
from governance.jurisdictions.codes import is_country
from governance.papers.countries import country_name
from governance.papers.models import Paper, PaperLink
from governance.reports.models import Report
from governance.reports.queries.one_report import found_report
from governance.scans.models import Scan
from governance.usedesk.models import RequestItem, UseItem
from governance.usedesk.queries.material import Material, among, of_accession, of_country, of_specimen
from governance.verdicts.models import OutcomePaper, RulingLayer, Standing


@dataclass(frozen=True)
class Subject:
    """What a bundle is about. specimens, papers, accessions: keys, in the order in which they are told."""

    kind: str
    key: str
    title: str
    specimens: tuple[int, ...] = ()
    papers: tuple[int, ...] = ()
    accessions: tuple[int, ...] = ()
    material: Material | None = None
    report: Report | None = None
    question: Question | None = None
    values: Mapping[str, str] = field(default_factory=dict)


def subject_of(of: str, values: Mapping[str, str], reader: Any) -> Subject:
    """The subject that an address names, such as ``specimen:LMN-FW-0241873``; of a question the values of its address.

    Raises:
        UnknownValueError: there is no such thing, with what was found and what was expected.
        NotAllowedError: it is a report that is not open to the reader.
    """
    kind, _sign, key = of.partition(":")
    if kind not in _FINDERS or not key:
        words = _(
            "“%(text)s” is nothing that a bundle can be made of; expected: one of %(kinds)s, a colon, its number."
        )
        raise UnknownValueError("of", words % {"text": of[:100], "kinds": ", ".join(_FINDERS)})
    return _FINDERS[kind](key, values, reader)


def _none(kind: str, key: str) -> UnknownValueError:
    words = _("The register has no %(kind)s “%(text)s”.")
    return UnknownValueError("of", words % {"kind": str(KIND_NAMES[kind]).lower(), "text": key[:100]})


def _specimen(key: str, _values: Mapping[str, str], _reader: Any) -> Subject:
    found = list(Specimen.objects.filter(catalog_number=key)[:2])
    if len(found) > 1:
        raise UnknownValueError("of", _("“%(text)s” is the number of several specimens.") % {"text": key[:100]})
    if not found:
        raise _none("specimen", key)
    material = of_specimen(found[0])
    keys = (found[0].pk, *material.taken)
    return Subject(
        "specimen", key, _("Specimen %(number)s") % {"number": key}, keys, papers_of(keys),
        (found[0].accession_id,), material,
    )  # fmt: skip


def _accession(key: str, _values: Mapping[str, str], _reader: Any) -> Subject:
    accession = Accession.objects.filter(number=key).first()
    if accession is None:
        raise _none("accession", key)
    keys = _keys(Specimen.objects.filter(accession=accession))
    linked = PaperLink.objects.filter(Q(accession=accession) | Q(part__accession=accession))
    papers = _once(linked.order_by("paper__reference").values_list("paper", flat=True), papers_of(keys))
    title = _("Accession %(number)s") % {"number": key}
    return Subject("accession", key, title, keys, papers, (accession.pk,), of_accession(accession))


def _country(key: str, _values: Mapping[str, str], _reader: Any) -> Subject:
    code = key.upper()
    if not is_country(code):
        raise _none("country", key)
    keys = _keys(Specimen.objects.filter(event__country=code))
    own = Paper.objects.filter(Q(jurisdiction=code) | Q(jurisdiction__startswith=f"{code}-")).order_by("reference")
    accessions = Accession.objects.filter(pk__in=Specimen.objects.filter(event__country=code).values("accession"))
    title = _("Material from %(country)s") % {"country": country_name(code)}
    return Subject(
        "country", code, title, keys, _once(own.values_list("pk", flat=True), papers_of(keys)),
        tuple(accessions.order_by("number").values_list("pk", flat=True)), of_country(code),
    )  # fmt: skip


def _paper(key: str, _values: Mapping[str, str], _reader: Any) -> Subject:
    paper = Paper.objects.filter(reference=key).first()
    if paper is None:
        raise _none("paper", key)
    outcomes = OutcomePaper.objects.filter(paper=paper).values("outcome")
    rulings = RulingLayer.objects.filter(outcome__in=outcomes).values("ruling")
    keys = _keys(Specimen.objects.filter(standing__ruling__in=rulings))
    linked = PaperLink.objects.filter(paper=paper, accession__isnull=False).order_by("accession__number")
    accessions = _once(linked.values_list("accession", flat=True))
    title = _("Paper %(number)s") % {"number": key}
    return Subject("paper", key, title, keys, (paper.pk,), accessions, material_of(keys))


def _report(key: str, _values: Mapping[str, str], reader: Any) -> Subject:
    named = Report.objects.filter(reference=key).values_list("pk", flat=True).first()
    if named is None:
        raise _none("report", key)
    report = found_report(named, reader)
    papers = _once([report.paper_id] if report.paper_id else [], (report.contents or {}).get("papers", ()))
    accessions = (report.accession_id,) if report.accession_id else ()
    return Subject("report", key, _("Report %(number)s") % {"number": key}, (), papers, accessions, report=report)


def _question(key: str, values: Mapping[str, str], _reader: Any) -> Subject:
    question = QUESTION.get(key)
    if question is None:
        raise _none("question", key)
    return Subject("question", key, str(question.title), question=question, values=dict(values))


KIND_NAMES: Final[Mapping[str, Any]] = {
    "specimen": gettext_lazy("Specimen"), "accession": gettext_lazy("Accession"), "country": gettext_lazy("Country"),
    "paper": gettext_lazy("Paper"), "report": gettext_lazy("Report"), "question": gettext_lazy("Question"),
}  # fmt: skip
"""What evidence can be packed of, as people call it."""

_Finder = Callable[[str, Mapping[str, str], Any], Subject]
_FINDERS: Final[Mapping[str, _Finder]] = {
    "specimen": _specimen, "accession": _accession, "country": _country, "paper": _paper, "report": _report,
    "question": _question,
}  # fmt: skip


def _keys(rows: QuerySet[Specimen]) -> tuple[int, ...]:
    return tuple(rows.order_by("catalog_number", "pk").values_list("pk", flat=True))


def _once(*lists: Iterable[int]) -> tuple[int, ...]:
    return tuple(dict.fromkeys(key for keys in lists for key in keys))


def material_of(keys: tuple[int, ...]) -> Material | None:
    """Some specimens as the use desk asks for what became of material."""
    if not keys:
        return None
    of_keys = among("specimen", keys)
    return Material(
        "specimens", "", UseItem.objects.filter(of_keys).order_by(), RequestItem.objects.filter(of_keys).order_by(),
        lambda path: among(f"{path}pk", keys),
    )  # fmt: skip


_AT_ONCE: Final = 5_000


def papers_of(keys: tuple[int, ...]) -> tuple[int, ...]:
    """The papers that the standing verdicts of specimens rest on or were held against."""
    rulings: set[int] = set()
    for start in range(0, len(keys), _AT_ONCE):
        some = Standing.objects.filter(pk__in=keys[start : start + _AT_ONCE])
        rulings.update(some.order_by().values_list("ruling", flat=True).distinct())
    outcomes = RulingLayer.objects.filter(among("ruling", rulings)).values("outcome")
    papers = OutcomePaper.objects.filter(outcome__in=outcomes).order_by("paper__reference")
    return tuple(dict.fromkeys(papers.values_list("paper", flat=True)))


_NAMED: Final = re.compile(r"\b(specimen|paper|accession):(\d+)\b")


def named_in(rows: Iterable[Row]) -> dict[str, list[int]]:
    """What the keys of an answer's rows name, by kind.

    >>> named_in([Row("paper:7:layer:2", ()), Row("specimen:12", ())])
    {'specimen': [12], 'paper': [7], 'accession': []}
    """
    found: dict[str, dict[int, None]] = {"specimen": {}, "paper": {}, "accession": {}}
    for row in rows:
        for kind, key in _NAMED.findall(row.key):
            found[kind][int(key)] = None
    return {kind: list(keys) for kind, keys in found.items()}


def scan_bytes(subject: Subject) -> int:
    """How much the scans of its papers and accessions weigh."""
    own = Q(pk__in=Scan.objects.filter(among("paperscans__paper", subject.papers)).values("pk"))
    filed = Q(pk__in=Scan.objects.filter(among("filings__accession", subject.accessions)).values("pk"))
    return int(Scan.objects.filter(own | filed).aggregate(total=Sum("size_bytes"))["total"] or 0)
