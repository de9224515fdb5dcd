"""Writes the pins: every package, direct and transitive, as ``name==version`` under ``[tool.uv]`` in pyproject.toml.

    uv run --no-sync .ci/pins.py            after a change of the dependencies: keep the pins that still hold
    uv run --no-sync .ci/pins.py --upgrade  take the newest releases that the dependencies allow
    uv run --no-sync .ci/pins.py --check    exit 1 if the pins are not what this would write

The lock file of uv names hosts and stays out of the repository; these pins take its place for all Python versions
that ``requires-python`` allows. An entry with a marker holds only there: for older Pythons some packages have other
releases.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
from pathlib import Path

PROJECT = Path(__file__).resolve().parent.parent
PYPROJECT = PROJECT / "pyproject.toml"
PINS = re.compile(r"^constraint-dependencies = \[.*?\]$", re.MULTILINE | re.DOTALL)
EXPORT = ["uv", "export", "--quiet", "--no-hashes", "--no-header", "--no-annotate", "--all-groups", "--all-extras"]


def with_pins(document: str, pins: list[str]) -> str:
    """The text of pyproject.toml with its pins replaced.

    Raises:
        SystemExit: the document has no ``constraint-dependencies`` to replace, or more than one.
    """
    lines = "".join(f'    "{pin}",\n' for pin in pins)
    block = f"constraint-dependencies = [\n{lines}]" if pins else "constraint-dependencies = []"
    written, count = PINS.subn(lambda _: block, document)
    if count != 1:
        sys.exit(f"{PYPROJECT.name}: found {count} lists constraint-dependencies, expected one under [tool.uv]")
    return written


def exported() -> list[str]:
    """The requirements that uv resolved, one ``name==version [; marker]`` each, quotes as TOML strings take them."""
    output = subprocess.run(EXPORT, cwd=PROJECT, check=True, capture_output=True, text=True).stdout
    lines = [line.strip().replace('"', "'") for line in output.splitlines()]
    # Extras belong to the requirement, not to the pin: psycopg[binary]==3 pins psycopg.
    return sorted(re.sub(r"\[[^]]*\]", "", line) for line in lines if line and not line.startswith(("#", "-")))


def main() -> int:
    parser = argparse.ArgumentParser(description="Write the pins into pyproject.toml")
    parser.add_argument("--upgrade", action="store_true", help="forget the present pins and take the newest releases")
    parser.add_argument("--check", action="store_true", help="change nothing; exit 1 if the pins would change")
    arguments = parser.parse_args()
    before = PYPROJECT.read_text("utf-8")
    try:
        if arguments.upgrade:
            PYPROJECT.write_text(with_pins(before, []), "utf-8")
        subprocess.run(
            ["uv", "lock", "--quiet", *(["--upgrade"] if arguments.upgrade else [])], cwd=PROJECT, check=True
        )
        after = with_pins(before, exported())
    except BaseException:
        PYPROJECT.write_text(before, "utf-8")
        raise
    PYPROJECT.write_text(before if arguments.check else after, "utf-8")
    if after == before:
        print("The pins are up to date.")
        return 0
    print("The pins are out of date: run .ci/pins.py" if arguments.check else "Pins written; run uv sync.")
    return 1 if arguments.check else 0


if __name__ == "__main__":
    sys.exit(main())
