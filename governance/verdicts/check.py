"""A check of files: specimens and papers in, an assessment with its sentences out. Nothing is stored."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from accessions.intake.problems import FileProblems, Problem, listed
from accessions.intake.specimens import SpecimenTable, read_specimens
from governance.engine import Assessment, HouseRules, Layer, Material, Outlines, Paper, Requirements, Rule, assess
from governance.engine.explain import Explainer
from governance.papers.exchange import PapersFile, read_papers
from governance.verdicts.material import material_of

Step = Callable[[str, int], None]
"""Progress: the step that goes on, and the rows done."""


def no_step(name: str, rows: int) -> None:
    """Progress that nobody watches."""


@dataclass(frozen=True)
class Check:
    """What a check of files found."""

    table: SpecimenTable
    papers: tuple[Paper, ...]
    material: Material
    assessment: Assessment
    house: HouseRules
    warnings: tuple[Problem, ...]
    notes: tuple[str, ...]

    @cached_property
    def explainer(self) -> Explainer:
        return Explainer(self.material, self.assessment, self.house)


def check_files(
    specimens: Path,
    papers: Path,
    *,
    house: HouseRules,
    require: Sequence[Layer] | None = None,
    rules: tuple[Rule, ...] | None = None,
    step: Step = no_step,
) -> Check:
    """Judge a file of specimens by a file of papers.

    Args:
        require: the layers to judge; None: those that any paper serves.
        rules: where each layer is required; None: everywhere.

    Raises:
        FileProblems: a mistake in either file; every mistake of both is named.
    """
    table, papers_file = _read_both(specimens, papers, step)
    layers = tuple(sorted(set(require))) if require is not None else _served(papers_file.papers)
    step("Reading dates, places and names", table.row_count)
    material = material_of(table)
    step("Judging", table.row_count)
    assessment = assess(material, papers_file.papers, Requirements(layers, rules), outlines(), house)
    warnings = (*table.warnings, *papers_file.warnings, *_idle_papers(papers.name, papers_file.papers, material))
    return Check(table, papers_file.papers, material, assessment, house, warnings, table.notes)


def _idle_papers(file: str, papers: Sequence[Paper], material: Material) -> tuple[Problem, ...]:
    """One warning that names the papers whose links meet no specimen of the file."""
    sites = {key for keys in material.places.sites for key in keys}
    known = (material.accessions, sites, material.events, material.catalog_numbers)
    idle = []
    for paper in papers:
        links = (paper.covers.accessions, paper.covers.sites, paper.covers.events, paper.covers.specimens)
        is_met = any(not linked.isdisjoint(texts) for linked, texts in zip(links, known, strict=True))
        if any(links) and not paper.covers.all_accessions and not is_met:
            idle.append(paper.reference)
    if not idle:
        return ()
    expected = 'Check the accessions, sites, events and specimens that "covers" lists against the columns of the file.'
    return (Problem(file, "key covers", f"the links of {listed(idle)} meet no specimen", expected, "warning"),)


def _read_both(specimens: Path, papers: Path, step: Step) -> tuple[SpecimenTable, PapersFile]:
    problems: list[Problem] = []
    table = papers_file = None
    try:
        papers_file = read_papers(papers)
    except FileProblems as error:
        problems += error.problems
    try:
        table = read_specimens(specimens, progress=lambda rows: step("Reading specimens", rows))
    except FileProblems as error:
        problems += error.problems
    if table is None or papers_file is None:
        raise FileProblems(problems)
    return table, papers_file


def _served(papers: Sequence[Paper]) -> tuple[Layer, ...]:
    return tuple(sorted(set().union(*(paper.layers for paper in papers))))


def outlines() -> Outlines:
    """Natural Earth's outlines; each is decoded when a paper or a specimen first asks for it."""
    from governance.jurisdictions import outlines as natural_earth

    return Outlines(
        countries=natural_earth.countries(),
        subdivisions=natural_earth.subdivisions(),
        boundary_error_m=natural_earth.BOUNDARY_ERROR_M,
        stated=natural_earth.countries_for_check(),
        on_land=natural_earth.on_land,
    )


def rows_of(check: Check) -> Iterator[tuple[int, str]]:
    """Row number (data rows from 1) and catalogue number of every specimen."""
    catalog = check.table.columns.get("catalogNumber")
    numbers = range(1, check.table.row_count + 1)
    yield from zip(numbers, catalog, strict=True) if catalog else ((n, "") for n in numbers)
