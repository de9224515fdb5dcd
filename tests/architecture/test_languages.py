"""What must be so in the source that every text can be read in another language.

Which texts are not wrapped at all is found by looking at the pages: tests/integration/test_languages.py.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

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
