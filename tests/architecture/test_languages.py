"""What must be so in the source that every text can be read in another language.

Which texts are not wrapped at all is found by looking at the pages: tests/integration/test_languages.py.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import yaml
from django.utils import translation
from django.utils.dates import MONTHS

from accessions.intake import problem_words
from accessions.material import hints
from governance.config.formats.es import formats
from governance.config.management.commands.makemessages import Command as Makemessages
from governance.duties.queries import annex

PROJECT = Path(__file__).resolve().parents[2]
TRANSLATION = "django.utils.translation"
AT_ONCE = {"gettext", "ngettext", "pgettext", "npgettext"}
"""Functions that translate where they stand; those that end in ``_lazy`` wait until the text is shown."""


@cache
def modules() -> list[tuple[str, ast.Module]]:
    paths = [path for room in ("accessions", "governance") for path in sorted((PROJECT / room).rglob("*.py"))]
    return [
        (path.relative_to(PROJECT).as_posix(), ast.parse(path.read_text("utf-8")))
        for path in paths
        if "migrations" not in path.parts
    ]


def names_of(tree: ast.Module, functions: set[str]) -> set[str]:
    """The names under which a module has imported some of the functions of translation."""
    return {
        alias.asname or alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module == TRANSLATION
        for alias in node.names
        if alias.name in functions
    }


def run_on_import(tree: ast.AST) -> Iterator[ast.expr]:
    """The expressions that run when a module is imported: not those inside a function."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            continue
        if isinstance(node, ast.expr):
            yield node
        yield from run_on_import(node)


def called(node: ast.AST, names: set[str]) -> bool:
    return isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in names


def test_no_text_is_translated_on_import() -> None:
    """It would stand in the language of whoever came first, for everybody."""
    found = []
    for name, tree in modules():
        at_once, lazy = names_of(tree, AT_ONCE), names_of(tree, {f"{one}_lazy" for one in AT_ONCE})
        for node in run_on_import(tree):
            is_filled = isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mod) and called(node.left, lazy)
            if called(node, at_once) or is_filled:
                found.append(f"{name}:{node.lineno}")
    assert not found


def test_no_text_is_put_together_before_it_is_translated() -> None:
    """``_(f"...")`` or ``_("a" + b)`` is found by no tool, and so by no translator."""
    found = []
    for name, tree in modules():
        functions = names_of(tree, AT_ONCE | {f"{one}_lazy" for one in AT_ONCE})
        for node in ast.walk(tree):
            if called(node, functions) and isinstance(node, ast.Call):
                texts = node.args[:2] if len(node.args) > 1 else node.args
                if any(isinstance(text, ast.JoinedStr) for text in texts):
                    found.append(f"{name}:{node.lineno}")
    assert not found


def words_of(node: ast.expr) -> str | None:
    """A text as its readers see it, with a figure for what is filled in; None where it is no text."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(str(one.value) if isinstance(one, ast.Constant) else "7" for one in node.values)
    return None


def said_by(folder: str, makers: set[str]) -> Iterator[tuple[str, str]]:
    """The texts that the modules of a folder give to some classes and functions: place and words."""
    for name, tree in modules():
        if not name.startswith(folder):
            continue
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call):
                continue
            maker = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            if maker in makers:
                given = [*node.args, *(keyword.value for keyword in node.keywords)]
                for text in (words_of(one) for part in given for one in alternatives(part)):
                    if text and " " in text:
                        yield f"{name}:{node.lineno}", text


def alternatives(node: ast.expr) -> list[ast.expr]:
    return [node.body, node.orelse] if isinstance(node, ast.IfExp) else [node]


def test_every_clause_of_a_reader_of_values_can_be_said_anew() -> None:
    makers = {"DateProblem", "PositionProblem", "DateRead", "CountRead", "FootprintRead", "PositionRead", "_unbounded"}
    clauses = [*said_by("accessions/values/", makers), *said_by("accessions/material/reading.py", {"append"})]
    assert len(clauses) > 80
    assert not [one for one in clauses if not hints.ALL.knows(one[1])]


def test_every_problem_of_a_file_can_be_said_anew() -> None:
    """Those whose words are put together from other words are left out: they stand in no source as a whole."""
    told = [*said_by("accessions/intake/", {"Problem", "RowProblem", "refusal", "_meta_problem"})]
    told = [one for one in told if one[0].split(":")[0] not in ON_THE_COMMAND_LINE and one[1] not in PUT_TOGETHER]
    assert len(told) > 90
    assert not [one for one in told if not problem_words.ALL.knows(one[1])]


PUT_TOGETHER = {
    "7 stands in 7 7 too": "row or rows: both are in the list",
    "7: 7": "a cell as written, and a clause of a reader of values",
    "7 7: 7": "a number, a kind of cell, and where: each kind is in the list",
    "7=7 on <7>": "an attribute of meta.xml as written",
    "fieldsTerminatedBy=7, fieldsEnclosedBy=7": "the same",
    "Lines end with \\n, \\r\\n or \\r.": "marks of meta.xml",
}
"""Sentences that stand in the source only in pieces, or have no words of a language, each with the reason."""

ON_THE_COMMAND_LINE = {
    "accessions/intake/specimens.py", "accessions/intake/taxa.py", "accessions/intake/actions/commit.py",
}  # fmt: skip
"""They speak to whoever gives a command, and not on pages."""


def test_the_benefits_are_told_to_translators_as_the_file_has_them() -> None:
    kept = (PROJECT / "governance/jurisdictions/data/benefit_letters.yaml").read_text("utf-8")
    assert list(annex.TEXTS) == [one["text"] for one in yaml.safe_load(kept)["benefits"]]


def test_every_day_with_the_name_of_a_month_has_a_spanish_order() -> None:
    """Letters of a format that Django documents as words: F, M and N months; a comma or a word between is no order."""
    asked: set[str] = set()
    for path in (PROJECT / "templates").rglob("*.html"):
        asked.update(re.findall(r'\|date:"([^"]+)"', path.read_text("utf-8")))
    for _, tree in modules():
        for node in ast.walk(tree):
            if called(node, {"date_format"}) and isinstance(node, ast.Call):
                texts = [one for part in node.args[1:] for one in alternatives(part)]
                asked.update(one.value for one in texts if isinstance(one, ast.Constant) and isinstance(one.value, str))
    with_months = {one for one in asked if re.search("[FMN]", one)}
    assert len(with_months) >= 8
    assert with_months <= set(formats.IN_PLACE_OF)


def test_the_tool_knows_by_which_names_modules_call_a_translation() -> None:
    """A text behind another name is in no catalogue: nobody translates it, and nothing says so."""
    functions = AT_ONCE | {f"{one}_lazy" for one in AT_ONCE}
    known = {one.removeprefix("--keyword=") for one in Makemessages.xgettext_options}
    assert {name for _, tree in modules() for name in names_of(tree, functions)} <= known | functions | {"_"}


def test_no_text_of_ours_changes_the_name_of_a_month() -> None:
    """Django asks the same catalogue for “May”: a button or a column of that name would stand in every date."""
    spanish = yaml.safe_load((PROJECT / "governance/papers/printed/words/es.yaml").read_text("utf-8"))["months"]
    with translation.override("es"):
        assert [str(name) for name in MONTHS.values()] == spanish
