"""The papers that bear on one specimen, each in the version in force on the day that it is tested for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.db.models import Prefetch
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.material.models import Specimen
from accessions.people.wording import in_a_list
from governance.audit.asking import (
    Answer,
    Asked,
    Cell,
    Column,
    ColumnKind,
    Group,
    ListedRows,
    Missing,
    Parameter,
    ParameterKind,
    Question,
    Row,
)
from governance.audit.questions.addresses import paper_link
from governance.audit.questions.permission.places_on_scans import WhereWritten, where_written
from governance.audit.questions.wording import papers_words
from governance.audit.resolving import specimen_of
from governance.engine.tables import NONE, Layer, Verdict
from governance.papers.lifetimes import Standing as Life
from governance.papers.lifetimes import in_force_between, in_order, lifetime
from governance.papers.models import LAYER_NAMES, Paper, PaperStatus, PaperVersion
from governance.papers.restriction import opens
from governance.usedesk.queries.bearing import SpecimenRow, bearing
from governance.verdicts.models import COUNTING, VERDICT_NAMES, OutcomePaper, Override, RulingLayer, Standing
from governance.verdicts.queries.tested_days import TestedDay, TestedDays, tested_days
from governance.verdicts.shown_days import span
from governance.verdicts.standing_columns import strip_of

_STATES: Final[Mapping[Life, Any]] = {
    Life.IN_FORCE: gettext_lazy("in force"), Life.NOT_YET: gettext_lazy("not yet in force"),
    Life.BETWEEN: gettext_lazy("between two versions"), Life.SUSPENDED: gettext_lazy("suspended"),
    Life.ENDED: gettext_lazy("ended"), Life.REVOKED: gettext_lazy("revoked"),
    Life.WITHDRAWN: gettext_lazy("withdrawn"), Life.SURRENDERED: gettext_lazy("surrendered"),
    Life.UNREAD: gettext_lazy("not read"), Life.APPLIED: gettext_lazy("applied for"),
    Life.REFUSED: gettext_lazy("refused"),
}  # fmt: skip

_COLUMNS: Final = (
    Column("paper", gettext_lazy("Paper")), Column("kind", gettext_lazy("Kind")),
    Column("layer", gettext_lazy("Layer")), Column("day", gettext_lazy("Tested for")),
    Column("version", gettext_lazy("Version in force then")), Column("state", gettext_lazy("The paper then")),
    Column("verdict", gettext_lazy("Verdict of the layer"), ColumnKind.VERDICT),
    Column("part", gettext_lazy("Part in the verdict")), Column("pages", gettext_lazy("Where it says so")),
    Column("conditions", gettext_lazy("Conditions")), Column("scan", gettext_lazy("Scan")),
)  # fmt: skip


@dataclass(frozen=True)
class _Judged:
    """What stands for the specimen. verdicts: by layer, after decisions of people. named: by layer and paper whether
    the verdict that was computed rests on the paper (True) or was held against it."""

    strip: str
    verdicts: Mapping[Layer, Verdict]
    named: Mapping[tuple[Layer, int], bool]


@dataclass(frozen=True)
class _Line:
    """One paper on one layer. versions: in force on some of the days tested, each with its number in the paper."""

    paper: Paper
    layer: Layer
    day: TestedDay
    versions: Sequence[tuple[int, PaperVersion]]
    state: str

    @property
    def key(self) -> str:
        return f"paper:{self.paper.pk}:layer:{int(self.layer)}"


def answer(asked: Asked) -> Answer:
    """About twenty queries, whatever the register holds."""
    specimen = specimen_of(asked)
    judged = _judged(specimen)
    papers = _papers(specimen, judged)
    days = tested_days(specimen.event, specimen.delivery)
    lines = [line for paper in papers for line in _lines(paper, days)]
    open_papers = [paper for paper in papers if opens(paper, asked.reader)]
    versions = [version for line in lines if line.paper in open_papers for _number, version in line.versions]
    written = where_written(open_papers, versions, asked.reader)
    return Answer(
        sentence=_sentence(specimen, lines, judged, days),
        columns=_COLUMNS,
        rows=ListedRows([_row(line, judged, written) for line in lines]),
        strip=judged.strip,
        missing=tuple(_missing(judged, lines)),
        kept_back=_kept_back(len(papers) - len(open_papers)) + written.kept_back,
        notes=_notes(specimen, judged),
        total=len(papers),
    )


def _judged(specimen: Specimen) -> _Judged:
    """Three queries."""
    standing = Standing.objects.filter(pk=specimen.pk).select_related("ruling").first()
    if standing is None:
        return _Judged("", {}, {})
    strip = strip_of(standing.cells) or standing.ruling.strip
    layers = RulingLayer.objects.filter(ruling=standing.ruling_id).select_related("outcome")
    rows = layers.prefetch_related(Prefetch("outcome__papers", OutcomePaper.objects.order_by("position")))
    named = {
        (Layer(row.layer), used.paper_id): row.outcome.verdict == Verdict.COVERED
        for row in rows
        for used in row.outcome.papers.all()
    }
    return _Judged(strip, {layer: Verdict(int(digit)) for layer, digit in zip(Layer, strip, strict=True)}, named)


def _papers(specimen: Specimen, judged: _Judged) -> list[Paper]:
    """Papers that are linked to it in any way, that are the title to it, and that its verdict names."""
    row = SpecimenRow(
        specimen.pk, specimen.accession_id, specimen.part_id or NONE, specimen.event_id, specimen.name_id, NONE
    )
    keys = {key for key in bearing([row]).papers[0] if key > 0} | {paper for _layer, paper in judged.named}
    found = Paper.objects.filter(pk__in=keys).order_by("reference")
    turns = Prefetch("statuses", PaperStatus.objects.order_by("from_on", "pk"))
    return list(found.prefetch_related(turns, Prefetch("versions", PaperVersion.objects.order_by("pk"))))


def _lines(paper: Paper, days: TestedDays) -> list[_Line]:
    lines = []
    for layer in paper.layer_list:
        day = days.of_layer(layer, (paper.kind,))
        numbered = {version.pk: number for number, version in enumerate(in_order(paper.versions.all()), 1)}
        first, last = _ends(day)
        versions = in_force_between(paper, first, last) if first and last else []
        state = _state(paper, first, last, len(versions))
        lines.append(_Line(paper, layer, day, [(numbered[one.pk], one) for one in versions], state))
    return lines


def _ends(day: TestedDay) -> tuple[date | None, date | None]:
    """Both ends, or neither: of a day with an open end it is not told which version was in force."""
    return (day.first, day.last) if day.first and day.last else (None, None)


def _state(paper: Paper, first: date | None, last: date | None, in_force: int) -> str:
    if not paper.versions.all():
        return str(_STATES[Life.UNREAD])
    if first is None or last is None:
        return _("cannot be told: the day is not known")
    words = dict.fromkeys(str(_STATES[lifetime(paper, day).standing]) for day in (first, last))
    if in_force and str(_STATES[Life.IN_FORCE]) not in words:
        words[_("in force in between")] = None
    return in_a_list(list(words))


def _row(line: _Line, judged: _Judged, written: WhereWritten) -> Row:
    verdict = judged.verdicts.get(line.layer)
    versions = [version for _number, version in line.versions]
    cells: tuple[Cell, ...] = (
        paper_link(line.paper), str(line.paper.get_kind_display()), str(LAYER_NAMES[line.layer]),
        _("%(day)s, %(did)s") % {"day": line.day.short, "did": line.day.did},
        "; ".join(_version_words(number, version) for number, version in line.versions) or _("none"), line.state,
        None if verdict is None else int(verdict), _part(judged, line), written.pages(versions),
        written.conditions(line.paper, versions), written.scan(line.paper),
    )  # fmt: skip
    return Row(line.key, cells)


def _version_words(number: int, version: PaperVersion) -> str:
    """ "version 2, 1 May – 30 Jun 2024": its days are for everybody, what changed in it is not."""
    first, last = version.in_force_from, version.in_force_to
    if first and last:
        days = span(first, last)
    elif first:
        days = _("from %(day)s on") % {"day": date_format(first, "j M Y")}
    else:
        days = _("until %(day)s") % {"day": date_format(last, "j M Y")} if last else _("days not known")
    return _("version %(number)d, %(days)s") % {"number": number, "days": days}


def _part(judged: _Judged, line: _Line) -> str:
    if not judged.strip:
        return _("no verdict yet")
    rests = judged.named.get((line.layer, line.paper.pk))
    if rests is None:
        return _("linked; the verdict does not name it")
    return _("the verdict rests on it") if rests else _("it came nearest, and does not cover")


def _sentence(specimen: Specimen, lines: Sequence[_Line], judged: _Judged, days: TestedDays) -> str:
    papers = len({line.paper.pk for line in lines})
    if not papers:
        words = _("No paper on file bears on %(specimen)s.")
        return words % {"specimen": specimen} + _verdict_words(judged)
    forced = len({line.paper.pk for line in lines if line.versions})
    words = ngettext(
        "%(papers)s bears on %(specimen)s; %(in_force)s in force on the day that it is tested for.",
        "%(papers)s bear on %(specimen)s; %(in_force)s in force on the day that each is tested for.", papers,
    )  # fmt: skip
    told = {1: _("it was"), 0: _("it was not")}[forced] if papers == 1 else _in_force_words(forced)
    words = words % {"papers": papers_words(papers), "specimen": specimen, "in_force": told}
    collected = _(" It was collected: %(day)s.") % {"day": days.collected.long}
    return words + collected + _verdict_words(judged)


def _in_force_words(count: int) -> str:
    if not count:
        return _("none was")
    return ngettext("%(n)d was", "%(n)d were", count) % {"n": count}


def _verdict_words(judged: _Judged) -> str:
    if not judged.strip:
        return _(" It has no verdict yet.")
    worst = max(judged.verdicts.values())
    layers = [str(LAYER_NAMES[layer]) for layer, verdict in judged.verdicts.items() if verdict == worst]
    if worst < Verdict.CANNOT_TELL:
        return _(" Its verdict: no layer needs a look.")
    return _(" Its verdict: %(verdict)s (%(layers)s).") % {
        "verdict": str(VERDICT_NAMES[worst]).lower(), "layers": ", ".join(layers),
    }  # fmt: skip


def _missing(judged: _Judged, lines: Sequence[_Line]) -> list[Missing]:
    found = [
        Missing(_("A paper for the layer %(layer)s, or a record that none was needed.") % {"layer": LAYER_NAMES[layer]})
        for layer, verdict in judged.verdicts.items()
        if verdict == Verdict.MISSING
    ]
    undated = dict.fromkeys(line.day.did for line in lines if None in _ends(line.day))
    found += [
        Missing(_("The day: %(did)s. Without it nobody can say which version was in force.") % {"did": did})
        for did in undated
    ]
    unread = {line.paper.reference for line in lines if not line.paper.versions.all()}
    found += [
        Missing(_("The terms of %(paper)s: it is on file and was not read.") % {"paper": paper})
        for paper in sorted(unread)
    ]
    return found if judged.strip else [*found, Missing(_("A verdict: no assessment has taken the specimen up yet."))]


def _kept_back(closed: int) -> tuple[str, ...]:
    if not closed:
        return ()
    words = ngettext(
        "What %(n)d paper says is restricted: its pages, conditions and scans are left out.",
        "What %(n)d papers say is restricted: their pages, conditions and scans are left out.", closed,
    )  # fmt: skip
    return (words % {"n": closed},)


def _notes(specimen: Specimen, judged: _Judged) -> tuple[str, ...]:
    notes = [
        _("Each layer tests its own day: collecting, export, arrival or transfer (verdicts, section 2)."),
        _("The version in force is the last one that had started by then; closed seasons are left to the verdict."),
    ]
    decided = Override.objects.filter(COUNTING, specimen=specimen).count() if judged.strip else 0
    if decided:
        notes.append(_("A person decided beside the computed verdict of a layer; the decided verdict is shown."))
    return tuple(notes)


PERMIT_OF_SPECIMEN: Final = Question(
    key="permit-of-specimen",
    group=Group.PERMISSION,
    title=gettext_lazy("Show the permit for a specimen, in the version in force that day"),
    shows=gettext_lazy(
        "Every paper that bears on the specimen, with the version in force on the day that its layer tests, the page "
        "and the scan, and what the verdict made of it."
    ),
    answer=answer,
    parameters=(
        Parameter(
            "specimen", ParameterKind.SPECIMEN, gettext_lazy("Specimen"), is_required=True,
            help=gettext_lazy("Its catalogue number, as on the label."),
        ),
    ),
)  # fmt: skip
