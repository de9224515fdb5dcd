"""Of what evidence is asked: a specimen, a paper, an accession, a country, a report, or a question with its answer."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Final

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from accessions.material.models import Accession, Specimen
from governance.audit.asking import Question, Row, UnknownValueError
from governance.audit.questions import QUESTION
from governance.jurisdictions.codes import country_name, is_country
from governance.papers.models import Paper, PaperLink
from governance.reports.models import Report
from governance.usedesk.queries.material import Material, of_accession, of_country, of_specimen
from governance.verdicts.models import OutcomePaper, RulingLayer, Standing

KINDS: Final = ("specimen", "paper", "accession", "country", "report", "question")


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


def subject_of(of: str, values: Mapping[str, str]) -> Subject:
    """The subject that an address names, such as ``specimen:LMN-FW-0241873``; of a question the values of its address.

    Raises:
        UnknownValueError: there is no such thing, with what was found and what was expected.
    """
    kind, _sign, key = of.partition(":")
    if kind not in _FINDERS or not key:
        raise UnknownValueError("of", _("“%(text)s” is nothing that a bundle can be made of.") % {"text": of[:100]})
    return _FINDERS[kind](key, values)


def _none(key: str) -> UnknownValueError:
    return UnknownValueError("of", _("The register has no “%(text)s”.") % {"text": key[:100]})


def _specimen(key: str, _values: Mapping[str, str]) -> Subject:
    found = list(Specimen.objects.filter(catalog_number=key)[:2])
    if len(found) != 1:
        raise _none(key)
    material = of_specimen(found[0])
    keys = (found[0].pk, *material.taken)
    return Subject(
        "specimen", key, _("Specimen %(number)s") % {"number": key}, keys, _papers_of(keys),
        (found[0].accession_id,), material,
    )  # fmt: skip


def _accession(key: str, _values: Mapping[str, str]) -> Subject:
    accession = Accession.objects.filter(number=key).first()
    if accession is None:
        raise _none(key)
    keys = _keys(Specimen.objects.filter(accession=accession))
    linked = PaperLink.objects.filter(accession=accession).values_list("paper", flat=True)
    papers = tuple(dict.fromkeys((*linked, *_papers_of(keys))))
    title = _("Accession %(number)s") % {"number": key}
    return Subject("accession", key, title, keys, papers, (accession.pk,), of_accession(accession))


def _country(key: str, _values: Mapping[str, str]) -> Subject:
    code = key.upper()
    if not is_country(code):
        raise _none(key)
    keys = _keys(Specimen.objects.filter(event__country=code))
    of_the_country = Paper.objects.filter(jurisdiction__startswith=code).values_list("pk", flat=True)
    papers = tuple(dict.fromkeys((*of_the_country, *_papers_of(keys))))
    accessions = Specimen.objects.filter(event__country=code).order_by("accession").values_list("accession", flat=True)
    title = _("Material from %(country)s") % {"country": country_name(code)}
    return Subject("country", code, title, keys, papers, tuple(accessions.distinct()), of_country(code))


def _paper(key: str, _values: Mapping[str, str]) -> Subject:
    paper = Paper.objects.filter(reference=key).first()
    if paper is None:
        raise _none(key)
    outcomes = OutcomePaper.objects.filter(paper=paper).values("outcome")
    rulings = RulingLayer.objects.filter(outcome__in=outcomes).values("ruling")
    keys = _keys(Specimen.objects.filter(standing__ruling__in=rulings))
    return Subject("paper", key, _("Paper %(number)s") % {"number": key}, keys, (paper.pk,))


def _report(key: str, _values: Mapping[str, str]) -> Subject:
    report = Report.objects.filter(reference=key).first()
    if report is None:
        raise _none(key)
    papers = tuple(report.contents.get("papers", ())) if report.contents else ()
    return Subject("report", key, _("Report %(number)s") % {"number": key}, (), papers, report=report)


def _question(key: str, values: Mapping[str, str]) -> Subject:
    question = QUESTION.get(key)
    if question is None:
        raise _none(key)
    return Subject("question", key, str(question.title), question=question, values=dict(values))


_FINDERS: Final[Mapping[str, Callable[[str, Mapping[str, str]], Subject]]] = {
    "specimen": _specimen, "accession": _accession, "country": _country, "paper": _paper, "report": _report,
    "question": _question,
}  # fmt: skip


def _keys(rows: QuerySet[Specimen]) -> tuple[int, ...]:
    return tuple(rows.order_by("catalog_number", "pk").values_list("pk", flat=True))


_AT_ONCE: Final = 5_000


def _papers_of(keys: tuple[int, ...]) -> tuple[int, ...]:
    """The papers that the standing verdicts of specimens rest on or were held against."""
    rulings: set[int] = set()
    for start in range(0, len(keys), _AT_ONCE):
        some = Standing.objects.filter(pk__in=keys[start : start + _AT_ONCE])
        rulings.update(some.values_list("ruling", flat=True).distinct())
    outcomes = RulingLayer.objects.filter(ruling__in=rulings).values("outcome")
    papers = OutcomePaper.objects.filter(outcome__in=outcomes).order_by("paper__reference")
    return tuple(dict.fromkeys(papers.values_list("paper", flat=True)))


_NAMED = re.compile(r"\b(specimen|paper|accession):(\d+)\b")


def named_in(rows: list[Row]) -> dict[str, list[int]]:
    """What the keys of an answer's rows name, by kind."""
    found: dict[str, dict[int, None]] = {"specimen": {}, "paper": {}, "accession": {}}
    for row in rows:
        for kind, key in _NAMED.findall(row.key):
            found[kind][int(key)] = None
    return {kind: list(keys) for kind, keys in found.items()}

