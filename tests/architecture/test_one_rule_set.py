"""Field plans have no rules of their own: whatever is a verdict comes from the engine, which judges specimens too.

Read from the source text. It cannot show that a module does not reckon in a roundabout way; that stops come out as
specimens do is shown by tests/spec/test_planned.py and tests/generative/test_plans_agree.py.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parents[2]
PLANS = PROJECT / "governance" / "plans"

PREDICATES = frozenset({
    "contains", "contains_properly", "contains_xy", "covers", "covered_by", "crosses", "disjoint", "dwithin",
    "intersects", "intersects_xy", "overlaps", "touches", "within",
})  # fmt: skip
"""Questions of one shape to another."""

TERMS = frozenset({
    "include_places", "exclude_places", "include_taxa", "exclude_taxa", "VersionPlace", "VersionTaxon", "VersionCap",
    "VersionWord", "VersionPerson", "VersionSeason",
})  # fmt: skip
"""What a paper allows."""

DAYS = frozenset({"in_force_from", "in_force_to", "from_day", "to_day", "revoked_day", "suspensions", "closed_seasons"})
"""The days of a paper: to put them before or after another day is a rule."""

MADE_BY = {"Answer": "governance.plans.judging", "CheckedCell": "governance.plans.queries.cells"}
"""What carries a verdict, and the one module that makes it."""

ALLOWED: dict[str, str] = {
    "pack/": "writes out what papers say, and draws it",
    "queries/offered.py": "words that papers use, offered when a method is typed",
    "queries/plan_map.py": "draws the areas of papers that hold on the days of the plan",
    "queries/loading.py": "boundaries of sites, not of papers: which the stop takes as its own",
    "advice/taking.py": "chooses what to try; the engine says whether it helps",
    "advice/places.py": "chooses what to try; the engine says whether it helps",
}
"""Modules that look at a paper's terms or shapes without judging by them, and why."""


def offences(source: str, module: str = "governance.plans.x") -> Iterator[str]:
    """What in a module reads as a rule of its own."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in PREDICATES:
            yield f"line {node.lineno}: asks a shape .{node.func.attr}()"
        if isinstance(node, ast.Attribute | ast.alias) and _name(node) in TERMS:
            yield f"line {node.lineno}: looks at {_name(node)}"
        if isinstance(node, ast.Compare) and any(
            isinstance(op, ast.Lt | ast.LtE | ast.Gt | ast.GtE) for op in node.ops
        ):
            for part in ast.walk(node):
                if isinstance(part, ast.Attribute | ast.Name) and _name(part) in DAYS:
                    yield f"line {part.lineno}: compares {_name(part)}"
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            maker = MADE_BY.get(node.func.id)
            if maker and maker != module and _is_imported(source, node.func.id):
                yield f"line {node.lineno}: makes a {node.func.id}"


def _name(node: ast.Attribute | ast.Name | ast.alias) -> str:
    if isinstance(node, ast.alias):
        return node.name
    return node.attr if isinstance(node, ast.Attribute) else node.id


def _is_imported(source: str, name: str) -> bool:
    """Whether a name is that of the room: a module may call something of its own by the same name."""
    imports = (node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.ImportFrom))
    return any((node.module or "").startswith("governance.plans") and name in [a.name for a in node.names]
               for node in imports)  # fmt: skip


def modules() -> list[Path]:
    return [path for path in sorted(PLANS.rglob("*.py")) if "migrations" not in path.parts]


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(PLANS)))
def test_no_second_rule_set(path: Path) -> None:
    inside = str(path.relative_to(PLANS))
    if any(inside.startswith(allowed) for allowed in ALLOWED):
        return
    module = "governance.plans." + inside.removesuffix(".py").replace("/", ".")
    found = list(offences(path.read_text("utf-8"), module))
    assert not found, f"{inside}: {'; '.join(found)}. Ask the engine (Bench.judge), or say above why it is no rule."


@pytest.mark.parametrize(
    ("source", "offence"),
    [
        ("ok = version.in_force_to >= stop.last_on", "compares in_force_to"),
        ("if stop.first_on < version.in_force_from: pass", "compares in_force_from"),
        ("inside = area.contains(point)", "asks a shape .contains()"),
        ("from governance.papers.models import VersionCap", "looks at VersionCap"),
        ("places = version.include_places", "looks at include_places"),
        ("from governance.plans.judging import Answer\nAnswer(row, 0, 0, (0, 0), x)", "makes a Answer"),
    ],
)
def test_a_rule_would_be_seen(source: str, offence: str) -> None:
    """The search itself: each kind of rule is found, so that finding none says something."""
    assert [found.partition(": ")[2] for found in offences(source)] == [offence]


def test_what_is_no_rule_is_not_taken_for_one() -> None:
    source = "days = version.in_force_to\nlate = need.start_by < today\nsame = version.in_force_from == day\n"
    assert list(offences(source)) == []


def test_exceptions_are_still_needed() -> None:
    """An exception that is no longer needed would hide the next rule."""
    for inside in ALLOWED:
        paths = [PLANS / inside] if inside.endswith(".py") else sorted((PLANS / inside).rglob("*.py"))
        assert any(list(offences(path.read_text("utf-8"))) for path in paths if path.exists()), inside


def test_the_engine_is_asked() -> None:
    """Exactly one module of the room hands material to the engine."""
    asking = [
        str(path.relative_to(PLANS)) for path in modules()
        if any(isinstance(node, ast.ImportFrom) and node.module in ("governance.engine", "governance.engine.assess")
               and "assess" in [alias.name for alias in node.names] for node in ast.walk(ast.parse(path.read_text())))
    ]  # fmt: skip
    assert asking == ["judging.py"]
