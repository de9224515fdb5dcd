"""The examples in docstrings give what they say."""

from __future__ import annotations

import doctest
from importlib import import_module
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]


def modules_with_examples() -> list[str]:
    files = [path for half in ("accessions", "governance") for path in sorted((PROJECT / half).rglob("*.py"))]
    names = [path.relative_to(PROJECT).with_suffix("") for path in files if ">>> " in path.read_text("utf-8")]
    return [".".join(name.parts).removesuffix(".__init__") for name in names]


def test_examples_in_docstrings_run() -> None:
    results = {name: doctest.testmod(import_module(name)) for name in modules_with_examples()}
    assert {name: result for name, result in results.items() if result.failed} == {}
    assert all(result.attempted for result in results.values()), "an example that is not in a docstring is not run"
