"""The environment that runs the tests is the one that the pins name."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import distribution
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement

PROJECT = Path(__file__).resolve().parents[2]


def configuration() -> dict[str, Any]:
    return tomllib.loads((PROJECT / "pyproject.toml").read_text("utf-8"))


def normal(name: str) -> str:
    """One spelling a package (packaging.python.org, "Names and normalization")."""
    return re.sub(r"[-_.]+", "-", name).lower()


def pins() -> dict[str, str]:
    """Version by package, of the pins that hold on this Python."""
    requirements = [Requirement(text) for text in configuration()["tool"]["uv"]["constraint-dependencies"]]
    held = [r for r in requirements if r.marker is None or r.marker.evaluate()]
    return {normal(r.name): str(r.specifier).removeprefix("==") for r in held}


def direct() -> list[Requirement]:
    groups = configuration()["dependency-groups"]
    return [Requirement(text) for text in configuration()["project"]["dependencies"] + groups["dev"]]


def closure() -> Iterator[str]:
    """Names of all packages that the dependencies bring, as their own metadata say."""
    waiting = [(normal(r.name), extra) for r in direct() for extra in (r.extras or set()) | {""}]
    seen = set()
    while waiting:
        name, extra = waiting.pop()
        if (name, extra) in seen:
            continue
        seen.add((name, extra))
        for text in distribution(name).requires or []:
            r = Requirement(text)
            if r.marker is None or r.marker.evaluate({"extra": extra}):
                waiting += [(normal(r.name), wanted) for wanted in (r.extras or set()) | {""}]
    yield from sorted({name for name, _ in seen})


def test_every_package_is_pinned_exactly() -> None:
    for text in configuration()["tool"]["uv"]["constraint-dependencies"]:
        assert re.fullmatch(r"[a-z0-9-]+==[0-9][\w.]*( ; .+)?", text), text


def test_installed_versions_are_the_pinned_ones() -> None:
    """A difference means an environment that was not synced: uv sync."""
    pinned = pins()
    installed = {name: distribution(name).version for name in closure()}
    assert {name: (pinned.get(name), found) for name, found in installed.items() if pinned.get(name) != found} == {}


def test_nothing_is_brought_without_a_pin() -> None:
    """A missing pin lets a fresh install resolve to another release: .ci/pins.py."""
    assert [name for name in closure() if name not in pins()] == []


def test_direct_dependencies_say_what_for() -> None:
    text = (PROJECT / "pyproject.toml").read_text("utf-8")
    for requirement in direct():
        line = next(line for line in text.splitlines() if line.strip().startswith(f'"{requirement.name}'))
        assert re.search(r"# \w+", line), f"{requirement.name}: add a comment that says what for and where"


@pytest.mark.parametrize("pin", ["django==5.2.19", "numpy==2.4.6 ; python_full_version < '3.12'"])
def test_pins_are_replaced_whole(pin: str) -> None:
    """The writer keeps the rest of the file, and what it writes reads back."""
    before = '[tool.uv]\nconstraint-dependencies = [\n    "old==1",\n]\n[next]\na = 1\n'
    code = f"import pins; print(pins.with_pins({before!r}, [{pin!r}]))"
    result = subprocess.run(
        [sys.executable, "-c", code], cwd=PROJECT / ".ci", capture_output=True, text=True, check=True
    )
    read = tomllib.loads(result.stdout)
    assert read == {"tool": {"uv": {"constraint-dependencies": [pin]}}, "next": {"a": 1}}
