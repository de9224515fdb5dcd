"""The papers of a report: those that bear on its material, and those of its country under which nothing was taken."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

from django.db.models import Q

from governance.engine.uses import Said, Use
from governance.papers.lifetimes import in_order, lifetime
from governance.papers.models import Paper, PaperVersion, TermsReading, UseTerm
from governance.papers.queries.terms_on_pages import binding
from governance.reports.composing.disclosing import Disclosing, is_of_a_private_person
from governance.reports.composing.material import Material
from governance.reports.composing.scope import Scope, iso
from governance.reports.composing.withheld import withheld
from governance.reports.contents import Row
from governance.usedesk.queries.bearing import SpecimenRow, bearing
from governance.usedesk.queries.by_keys import rows_by_keys

_SOURCES: Final = (
    "SELECT id, accession_id, COALESCE(part_id, -1), event_id, name_id, COALESCE(parent_id, -1) "
    "FROM material_specimen WHERE id {keys}"
)
_NOTHING: Final[frozenset[int]] = frozenset()


@dataclass(frozen=True)
class Papers:
    """on: by specimen, keys of the papers that bear on it or on what it was taken from. known: all papers that the
    report may speak of, by key."""

    scope: Scope
    on: Mapping[int, frozenset[int]]
    known: Mapping[int, Paper] = field(default_factory=dict)

    @cached_property
    def counts(self) -> dict[int, int]:
        """By paper, on how many specimens it bears."""
        found: Counter[int] = Counter()
        for papers, number in Counter(self.on.values()).items():
            found.update(dict.fromkeys(papers, number))
        return dict(found)

    @cached_property
    def of_provider(self) -> frozenset[int]:
        """The papers whose duties and benefits are owed to the reader: the paper itself, or those of the country. A
        paper of which nobody recorded whose it is counts where it bears on the material."""
        subject = self.scope.report.paper_id
        if subject is not None:
            return frozenset({subject})
        country = self.scope.country
        return frozenset(
            key for key, paper in self.known.items() if not paper.jurisdiction or paper.jurisdiction[:2] == country
        )

    @cached_property
    def versions(self) -> dict[int, PaperVersion]:
        """By paper, the version whose terms bind today; papers without versions are left out."""
        return {
            key: binding(in_order(versions), self.scope.today)
            for key, paper in self.known.items()
            if (versions := list(paper.versions.all()))
        }

    def secret(self) -> frozenset[int]:
        """Specimens whose place somebody other than the reader does not want told, or the record itself keeps back,
        with what was taken from these: two queries, and one more where there are any."""
        closed = self._secretive()
        sets = {papers for papers in set(self.on.values()) if not closed.isdisjoint(papers)}
        by_papers = frozenset(pk for pk, papers in self.on.items() if papers in sets)
        return by_papers | withheld(self.on)

    def _secretive(self) -> set[int]:
        paper_of = {version.pk: key for key, version in self.versions.items()}
        terms = UseTerm.objects.filter(
            version__in=list(paper_of), use=int(Use.PUBLISHING_LOCALITIES), said=int(Said.NOT_ALLOWED)
        )
        keys = (paper_of[version] for version in terms.values_list("version", flat=True))
        return {key for key in keys if not self._is_of_the_reader(self.known[key])}

    def _is_of_the_reader(self, paper: Paper) -> bool:
        if paper.pk == self.scope.report.paper_id:
            return True
        return paper.jurisdiction[:2] == self.scope.country != "" and not is_of_a_private_person(paper)


def read(scope: Scope, material: Material) -> Papers:
    """Which papers bear: some ten queries, whatever the number of specimens. Deposits without a paper are left out."""
    rows, sources = _with_sources(material)
    scope.tell("papers", 0, len(rows))
    borne = bearing(rows).papers
    named = {papers: frozenset(key for key in papers if key > 0) for papers in set(borne)}
    own = {row.pk: named[papers] for row, papers in zip(rows, borne, strict=True)}
    on = {row.pk: _joined(row.pk, own, sources) if row.pk in sources else own[row.pk] for row in material.rows}
    scope.tell("papers", len(rows), len(rows))
    return Papers(scope, on, _known(scope, set().union(*set(on.values()))))


def _with_sources(material: Material) -> tuple[list[SpecimenRow], dict[int, list[int]]]:
    """The material with all that it comes from, wherever that was taken; and by specimen its sources."""
    rows = [SpecimenRow(*row[:1], *row[2:7]) for row in material.rows]
    known = {row.pk for row in rows}
    sources = {pk: list(members) for pk, members in material.members.items()}
    step = rows
    while step:
        for row in step:
            if row.parent >= 0:
                sources.setdefault(row.pk, []).append(row.parent)
        wanted = {one for row in step for one in sources.get(row.pk, ())} - known
        step = [SpecimenRow(*columns) for columns in rows_by_keys(_SOURCES, wanted)] if wanted else []
        sources |= _members_of(wanted)
        known |= wanted
        rows = [*rows, *step] if step else rows
    return rows, sources


def _members_of(pools: Collection[int]) -> dict[int, list[int]]:
    found: dict[int, list[int]] = {}
    if pools:
        sql = "SELECT pool_id, member_id FROM material_poolmember WHERE pool_id {keys}"
        for pool, member in rows_by_keys(sql, pools):
            found.setdefault(pool, []).append(member)
    return found


def _joined(pk: int, own: Mapping[int, frozenset[int]], sources: Mapping[int, list[int]]) -> frozenset[int]:
    """The papers on a specimen and on all that it comes from."""
    papers = own.get(pk, _NOTHING)
    seen, waiting = {pk}, list(sources.get(pk, ()))
    while waiting:
        one = waiting.pop()
        if one not in seen:
            seen.add(one)
            papers = papers | own.get(one, _NOTHING)
            waiting += sources.get(one, ())
    return papers


def _known(scope: Scope, keys: set[int]) -> dict[int, Paper]:
    wanted = Q(pk__in=keys)
    if scope.report.paper_id is not None:
        wanted |= Q(pk=scope.report.paper_id)
    elif scope.country:
        wanted |= Q(jurisdiction__startswith=scope.country)
    rows = Paper.objects.filter(wanted).select_related("issuer_agent").prefetch_related("versions", "statuses")
    return {paper.pk: paper for paper in rows.order_by("reference")}


def rows_of(papers: Papers, disclosing: Disclosing) -> list[Row]:
    """The rows of the table; papers that stay out are counted."""
    disclosing.count("kept_papers", len(disclosing.closed))
    return [_row(paper, papers, disclosing) for key, paper in papers.known.items() if key not in disclosing.closed]


def _row(paper: Paper, papers: Papers, disclosing: Disclosing) -> Row:
    life = lifetime(paper, papers.scope.today)
    return (
        disclosing.masked(paper.reference), paper.kind, disclosing.issuer(paper), iso(paper.issued_on),
        iso(life.first), iso(life.last), life.standing.value, papers.counts.get(paper.pk, 0),
    )  # fmt: skip


def unread(papers: Papers, disclosing: Disclosing) -> tuple[Sequence[str], Sequence[str]]:
    """References of papers without a version, and of papers whose terms of use nobody read: one query."""
    read_versions = set(
        TermsReading.objects.filter(version__in=[one.pk for one in papers.versions.values()]).values_list(
            "version", flat=True
        )
    )
    open_papers = [(key, paper) for key, paper in papers.known.items() if key not in disclosing.closed]
    without = [paper.reference for key, paper in open_papers if key not in papers.versions]
    terms = [
        p.reference for key, p in open_papers if key in papers.versions and papers.versions[key].pk not in read_versions
    ]
    return without, terms
