"""The worked examples as they are shipped: ``examples.json``, which ``python -m tests.spec.examples --write`` makes."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

Kept = Mapping[str, Any]

_FILE = Path(__file__).with_name("examples.json")


@cache
def _file() -> Kept:
    found: Kept = json.loads(_FILE.read_text("utf-8"))
    return found


def given(code: str) -> Sequence[Kept]:
    """The examples in which a finding is given."""
    return _cases(_file()["findings"][code]["given"])


def neighbours(code: str) -> Sequence[Kept]:
    """Their nearest cases in which it is not given."""
    return _cases(_file()["findings"][code]["beside"])


def of_verdict(code: str) -> Sequence[Kept]:
    """Examples of a verdict."""
    return _cases(_file()["verdicts"][code])


def of_layer(code: str) -> Sequence[Kept]:
    """Examples on a layer."""
    return _cases(_file()["layers"][code])


def of_answer(code: str) -> Sequence[Kept]:
    """Examples of an answer of the use desk, one for each reason that decides so."""
    found: Sequence[Kept] = _file()["answers"][code]
    return found


def _cases(names: Sequence[str]) -> Sequence[Kept]:
    cases = _file()["cases"]
    return [cases[name] for name in names]
