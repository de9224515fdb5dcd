"""Verdicts: of few specimens a page each, of many the rulings that they share; results through time; the rules."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Count, Prefetch
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.material.models import Specimen
from governance.audit.bundle.frame import AT_ONCE, Bundle, Part
from governance.audit.queries.verdict_changes import verdict_history
from governance.engine.tables import Layer, Verdict
from governance.papers.models import LAYER_NAMES, Paper
from governance.usedesk.queries.material import among
from governance.verdicts.cells import Cell
from governance.verdicts.models import (
    CountrySheet,
    HouseRuleSet,
    OutcomeFinding,
    OutcomePaper,
    Result,
    Ruling,
    RulingLayer,
    Run,
    SheetRule,
    Standing,
)
from governance.verdicts.queries.specimen_page import page_specimen, specimen_page

MOST_PAGES: Final = 50
"""Up to so many specimens have a page and a history of their own; of more, tables hold the same."""

_RULING_HEAD: Final = (
    "ruling", "specimens", "layer", "verdict", "papers", "versions tested (start days)", "code", "measure",
    "held against", "unit", "finding in words",
)  # fmt: skip
_RESULT_HEAD: Final = (
    "catalogue number", "key", "assessment", "since", "why", "by", "engine", "ruling", "permission strip",
    "worst verdict",
)  # fmt: skip
_SHEET_HEAD: Final = (
    "country", "layer", "required", "from", "to", "source", "lead days", "authority", "checked by", "checked on",
)  # fmt: skip


def add_verdicts(bundle: Bundle) -> None:
    """``verdicts/``."""
    keys = bundle.subject.specimens
    if not keys:
        return
    words = _("The nine layers of each specimen, the reasons in sentences, and every verdict that stood before.")
    part = bundle.part(_("Verdicts"), words)
    if len(keys) <= MOST_PAGES:
        for number, key in enumerate(keys):
            bundle.step(_("Verdicts"), number, len(keys))
            _add_page(bundle, part, key)
    bundle.csv("verdicts/by-ruling.csv", _RULING_HEAD, _rulings(_counted(keys)))
    part.tell("verdicts/by-ruling.csv", _("Each combination of verdicts once, with its findings and how many share it"))
    bundle.csv("verdicts/through-time.csv", _RESULT_HEAD, _results(bundle, keys))
    part.tell("verdicts/through-time.csv", _("Each verdict that ever stood: since when, why, by which assessment"))
    _count_unchecked(bundle, keys)


def _add_page(bundle: Bundle, part: Part, key: int) -> None:
    specimen = page_specimen(key)
    if specimen is None:
        return
    page = {"page": specimen_page(specimen), "history": verdict_history(specimen, bundle.reader)}
    name = bundle.packed.name_for("verdicts", f"{specimen}.html")
    bundle.page(name, "verdicts", {"specimen": specimen, **page})
    part.tell(name, str(specimen))


def _counted(keys: Sequence[int]) -> Counter[int]:
    """How many of the specimens each ruling stands for."""
    found: Counter[int] = Counter()
    for first in range(0, len(keys), AT_ONCE):
        some = Standing.objects.filter(pk__in=keys[first : first + AT_ONCE]).order_by()
        found.update(dict(some.values_list("ruling").annotate(n=Count("pk"))))
    return found


def _rulings(counted: Mapping[int, int]) -> Iterator[Sequence[Any]]:
    """A row a finding, the rulings of most specimens first. Sentences keep the words of the specimen open."""
    ordered = sorted(counted, key=lambda ruling: (-counted[ruling], ruling))
    papers = Prefetch("outcome__papers", OutcomePaper.objects.order_by("position"))
    findings = Prefetch("outcome__findings", OutcomeFinding.objects.order_by("position"))
    for first in range(0, len(ordered), 200):
        some = ordered[first : first + 200]
        rows = RulingLayer.objects.filter(ruling__in=some).select_related("outcome")
        place = {ruling: number for number, ruling in enumerate(some)}
        layers = list(rows.prefetch_related(papers, findings))
        for row in sorted(layers, key=lambda row: (place[row.ruling_id], row.layer)):
            yield from _findings(row, counted[row.ruling_id])


def _findings(row: RulingLayer, count: int) -> Iterator[Sequence[Any]]:
    used = list(row.outcome.papers.all())
    head = (
        row.ruling_id, count, str(LAYER_NAMES[Layer(row.layer)]),
        str(Cell(Verdict(row.outcome.verdict), Layer(row.layer)).word), " | ".join(one.reference for one in used),
        " | ".join(f"{one.reference}: {_starts(one.versions)}" for one in used),
    )  # fmt: skip
    for finding in row.outcome.findings.all():
        yield *head, finding.code, finding.measure, finding.against, finding.unit, finding.sentence


def _starts(versions: Sequence[Any]) -> str:
    return ", ".join(str(one) if one is not None else _("not known") for one in versions) or _("not read")


def _results(bundle: Bundle, keys: Sequence[int]) -> Iterator[Sequence[Any]]:
    runs: dict[int, tuple[str, ...]] = {}
    for first in range(0, len(keys), AT_ONCE):
        bundle.step(_("Verdicts through time"), first, len(keys))
        rows = list(
            Result.objects.filter(specimen__in=keys[first : first + AT_ONCE], run__state=Run.State.DONE)
            .order_by("specimen__catalog_number", "specimen", "run", "pk")
            .values_list("specimen__catalog_number", "specimen", "run", "ruling")
        )
        missing = {run for _number, _key, run, _ruling in rows} - runs.keys()
        runs |= {run.pk: _run_cells(run) for run in _runs(missing)}
        rulings = Ruling.objects.in_bulk({ruling for *_rest, ruling in rows})
        for number, key, run, ruling in rows:
            strip, worst = rulings[ruling].strip, Verdict(rulings[ruling].worst)
            yield number, key, run, *runs[run], ruling, f"[{strip}]", str(Cell(worst, Layer(0)).word)


def _runs(keys: set[int]) -> Iterator[Run]:
    return Run.objects.filter(pk__in=keys).select_related("by").defer("papers", "house").iterator(chunk_size=500)


def _run_cells(run: Run) -> tuple[str, ...]:
    since = timezone.localtime(run.finished_at).isoformat(" ", "seconds") if run.finished_at else ""
    return since, run.why, run.by.shown_name if run.by else "", run.engine_version


def _count_unchecked(bundle: Bundle, keys: Sequence[int]) -> None:
    checked = sum(
        Standing.objects.filter(pk__in=keys[first : first + AT_ONCE]).count() for first in range(0, len(keys), AT_ONCE)
    )
    if checked < len(keys):
        words = _("%(n)s of %(all)s specimens were not assessed: of them no verdict is known.")
        bundle.not_known.append(words % {"n": intcomma(len(keys) - checked), "all": intcomma(len(keys))})


# Rules ----------------------------------------------------------------------------------------------------------------


def add_rules(bundle: Bundle) -> None:
    """``rules/``: by what each assessment that left a result was made; country sheets; house rules."""
    keys = bundle.subject.specimens
    if not keys:
        return
    part = bundle.part(_("Rules by which the verdicts were made"))
    bundle.packed.add("rules/assessments.json", _as_json(_told_runs(bundle, _runs_of(keys))))
    part.tell("rules/assessments.json", _("Engine, house rules, hash of the requirement rules, papers with versions"))
    countries = _countries_of(keys)
    bundle.csv("rules/country-sheets.csv", _SHEET_HEAD, _sheet_rows(countries))
    part.tell("rules/country-sheets.csv", _("What the sheets of the countries require, with sources"))
    without = countries - set(CountrySheet.objects.filter(country__in=countries).values_list("country", flat=True))
    for code in sorted(without - {""}):
        bundle.not_known.append(_("What %(country)s requires: it has no country sheet.") % {"country": code})
    house: Mapping[str, Any] = HouseRuleSet.objects.values().first() or {}
    bundle.packed.add("rules/house-rules.json", json.dumps(house, ensure_ascii=False, indent=1, default=str).encode())
    part.tell("rules/house-rules.json", _("House rules of the moment of the register"))


def _as_json(told: Iterator[Mapping[str, Any]]) -> Iterator[bytes]:
    comma = "[\n"
    for one in told:
        yield (comma + json.dumps(one, ensure_ascii=False, default=str)).encode()
        comma = ",\n"
    yield b"[]\n" if comma == "[\n" else b"\n]\n"


def _runs_of(keys: Sequence[int]) -> list[int]:
    found: set[int] = set()
    for first in range(0, len(keys), AT_ONCE):
        some = Result.objects.filter(specimen__in=keys[first : first + AT_ONCE], run__state=Run.State.DONE)
        found.update(some.order_by().values_list("run", flat=True).distinct())
    return sorted(found)


def _told_runs(bundle: Bundle, keys: Sequence[int]) -> Iterator[Mapping[str, Any]]:
    """Of the papers that an assessment used, those of the bundle."""
    papers = dict(Paper.objects.filter(among("pk", bundle.subject.papers)).values_list("pk", "reference"))
    for first in range(0, len(keys), 100):
        for run in Run.objects.filter(pk__in=keys[first : first + 100]).select_related("by").order_by("pk"):
            yield {
                "assessment": run.pk, "engine": run.engine_version, "of": run.scope, "finished": run.finished_at,
                "why": run.why, "by": run.by.shown_name if run.by else "", "house_rules": run.house,
                "rules_sha256": run.rules_digest, "names": run.names,
                "start_days_of_versions": {papers[key]: _days(days) for key, days in run.papers if key in papers},
            }  # fmt: skip


def _days(days: Sequence[int | None]) -> list[str | None]:
    """Runs keep days as numbers, None for an unknown one."""
    return [date.fromordinal(day).isoformat() if day is not None else None for day in days]


def _countries_of(keys: Sequence[int]) -> set[str]:
    """The countries of the material, and "" for the sheet of everywhere."""
    found = {""}
    for first in range(0, len(keys), AT_ONCE):
        some = Specimen.objects.filter(pk__in=keys[first : first + AT_ONCE]).order_by()
        found.update(some.values_list("event__country", flat=True).distinct())
    return found


def _sheet_rows(countries: set[str]) -> Iterator[Sequence[Any]]:
    rules = SheetRule.objects.filter(sheet__country__in=countries).select_related("sheet")
    for rule in rules.order_by("sheet__country", "layer", "from_on", "pk"):
        sheet = rule.sheet
        yield (
            sheet.country or _("everywhere"), str(LAYER_NAMES[Layer(rule.layer)]),
            _("yes") if rule.required else _("no"),
            rule.from_on, rule.to_on, rule.source, rule.lead_days, sheet.authority, sheet.checked_by, sheet.checked_on,
        )  # fmt: skip
