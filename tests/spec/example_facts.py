"""A case of the tables as facts that a page can show: terms with their values, none of them in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from governance.engine.tables import Finding
from tests.factories.engine import a_list
from tests.spec.examples_judged import DEFAULTS, PAPERS, WRITTEN, Judged

Row = Mapping[str, Any]
Fact = list[Any]

_LIMITS: Mapping[str, Sequence[str]] = {
    "date": ("start", "end", "closed", "suspended", "revoked"),
    "place": ("places", "not_places"),
    "taxon": ("taxa", "not_taxa"),
    "methods": ("methods",), "people": ("people",), "sexes": ("sexes",), "stages": ("stages",),
    "count": ("caps",),
}  # fmt: skip
"""Terms of a paper that make a term of the record worth showing although the case leaves it as it is."""

_DAYS = ("date", "exported", "imported", "transferred")
_LISTS = ("methods", "people", "sexes", "stages", "site")


def of_case(one: Judged) -> dict[str, Any]:
    """One example of the file."""
    rule = one.case.rule
    return {
        "section": str(rule["section"]), "rule": one.rule, "case": _case_name(one),
        "source": rule.get("source", ""), "layer": one.layer.code,
        "papers": [_paper(PAPERS[k], row, one) for k, row in enumerate(one.papers)],
        "records": [list(_record(row, one)) for row in one.rows], "shown": one.shown,
        "beside": list(_beside(rule)), "verdict": one.verdict.code, "by": list(one.by),
        "findings": [_finding(finding, sentence) for finding, sentence in one.explained],
    }  # fmt: skip


def _finding(finding: Finding, sentence: str) -> dict[str, Any]:
    return {
        "code": finding.code, "measure": _rounded(finding.measure), "against": _rounded(finding.against),
        "unit": finding.unit, "sentence": sentence,
    }  # fmt: skip


def _case_name(one: Judged) -> str:
    return str(one.case).partition(f" - {one.rule} - ")[2]


def _rounded(value: float | None) -> float | None:
    """To the millimetre: the engine's last digits may differ from one machine to the next."""
    return None if value is None else round(value, 3)


def _record(row: Row, one: Judged) -> Iterator[Fact]:
    limited = {key for paper in one.papers for version in _versions(paper) for key in (*version, *paper)}
    for term, keys in _LIMITS.items():
        if term not in row and limited.intersection(keys) and not (term == "date" and one.layer.code in _OWN_DAY):
            row = {**row, term: DEFAULTS.get(term, "")}
    if len(one.rows) > 1 and "caps" in limited:
        row = {"date": DEFAULTS["date"], **row}
    if not set(row) - {"accession"}:
        row = {**{term: DEFAULTS[term] for term in ("date", "place", "taxon")}, **row}
    for term in sorted(row, key=_ORDER.index):
        yield from _term(term, row[term])


_OWN_DAY = ("export", "import", "cites", "transfer")
_ORDER = (
    "catalog", "accession", "event", "date", "exported", "imported", "transferred", "country", "subdivision", "site",
    "place", "centre", "precision_radius_m", "datum_known", "generalized", "taxon", "qualified", "methods", "people",
    "sexes", "stages", "count",
)  # fmt: skip


def _term(term: str, value: Any) -> Iterator[Fact]:
    if term == "place":
        yield from _place(value)
    elif term in _DAYS:
        yield [term, [WRITTEN.get(str(value), str(value))]]
        if value == "conflict":
            yield ["label", [True]]
    elif term == "taxon":
        yield [term, [name.rpartition(":")[2].strip() for name in str(value).split(">") if name.strip()]]
    elif term in _LISTS:
        yield [term, list(a_list(value))]
    elif term == "count":
        bounds = value if isinstance(value, list) else [value]
        yield [term, [str(part) for part in bounds if part is not None]]
    elif term in ("datum_known", "generalized", "qualified"):
        yield [term, [bool(value)]]
    elif term == "centre":
        yield [term, list(value)]
    else:
        yield [term, [value] if value != "" else []]


def _place(place: Any) -> Iterator[Fact]:
    if isinstance(place, list):
        yield ["point", [place[1], place[0]]]
        yield ["radius", [place[2]] if len(place) > 2 else []]
    elif place == "invalid":
        yield ["written", [WRITTEN[place]]]
    elif place:
        yield ["footprint", [_item(place)]]
    else:
        yield ["point", []]


def _paper(reference: str, row: Row, one: Judged) -> dict[str, Any]:
    versions = [list(_version({**{"start": "2023-01-01", "end": None}, **v}, row)) for v in _versions(row)]
    facts: list[Fact] = [[key, [row[key]]] for key in ("kind", "layers", "holder") if key in row]
    if row.get("jurisdiction", "CR") and any(v.get("places") == [] for v in (row, *_versions(row))):
        facts.append(["jurisdiction", [row.get("jurisdiction", "CR")]])
    facts += [["suspended", [run.partition("/")[::2]]] for run in row.get("suspended", ())]
    facts += [["revoked", [row["revoked"]]] for _ in "1" if row.get("revoked")]
    if "covers" in row:
        facts.append(["covers", [[kind, *keys] for kind, keys in row["covers"].items()]])
    return {"reference": reference, "facts": facts, "versions": versions}


def _versions(paper: Row) -> Sequence[Row]:
    of_paper = {k: v for k, v in paper.items() if k in _OF_VERSION}
    return paper.get("versions", [of_paper])  # type: ignore[no-any-return]


_OF_VERSION = (
    "start", "end", "places", "not_places", "taxa", "not_taxa", "methods", "sexes", "stages", "people", "assistants",
    "closed", "caps",
)  # fmt: skip


def _version(version: Row, paper: Row) -> Iterator[Fact]:
    yield ["valid", [version["start"], version["end"]]]
    for term in _OF_VERSION[2:]:
        if term not in version or version[term] == []:
            continue
        value = version[term]
        if term in ("places", "not_places"):
            yield [term, [_item(text) for text in value]]
        elif term == "closed":
            yield [term, [season.split("/") for season in value]]
        elif term == "caps":
            yield [term, [_cap(str(cap)) for cap in value]]
        elif term in ("methods", "sexes", "stages"):
            yield from _words(term, value)
        else:
            yield [term, [value] if isinstance(value, str) else list(value)]


def _words(term: str, value: Sequence[str]) -> Iterator[Fact]:
    allowed = [word for word in value if not word.startswith("not ")]
    if allowed:
        yield [term, allowed]
    if len(allowed) < len(value):
        yield [f"not_{term}", [word.removeprefix("not ") for word in value if word.startswith("not ")]]


def _cap(text: str) -> dict[str, Any]:
    rest, _, per = text.partition(" per ")
    each, rest = " each species" in rest, rest.replace(" each species", "")
    limit, _, taxon = rest.partition(" of ")
    return {"limit": int(limit), "taxon": taxon, "each": each, "per": per or "paper"}


def _item(text: str) -> dict[str, Any]:
    """A place of the notation: what it names, and numbers of a shape."""
    words, made = str(text).split(), dict[str, Any]()
    while words:
        key = words.pop(0)
        if key in ("country", "subdivision", "site"):
            made[key] = words.pop(0)
        elif key == "error":
            made["error"] = float(words.pop(0))
        elif key in ("disc", "box"):
            made[key] = [float(words.pop(0)) for _ in range(3 if key == "disc" else 4)]
        else:
            made["drawn"], words = True, []
    return made


def _beside(rule: Row) -> Iterator[Fact]:
    """What else the verdict rests on: rules, decisions, searches, outlines of countries, house rules."""
    for text in rule.get("rules") or ():
        layer, country, word, *days = text.split()
        first, _, last = (days[0] if days else "../..").partition("/")
        yield ["rule", [layer, country, word, first, last]]
    if rule.get("rules") == []:
        yield ["rule", []]
    for text in rule.get("decided", ()):
        yield ["decided", text.split(maxsplit=1)]
    if rule.get("search"):
        yield ["search", [rule["search"]]]
    for kind in ("countries", "subdivisions"):
        for code, shape in rule.get(kind, {}).items():
            yield ["outline", [code, _item(shape.split("+")[0])]]
    for key, value in rule.get("house", {}).items():
        yield [key, [value]]
