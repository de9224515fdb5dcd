"""What a shared page shows: counts and lines of material, publications, the issued reports. No names of people.

Whose material it is, and what became of it, is asked of ``governance.usedesk.queries``; a landowner sees what was taken
on their own land in their own time. Sites are named unless their place
is kept back (``shared_secrecy``); positions never are, nor are private owners.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.db.models import Count, Max, Min, Q, QuerySet

from accessions.material.models import SamplingEvent, Specimen
from accessions.names.models import ITALIC
from governance.duties.queries.deposits import deposits
from governance.duties.queries.paper_material import specimens_under
from governance.papers.restriction import is_restricted
from governance.reports.composing.declared import taxon_key
from governance.reports.models import ReportFile, ShareLink, ShareReport
from governance.reports.queries.shared_secrecy import Secrecy
from governance.reports.queries.told_papers import may_go_out
from governance.usedesk.deeds import CITED, FOR_GOOD, Deed
from governance.usedesk.models import DeskRules, MadeUse, RequestItem, UseItem
from governance.usedesk.queries.material import Material, among, of_country, of_owner, undated
from governance.usedesk.queries.whereabouts import gone, still_out

SITES_SHOWN: Final = 6
VAGUE_SHOWN: Final = 3
CITED_SHOWN: Final = 100
NAMES_SHOWN: Final = 300
USED_UP: Final = "used-up"


@dataclass(frozen=True)
class AccessionRow:
    """What was taken and came in together. first_on, last_on: of the records whose day is known. vague: first and last
    day within which others were taken; more_vague: how many such are not named. sites: names; more_sites: how many are
    not named here. withheld: some place is kept back. gone: by deed, or ``USED_UP``, how many are here no longer. uses:
    by deed, how many."""

    number: str
    count: int
    first_on: date | None
    last_on: date | None
    vague: tuple[tuple[date, date], ...]
    more_vague: int
    sites: tuple[str, ...]
    more_sites: int
    withheld: bool
    out: int
    gone: Mapping[str, int]
    uses: Mapping[str, int]

    @property
    def here(self) -> int:
        return self.count - self.out - sum(self.gone.values())


@dataclass(frozen=True)
class Counts:
    """Numbers at the top; uses by deed: specimens, of publications and data entries."""

    specimens: int
    accessions: int
    out: int
    gone: Mapping[str, int]
    uses: Mapping[str, int]

    @property
    def here(self) -> int:
        return self.specimens - self.out - sum(self.gone.values())


@dataclass(frozen=True)
class NameRow:
    """A name, and how many records have it. is_italic: as it is set."""

    name: str
    count: int
    is_italic: bool


@dataclass(frozen=True)
class Named:
    """What was taken, by name, in the order of the alphabet. more: names that are not listed; nameless: records without
    a name."""

    rows: tuple[NameRow, ...]
    more: int
    nameless: int


@dataclass(frozen=True)
class Deposited:
    """What was deposited in the country, in records. places: depository and how many. apart: how many of all were never
    entered here, so that the numbers at the top do not hold them."""

    count: int
    places: tuple[tuple[str, int], ...]
    apart: int


@dataclass(frozen=True)
class Offered:
    """An issued report with its files; withdrawn ones name no file."""

    report: Any
    files: tuple[Any, ...]


def material_of(link: ShareLink) -> Material:
    """The material of a link."""
    if link.agent is not None:
        return of_owner(link.agent)
    return _of_paper(link.paper_id) if link.paper_id is not None else of_country(link.country)


def _of_paper(paper: int) -> Material:
    """What a paper bears on by itself."""
    keys = specimens_under([paper])[paper]
    return Material(
        "paper", paper, UseItem.objects.filter(among("specimen", keys)).order_by(),
        RequestItem.objects.filter(among("specimen", keys)).order_by(), lambda path: among(f"{path}pk", keys),
    )  # fmt: skip


def specimens_of(material: Material) -> QuerySet[Specimen]:
    """The specimens themselves; what was taken from them and lies elsewhere is told with its uses alone."""
    return Specimen.objects.filter(material.where("") if material.where else Q(pk__in=[])).order_by()


def counts(material: Material) -> Counts:
    """The numbers at the top: five queries."""
    own = specimens_of(material).aggregate(n=Count("pk"), accessions=Count("accession", distinct=True))
    out = still_out(rows=_items(material)).aggregate(n=Count("specimen", distinct=True))["n"]
    found = _gone(_items(material))
    return Counts(own["n"], own["accessions"], out, Counter(found.values()), _uses(material))


def named(material: Material, kept: Secrecy) -> Named:
    """The list of names, with and without author under one. A name may hold that of an owner."""
    found: dict[str, Counter[tuple[str, str]]] = defaultdict(Counter)
    for shown, rank, n in specimens_of(material).values_list("name__shown", "name__rank").annotate(n=Count("pk")):
        found[taxon_key(shown)][shown, rank] += n
    nameless = found.pop("", Counter()).total()
    rows = [_name_row(found[key], kept) for key in sorted(found)[:NAMES_SHOWN]]
    return Named(tuple(rows), max(len(found) - NAMES_SHOWN, 0), nameless)


def _name_row(spellings: Counter[tuple[str, str]], kept: Secrecy) -> NameRow:
    """By the spelling that most records have, of several the first of the alphabet."""
    shown, rank = min(spellings, key=lambda one: (-spellings[one], one))
    return NameRow(kept.masked(shown), spellings.total(), rank in ITALIC)


def _items(material: Material) -> QuerySet[UseItem]:
    """Items of the specimens themselves."""
    return UseItem.objects.filter(material.where("specimen__") if material.where else Q(pk__in=[])).order_by()


def _gone(items: QuerySet[UseItem]) -> dict[int, str]:
    """By specimen that is here no longer, the deed by which it went, or ``USED_UP``: one query."""
    rows = gone().filter(pk__in=items.values("pk")).order_by("use__on", "pk")
    return {
        specimen: deed if deed in FOR_GOOD else USED_UP for specimen, deed in rows.values_list("specimen", "use__deed")
    }


def _uses(material: Material) -> Mapping[str, int]:
    """By deed how many specimens, of publications and data how many entries: one query, and the walk over the items."""
    rows = material.items.filter(use__voided_at__isnull=True).values("use__deed")
    found = rows.annotate(n=Count("specimen", distinct=True), uses=Count("use", distinct=True))
    return _in_order({row["use__deed"]: row["uses"] if row["use__deed"] in CITED else row["n"] for row in found})


def _in_order(by_deed: Mapping[str, int]) -> dict[str, int]:
    return {deed.value: by_deed[deed] for deed in Deed if by_deed.get(deed)}


_KNOWN: Final = Q(event__reading=SamplingEvent.Reading.RUN)


def accession_numbers(material: Material) -> QuerySet[Specimen, Any]:
    """One row an accession, by its number, to be paged."""
    rows = specimens_of(material).values("accession", "accession__number")
    return rows.annotate(
        n=Count("pk"), first_on=Min("event__earliest_on", filter=_KNOWN), last_on=Max("event__latest_on", filter=_KNOWN)
    ).order_by("accession__number", "accession")  # fmt: skip


def accession_rows(material: Material, rows: Sequence[Mapping[str, Any]], kept: Secrecy) -> list[AccessionRow]:
    """The rows of a page with sites, whereabouts and uses: six queries."""
    keys = [row["accession"] for row in rows]
    sites, withheld = _sites(material, keys, kept)
    vague = _vague(material, keys)
    items = _items(material).filter(specimen__accession__in=keys)
    gone_by = _gone_by_accession(items)
    out = dict(still_out(rows=items).values_list("specimen__accession").annotate(n=Count("specimen", distinct=True)))
    uses = _uses_by_accession(items)
    return [
        AccessionRow(
            row["accession__number"], row["n"], row["first_on"], row["last_on"],
            tuple(vague[key][:VAGUE_SHOWN]), max(len(vague[key]) - VAGUE_SHOWN, 0),
            tuple(sites[key][:SITES_SHOWN]), max(len(sites[key]) - SITES_SHOWN, 0), key in withheld, out.get(key, 0),
            gone_by[key], _in_order(uses[key]),
        )
        for key, row in zip(keys, rows, strict=True)
    ]  # fmt: skip


def _vague(material: Material, keys: Collection[int]) -> Mapping[int, list[tuple[date, date]]]:
    """By accession the times of records of which no day is known."""
    rows = specimens_of(material).filter(accession__in=keys, event__reading=SamplingEvent.Reading.VAGUE)
    found: dict[int, list[tuple[date, date]]] = defaultdict(list)
    for accession, first, last in rows.values_list("accession", "event__earliest_on", "event__latest_on").distinct():
        if first and last:
            found[accession].append((first, last))
    return defaultdict(list, {key: sorted(times) for key, times in found.items()})


def _sites(material: Material, keys: Collection[int], kept: Secrecy) -> tuple[Mapping[int, list[str]], set[int]]:
    """By accession the names of its registered sites, and those of which some place is kept back."""
    columns = ("accession", "event__site__name", "event__site__code", "event__information_withheld")
    here = specimens_of(material).filter(accession__in=keys)
    secret = among("pk", kept.secret)
    withheld = set(here.filter(secret).values_list("accession", flat=True).distinct())
    rows = here.exclude(secret).values_list(*columns).distinct()
    found: dict[int, set[str]] = defaultdict(set)
    for accession, name, code, kept_back in rows:
        if kept_back:
            withheld.add(accession)
        elif name or code:
            found[accession].add(kept.masked(name or code))
    return defaultdict(list, {key: sorted(names) for key, names in found.items()}), withheld


def _gone_by_accession(items: QuerySet[UseItem]) -> Mapping[int, Counter[str]]:
    found: dict[int, Counter[str]] = defaultdict(Counter)
    deeds = _gone(items)
    accession_of = dict(items.filter(among("specimen", deeds)).values_list("specimen", "specimen__accession"))
    for specimen, deed in deeds.items():
        found[accession_of[specimen]][deed] += 1
    return found


def _uses_by_accession(items: QuerySet[UseItem]) -> Mapping[int, dict[str, int]]:
    found: dict[int, dict[str, int]] = defaultdict(dict)
    rows = items.filter(use__voided_at__isnull=True).values("specimen__accession", "use__deed")
    for row in rows.annotate(n=Count("specimen", distinct=True), uses=Count("use", distinct=True)):
        deed = row["use__deed"]
        found[row["specimen__accession"]][deed] = row["uses"] if deed in CITED else row["n"]
    return found


def publications(material: Material) -> tuple[list[MadeUse], int]:
    """What was published with the material, newest first, and how many are not listed: two queries."""
    keys = material.items.filter(use__voided_at__isnull=True, use__deed__in=CITED).values("use")
    rows = MadeUse.objects.filter(pk__in=keys).only("on", "citation", "doi", "deed").order_by("-on", "-pk")
    total = rows.count()
    return list(rows[:CITED_SHOWN]), max(total - CITED_SHOWN, 0)


def masked(cited: Sequence[MadeUse], kept: Secrecy) -> list[MadeUse]:
    """Publications as the page names them."""
    for made in cited:
        made.citation = kept.masked(made.citation)
    return list(cited)


def deposited(link: ShareLink, kept: Secrecy) -> Deposited | None:
    """What was deposited in the country, of the country or the paper of a link; None: nothing. A landowner is told of
    their own land alone, which a deposit does not name. One query."""
    if link.agent_id is not None:
        return None
    found = [line for line in deposits(link.country, link.paper_id) if _may_be_told(line.deposit, link)]
    places: Counter[str] = Counter()
    for line in found:
        places[kept.masked(line.deposit.depository)] += line.count
    apart = sum(line.count for line in found if line.deposit.use_id is None)
    return Deposited(places.total(), tuple(places.most_common()), apart) if found else None


def _may_be_told(deposit: Any, link: ShareLink) -> bool:
    """Of a paper that is open to some roles only, its own page tells alone."""
    paper = deposit.paper
    return paper is None or paper.pk == link.paper_id or not is_restricted(paper)


def undated_of(link: ShareLink) -> int:
    """Records of a landowner's sites that are left out because nobody knows their day."""
    return undated(link.agent) if link.agent is not None else 0


def offered_reports(link: ShareLink) -> list[Offered]:
    """The issued reports of a link, newest first, without the bytes of their files; none that tells of a paper that was
    restricted since. Two queries, and one more for each that tells of papers."""
    rows = ShareReport.objects.filter(link=link, report__issued_at__isnull=False).select_related("report")
    reports = may_go_out(one.report for one in rows.defer("report__texts").order_by("-report"))
    files: dict[int, list[Any]] = defaultdict(list)
    for file in ReportFile.objects.filter(report__in=[one.pk for one in reports]).defer("data"):
        files[file.report_id].append(file)
    return [Offered(one, () if one.withdrawn_at else tuple(files[one.pk])) for one in reports]


def shared_file(link: ShareLink, report: int, form: str) -> ReportFile | None:
    """A file of a report that the link offers; None where it offers none such."""
    rows = ReportFile.objects.filter(
        report=report, format=form, report__shared_by__link=link, report__issued_at__isnull=False,
        report__withdrawn_at__isnull=True,
    )  # fmt: skip
    file = rows.select_related("report").first()
    return file if file is not None and may_go_out([file.report]) else None


def institution() -> str:
    """The name of the house, "" where it is not entered."""
    return DeskRules.objects.values_list("institution", flat=True).first() or ""
