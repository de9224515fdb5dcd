"""The papers file (JSON): read, checked as a whole, and given to the engine (VERDICTS, section 8)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from accessions.intake.problems import FileProblems, Problem, listed, refusal, shown
from governance.engine.tables import Covers, Layer, Paper, fold
from governance.papers.codes import jurisdiction
from governance.papers.document import Node, Report, optional_text
from governance.papers.json_text import MAX_BYTES, read_json
from governance.papers.schema_check import check_schema
from governance.papers.statuses import check_statuses, is_held
from governance.papers.versions import check_starts, read_version

_ALL = "*"
_LAYER_CODES = frozenset(layer.code for layer in Layer)
_LINKS = ("accessions", "sites", "events", "specimens", "parts")
_TEXTS = ("issuer", "second_number", "language", "remarks")


@dataclass(frozen=True)
class PapersFile:
    """papers: in the order of the file. warnings: what a person should know. entries: the objects as written."""

    papers: tuple[Paper, ...]
    warnings: tuple[Problem, ...] = ()
    entries: tuple[Mapping[str, Any], ...] = ()


def read_papers(path: str | Path) -> PapersFile:
    """Read a papers file; areas that it names as files are looked for in its folder.

    Raises:
        FileProblems: with every problem of the file at once, each with its key path and the paper.
    """
    path = Path(path)
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise refusal(path.name, "", f"the file is {size:,} bytes long", f"At most {MAX_BYTES:,} bytes are read.")
        data = path.read_bytes()
    except OSError as error:
        raise refusal(
            path.name, "", f"the file cannot be opened ({error.strerror})", "Check its name, and that you may read it."
        ) from error
    return papers_from_bytes(data, path.name, path.parent)


def papers_from_bytes(data: bytes, file: str, folder: Path | None = None) -> PapersFile:
    """The same for the bytes of a file. folder: where area files are looked for; None allows none.

    Raises:
        FileProblems: with every problem at once.
    """
    return papers_from_value(read_json(data, file), file, folder)


def papers_from_value(value: Any, file: str, folder: Path | None = None) -> PapersFile:
    """The same for the value of the JSON text: the one reading of papers, whether they come from a file, a form or
    the register.

    Raises:
        FileProblems: with every problem at once.
    """
    report = Report(file, folder)
    root = Node(value, "", report)
    entries = list(root["papers"].items())
    read = [(entry, _paper(entry)) for entry in entries if isinstance(entry.value, dict)]
    _check_references(entries)
    check_schema(value, report)
    if report.problems:
        raise FileProblems(report.problems)
    papers = tuple(paper for entry, paper in read if is_held(entry))
    _warn_of_unheld([paper.reference for entry, paper in read if not is_held(entry)], report)
    _warn_of_unlinked(papers, report)
    return PapersFile(papers, tuple(report.warnings), tuple(value["papers"]))


def paper_from_object(value: Mapping[str, Any]) -> Paper | None:
    """One object that was checked before, as the register holds it; None if it is held against nothing.

    Raises:
        FileProblems: it was written past the checks.
    """
    report = Report("the register", None)
    node = Node(value, "papers[0]", report)
    paper = _paper(node)
    if report.problems:
        raise FileProblems(report.problems)
    return paper if is_held(node) else None


def _paper(node: Node) -> Paper:
    written = node["reference"].value
    node.paper = written.strip() if isinstance(written, str) else ""
    check_starts(node["versions"])
    check_statuses(node)
    node["issued_on"].day()
    for key in _TEXTS:
        optional_text(node[key])
    kind = node["kind"].value
    return Paper(
        reference=node["reference"].text(),
        kind=kind if isinstance(kind, str) else "",
        layers=_layers(node["layers"]),
        jurisdiction=jurisdiction(node["jurisdiction"]),
        holder=optional_text(node["holder"]),
        versions=tuple(read_version(version) for version in node["versions"].items()),
        suspensions=_suspensions(node["suspensions"]),
        revoked_day=node["revoked_on"].day(),
        covers=_covers(node["covers"]),
    )


def _layers(node: Node) -> frozenset[Layer]:
    words = [item.value for item in node.items() if isinstance(item.value, str)]
    return frozenset(Layer.from_code(word) for word in words if word in _LAYER_CODES)


def _suspensions(node: Node) -> tuple[tuple[int, int | None], ...]:
    spans = []
    for span in node.items():
        ends = list(span.items())
        if len(ends) != 2:
            continue
        first, last = ends[0].day(), ends[1].day()
        if ends[0].value is None:
            ends[0].problem("the first day is missing", "A suspension has a first day; only its last may be null.")
        if first is not None and last is not None and last < first:
            span.problem(
                f"the suspension ends on {ends[1].value}, before {ends[0].value}",
                "The last day is not before the first.",
            )
        if first is not None:
            spans.append((first, last))
    return tuple(spans)


def _covers(node: Node) -> Covers:
    accessions, sites, events, specimens, parts = (node[key].texts() for key in _LINKS)
    for key in _LINKS[1:]:
        if _ALL in node[key].texts():
            node.report.warn(
                node[key].path,
                node.paper,
                f'"*" stands in {key}, where it is a name like any other',
                'Only accessions take "*" for every accession.',
            )
    return Covers(
        all_accessions=_ALL in accessions,
        accessions=frozenset(accessions + parts) - {_ALL},
        sites=frozenset(map(fold, sites)),
        events=frozenset(events),
        specimens=frozenset(specimens),
    )


def _check_references(entries: list[Node]) -> None:
    first: dict[str, Node] = {}
    for entry in entries:
        reference = entry["reference"]
        if not isinstance(reference.value, str):
            continue
        text = reference.value.strip()
        if text in first:
            reference.problem(
                f"{shown(text)} is also the reference of {first[text].path}", "References are unique in the file."
            )
        first.setdefault(text, entry)


def _warn_of_unheld(references: list[str], report: Report) -> None:
    if references:
        one = len(references) == 1
        report.warn(
            "statuses",
            "",
            f"paper{'' if one else 's'} {listed(references, 20)} {'is' if one else 'are'} applied for or refused",
            "A paper that was not given is held against nothing.",
        )


def _warn_of_unlinked(papers: tuple[Paper, ...], report: Report) -> None:
    unlinked = [paper.reference for paper in papers if paper.covers == Covers()]
    if unlinked:
        one = len(unlinked) == 1
        report.warn(
            "covers",
            "",
            f"paper{'' if one else 's'} {listed(unlinked, 20)} {'is' if one else 'are'} linked to nothing",
            'A paper speaks only for what its "covers" lists: accessions ("*" is all), sites, events, specimens.',
        )
