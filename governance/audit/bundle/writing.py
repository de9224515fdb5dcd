"""What goes into a bundle, part after part; each part says what it holds and what it leaves out."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import IO, Any, Final

from django.db import models
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.models import Accession, Specimen
from accessions.people.sealing import head
from governance.audit.asking import Answer
from governance.audit.bundle.packing import Packed, pieces, safe_name
from governance.audit.bundle.subjects import Subject, named_in, subject_of
from governance.audit.clocks import as_known
from governance.audit.queries.asking import Answered, answered, asked_of
from governance.audit.queries.entries import RecordHistory, kinds, record_history
from governance.audit.writing.files import answer_file
from governance.papers.models import Paper, PaperScan
from governance.papers.queries.exchange_objects import exchange_file, exchange_object
from governance.papers.restriction import is_readable, restricted_words
from governance.reports.models import Report
from governance.scans.queries.store import open_content
from governance.scans.queries.visible import may_open
from governance.usedesk.queries.trail import Narrowed
from governance.usedesk.queries.trail_files import HEADER as USES_HEADER
from governance.usedesk.queries.trail_files import entry_rows
from governance.verdicts.export_files import csv_lines
from governance.verdicts.models import Result, Run
from governance.verdicts.queries.export_rows import export_rows, header

Step = Callable[[str, int, int], None]
"""Progress: what is written, how much of it, of how much."""

MOST_HISTORIES: Final = 500
"""Histories of so many specimens are written one by one; above it they stay in the register, and the index says so."""


@dataclass(frozen=True)
class Member:
    """A file of the bundle, as the index names it."""

    name: str
    what: str


@dataclass
class Part:
    """A part of the index."""

    title: str
    words: str = ""
    members: list[Member] = field(default_factory=list)


@dataclass
class Bundle:
    """A bundle while it is written."""

    packed: Packed
    subject: Subject
    reader: Any
    on: date
    known_at: datetime | None
    step: Step
    parts: list[Part] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    not_known: list[str] = field(default_factory=list)

    def part(self, title: str, words: str = "") -> Part:
        self.parts.append(Part(title, words))
        return self.parts[-1]

    def csv(self, name: str, head: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
        self.packed.add(name, (line.encode() for line in csv_lines(head, rows)))


def write_bundle(
    file: IO[bytes], of: str, values: Mapping[str, str], *, reader: Any, on: date, known_at: datetime | None = None,
    step: Step = lambda _words, _done, _of: None,
) -> Subject:  # fmt: skip
    """Write the whole bundle; what it is about.

    Args:
        of: such as ``specimen:LMN-FW-0241873``. values: of a question, as its address writes them.
        reader: what is not open to this person stays out, and the index says so.
        on: the day in the world for which a question is asked.
        known_at: the moment of the register; None: now.

    Raises:
        AsKnownError: the register of that moment cannot be shown.
        UnknownValueError: the register holds no such thing, or did not then.
    """
    with as_known(known_at):
        subject = subject_of(of, values)
    bundle = Bundle(Packed(file), subject, reader, on, known_at, step)
    if subject.question is not None:
        bundle.subject = _with_answer(bundle)
    with as_known(known_at):
        _specimens(bundle)
        _papers(bundle)
        _uses(bundle)
        _report(bundle)
        _rules(bundle)
    _histories(bundle)
    _seal(bundle)
    bundle.packed.add("style.css", render_to_string("audit/in_bundle/style.css").encode())
    bundle.packed.add("index.html", _index(bundle))
    bundle.packed.close()
    return bundle.subject


# Parts ----------------------------------------------------------------------------------------------------------------


def _with_answer(bundle: Bundle) -> Subject:
    """Write the answer; the subject with what its rows name."""
    subject = bundle.subject
    assert subject.question is not None
    asked = asked_of(subject.question, subject.values, bundle.reader)

    def read(found: Answered[None]) -> tuple[Answer, dict[str, list[int]], list[tuple[str, bytes]]]:
        files = [(f"answer.{form}", answer_file(found, form).read()) for form in ("csv", "xlsx")]
        return found.answer, named_in(list(found.answer.rows.between(0, MOST_HISTORIES))), files

    answer, named, files = answered(subject.question, asked, read).read
    part = bundle.part(_("The question and its answer"), answer.sentence)
    for name, content in files:
        bundle.packed.add(name, content)
        part.members.append(Member(name, _("All rows of the answer")))
    bundle.left_out += map(str, answer.kept_back)
    bundle.not_known += [f"{one.words} ({one.count})" if one.count else one.words for one in answer.missing]
    return Subject(
        subject.kind, subject.key, subject.title, tuple(named["specimen"]), tuple(named["paper"]),
        tuple(named["accession"]), question=subject.question, values=subject.values,
    )  # fmt: skip


def _specimens(bundle: Bundle) -> None:
    keys = bundle.subject.specimens
    if not keys:
        return
    count = ngettext("%(n)s specimen with its verdicts.", "%(n)s specimens with their verdicts.", len(keys))
    part = bundle.part(_("Specimens and verdicts"), count % {"n": f"{len(keys):,}"})
    bundle.csv("specimens.csv", header(), _told(bundle, export_rows(keys), len(keys)))
    part.members.append(Member("specimens.csv", _("What each is, its nine verdicts, the reasons and the papers")))
    bundle.csv("verdicts-over-time.csv", _RESULT_HEADER, _results(keys))
    part.members.append(Member("verdicts-over-time.csv", _("Each verdict that ever stood, since when and why")))


def _told(bundle: Bundle, rows: Iterator[Any], of: int) -> Iterator[Any]:
    for number, row in enumerate(rows):
        if number % 2_000 == 0:
            bundle.step(_("Specimens"), number, of)
        yield row


_RESULT_HEADER: Final = ("catalogue number", "assessment", "since", "why", "by", "engine", "permission strip", "worst")
_AT_ONCE: Final = 2_000


def _results(keys: Sequence[int]) -> Iterator[Sequence[Any]]:
    for start in range(0, len(keys), _AT_ONCE):
        rows = Result.objects.filter(specimen__in=keys[start : start + _AT_ONCE], run__state=Run.State.DONE)
        told = rows.select_related("run__by", "ruling", "specimen").order_by("specimen__catalog_number", "run")
        for row in told.iterator(chunk_size=_AT_ONCE):
            run = row.run
            since = timezone.localtime(run.finished_at).isoformat(" ", "seconds") if run.finished_at else ""
            yield (
                row.specimen.catalog_number, run.pk, since, run.why, run.by.shown_name if run.by else "",
                run.engine_version, f"[{row.ruling.strip}]",
                row.ruling.worst,
            )  # fmt: skip


def _papers(bundle: Bundle) -> None:
    found = Paper.objects.filter(pk__in=bundle.subject.papers).order_by("reference")
    readable = []
    for paper in found:
        if is_readable(paper, bundle.reader):
            readable.append(paper)
        else:
            words = restricted_words(paper.restricted_to)
            bundle.left_out.append(_("Paper %(number)s. %(words)s") % {"number": paper.reference, "words": words})
    if not readable:
        return
    count = ngettext("%(n)s paper with its versions.", "%(n)s papers with their versions.", len(readable))
    part = bundle.part(_("Papers"), count % {"n": len(readable)})
    bundle.packed.add("papers/papers.json", exchange_file(readable))
    part.members.append(Member("papers/papers.json", _("All of them as the exchange file holds papers")))
    for number, paper in enumerate(readable):
        bundle.step(_("Papers"), number, len(readable))
        _paper(bundle, part, paper)


def _paper(bundle: Bundle, part: Part, paper: Paper) -> None:
    scans = [_scan(bundle, filed) for filed in _filed(paper)]
    told = exchange_object(paper, with_uses=True)
    page = {
        "paper": paper, "facts": list(_facts(told)),
        "versions": [list(_facts(one)) for one in told.get("versions", ())],
        "scans": [one for one in scans if one is not None], "on": bundle.on,
    }  # fmt: skip
    name = bundle.packed.name_for("papers", f"{paper.reference}.html")
    bundle.packed.add(name, render_to_string("audit/in_bundle/paper.html", page).encode())
    part.members.append(Member(name, f"{paper.reference}, {paper.get_kind_display()}"))


def _filed(paper: Paper) -> Iterable[PaperScan]:
    return PaperScan.objects.filter(paper=paper, taken_off_at__isnull=True).select_related("scan").order_by("pk")


def _scan(bundle: Bundle, filed: PaperScan) -> tuple[str, str, str] | None:
    """Name of the member, name of the scan, hash; None where it stays out."""
    scan = filed.scan
    if not may_open(bundle.reader, scan):
        bundle.left_out.append(_("A scan of %(paper)s: open to some roles only.") % {"paper": filed.paper.reference})
        return None
    name = f"scans/{scan.pk}-{safe_name(filed.name or scan.stored_name)}"
    if name not in bundle.packed.hashes:
        try:
            with open_content(scan) as content:
                bundle.packed.add(name, pieces(content))
        except OSError:
            words = _("The store has lost the scan “%(name)s”; it should have the hash %(hash)s.")
            bundle.not_known.append(words % {"name": filed.name, "hash": scan.sha256})
            return None
    return f"../{name}", filed.name, scan.sha256


def _facts(told: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """An object of the exchange file as names and texts; its versions stand by themselves."""
    for key, value in told.items():
        if key != "versions" and value not in ("", None, [], {}):
            text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, indent=1)
            yield key.replace("_", " "), text


def _uses(bundle: Bundle) -> None:
    material = bundle.subject.material
    if material is None or not (material.uses or material.declined):
        return
    rows = list(entry_rows(material, Narrowed(voided=True), bundle.reader))
    count = ngettext("%(n)s entry.", "%(n)s entries.", len(rows)) % {"n": len(rows)}
    part = bundle.part(_("What became of it"), count)
    bundle.csv("uses.csv", USES_HEADER, rows)
    part.members.append(Member("uses.csv", _("Loans, samples, sequences, papers, losses, with the answer of the day")))


def _report(bundle: Bundle) -> None:
    report = bundle.subject.report
    if report is None:
        return
    part = bundle.part(_("The report"), f"{report.reference}, {report.get_kind_display()}")
    if _is_closed(bundle, report):
        bundle.left_out.append(_("The report: it tells of papers that are not open to you."))
        return
    for one in report.files.order_by("format"):
        name = bundle.packed.name_for("report", one.name)
        bundle.packed.add(name, bytes(one.data))
        part.members.append(Member(name, _("As it was issued; SHA-256 %(hash)s") % {"hash": one.sha256}))
    if not part.members:
        bundle.not_known.append(_("The report is not issued: it has no files yet."))


def _is_closed(bundle: Bundle, report: Report) -> bool:
    papers = Paper.objects.filter(pk__in=bundle.subject.papers)
    return any(not is_readable(paper, bundle.reader) for paper in papers)


def _rules(bundle: Bundle) -> None:
    """By what the verdicts were made: engine, house rules and papers of each assessment that left a result."""
    keys = bundle.subject.specimens[:MOST_HISTORIES]
    runs = Run.objects.filter(results__specimen__in=keys, state=Run.State.DONE).distinct().order_by("pk")
    told = [
        {
            "assessment": run.pk, "engine": run.engine_version, "finished": run.finished_at, "why": run.why,
            "house rules": run.house, "digest of the rules": run.rules_digest, "names by": run.names,
        }
        for run in runs
    ]  # fmt: skip
    if told:
        part = bundle.part(_("Rules by which the verdicts were made"))
        text = json.dumps(told, ensure_ascii=False, indent=1, default=str)
        bundle.packed.add("rules.json", text.encode())
        part.members.append(Member("rules.json", _("Engine, house rules and papers of each assessment")))


# Histories ------------------------------------------------------------------------------------------------------------


def _histories(bundle: Bundle) -> None:
    """The whole history, whatever moment of the register was asked for: it tells what came when."""
    words = _("Who changed what, when, from what to what, why, and from which page or command.")
    part = bundle.part(_("Histories"), words)
    subject = bundle.subject
    for of, keys in ((Paper, subject.papers), (Accession, subject.accessions), (Specimen, subject.specimens)):
        if len(keys) > MOST_HISTORIES:
            only = _("Histories of the first %(n)s of %(all)s %(what)s are here; the others stand in the register.")
            many = {"n": MOST_HISTORIES, "all": f"{len(keys):,}", "what": of._meta.verbose_name_plural}
            bundle.not_known.append(only % many)
        for number, key in enumerate(keys[:MOST_HISTORIES]):
            bundle.step(_("Histories"), number, min(len(keys), MOST_HISTORIES))
            _history(bundle, part, of, key)


def _history(bundle: Bundle, part: Part, of: type[models.Model], key: int) -> None:
    told = [one for kind, pk in _records(of, key) if (one := record_history(kind, pk, bundle.reader)) is not None]
    if not told:
        return
    closed = sum(one.closed for one in told)
    if closed:
        words = ngettext("%(n)s entry of a history", "%(n)s entries of a history", closed) % {"n": closed}
        bundle.left_out.append(_("%(entries)s: not open to you.") % {"entries": words})
    name = bundle.packed.name_for("history", f"{of._meta.model_name}-{_called(told[0]) or key}.html")
    bundle.packed.add(name, render_to_string("audit/in_bundle/history.html", {"histories": told}).encode())
    part.members.append(Member(name, f"{str(of._meta.verbose_name).capitalize()} {_called(told[0]) or key}"))


def _called(history: RecordHistory) -> str:
    return history.name


def _records(of: type[models.Model], key: int) -> Iterator[tuple[str, int]]:
    """The record, and the records that belong to it: their key in addresses and their own key."""
    yield of._meta.label_lower, key
    for kind, model in kinds().items():
        for relation in model._meta.concrete_fields:
            if relation.related_model is of and relation.name in _OWN_OF[of._meta.label_lower]:
                rows = model.history.filter(**{relation.attname: key})  # type: ignore[attr-defined]
                for pk in rows.order_by("id").values_list("id", flat=True).distinct():
                    yield kind, pk


_OWN_OF: Final = {
    "papers.paper": frozenset({"paper", "earlier", "later"}),
    "material.accession": frozenset({"accession"}),
    "material.specimen": frozenset({"specimen", "pool", "member"}),
}
"""By which keys a record belongs to another, so that its history is told with it."""


# The frame ------------------------------------------------------------------------------------------------------------


def _seal(bundle: Bundle) -> None:
    number, sha256 = head()
    text = _(
        "Head of the seal when this was written: entry %(number)s\nSHA-256 %(hash)s\n\n"
        "To check: on the page Seal of the register, type number and hash; or run\n"
        "manage.py verify_seal --from-head %(number)s:%(hash)s\n"
    ) % {"number": number, "hash": sha256}
    bundle.packed.add("seal.txt", text.encode())
    bundle.part(_("Seal")).members.append(Member("seal.txt", _("Entry %(n)s of the chain") % {"n": f"{number:,}"}))


def _index(bundle: Bundle) -> bytes:
    page = {
        "subject": bundle.subject, "parts": bundle.parts, "left_out": list(dict.fromkeys(bundle.left_out)),
        "not_known": list(dict.fromkeys(bundle.not_known)), "reader": bundle.reader, "made_at": timezone.now(),
        "on": bundle.on, "known_at": bundle.known_at, "files": len(bundle.packed.hashes) + 2,
    }  # fmt: skip
    return render_to_string("audit/in_bundle/index.html", page).encode()
