"""The folders are the map of the job: nothing at the top that is not on the list, no room without its place."""

from __future__ import annotations

import re
import subprocess
import tomllib
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]

TOP_LEVEL = {
    ".ci",
    ".editorconfig",
    ".gitignore",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "accessions",
    "fixtures",
    "governance",
    "manage.py",
    "pyproject.toml",
    "templates",
    "tests",
}
KINDS_OF_TEST = {
    "architecture", "bad_data", "bench", "browser", "data", "factories", "functional", "generative", "golden",
    "integration", "outside", "spec", "unit",
}  # fmt: skip
NOT_A_NAME = {"utils", "util", "helpers", "helper", "misc", "common", "tools", "stuff"}
NO_ROOM = {"docs"}


def files_of_the_project() -> list[Path]:
    """The files that a commit would hold: known to git, or new and not ignored."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=PROJECT, capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    return [Path(name) for name in listed.split("\0") if name and (PROJECT / name).exists()]


def contracts() -> list[dict[str, list[str]]]:
    configuration = tomllib.loads((PROJECT / "pyproject.toml").read_text("utf-8"))
    found: list[dict[str, list[str]]] = configuration["tool"]["importlinter"]["contracts"]
    return found


def rooms() -> set[str]:
    """Packages and modules right below the two halves."""
    found = set()
    for half in ("accessions", "governance"):
        for path in (PROJECT / half).iterdir():
            is_package = path.is_dir() and any(path.rglob("*.py"))
            is_module = path.suffix == ".py" and path.name != "__init__.py"
            if (is_package or is_module) and path.name not in NO_ROOM:
                found.add(f"{half}.{path.stem}")
    return found


def test_top_level_holds_only_what_is_listed() -> None:
    strangers = {path.parts[0] for path in files_of_the_project()} - TOP_LEVEL
    assert strangers == set(), "put it into a room, or add it to TOP_LEVEL with a reason"


def test_tests_are_sorted_by_kind() -> None:
    kinds = {path.parts[1] for path in files_of_the_project() if path.parts[0] == "tests" and len(path.parts) > 2}
    assert "architecture" in kinds
    assert kinds <= KINDS_OF_TEST


def test_every_room_has_a_layer() -> None:
    """A room that no contract names could import anything."""
    layers = contracts()[0]["layers"]
    named = {name.strip(" ()") for layer in layers for name in layer.split("|")}
    assert "governance.engine" in rooms()
    assert rooms() - named == set()


def test_every_django_room_has_layers_within() -> None:
    apps = {name for name in rooms() if (PROJECT / name.replace(".", "/") / "apps.py").exists()}
    assert "governance.verdicts" in apps
    assert apps - {"governance.config"} == set(contracts()[4]["containers"])


def test_modules_are_named_after_the_domain() -> None:
    python = [path for path in files_of_the_project() if path.suffix == ".py"]
    assert Path("manage.py") in python
    assert [str(path) for path in python if NOT_A_NAME & set(path.with_suffix("").parts)] == []


def test_no_host_of_a_registry_is_named() -> None:
    """The lock of uv names hosts, so it stays out; the pins take its place."""
    assert Path("uv.lock") not in files_of_the_project()
    assert not re.search("https?://", (PROJECT / "pyproject.toml").read_text("utf-8"))
