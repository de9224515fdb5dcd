"""Who may import whom: the contracts of pyproject.toml, and the pure packages in a process without Django."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parents[2]
PURE = ["governance.engine", "governance.jurisdictions", "accessions.values"]
FRAMEWORK = ["django", "environ", "psycopg", "simple_history"]

IMPORT_ALL = """
import importlib, pkgutil, sys

class Absent:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in {framework}:
            raise ModuleNotFoundError(name + " is absent in this process", name=name)

sys.meta_path.insert(0, Absent())
package = importlib.import_module({package!r})
for module in pkgutil.walk_packages(package.__path__, {package!r} + "."):
    importlib.import_module(module.name)
print(*sorted(sys.modules))
"""


def run_python(code: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", code], cwd=PROJECT, capture_output=True, text=True, timeout=120)


def test_import_contracts_hold() -> None:
    """The layers of DEVELOPERS.md; the report names each import that breaks one."""
    code = "from importlinter.cli import lint_imports_command; lint_imports_command()"
    result = subprocess.run(
        [sys.executable, "-c", code, "--no-cache"], cwd=PROJECT, capture_output=True, text=True, timeout=300
    )
    assert result.returncode == 0, result.stdout + result.stderr
    assert "0 broken" in result.stdout


@pytest.mark.parametrize("package", PURE)
def test_pure_package_imports_without_django(package: str) -> None:
    """Every module of it, so that the engine can run in a batch elsewhere; the other pure packages stay out too."""
    result = run_python(IMPORT_ALL.format(framework=FRAMEWORK, package=package))
    assert result.returncode == 0, result.stderr
    loaded = result.stdout.split()
    assert package in loaded
    strangers = [
        name for name in loaded if name.startswith(("accessions.", "governance.")) and not name.startswith(package)
    ]
    assert strangers == []


@pytest.mark.parametrize("name", FRAMEWORK)
def test_absence_is_real(name: str) -> None:
    """The blocker of the test above does block: without this, that test could not fail."""
    code = IMPORT_ALL.format(framework=FRAMEWORK, package="governance").split("package =")[0] + f"import {name}"
    result = run_python(code)
    assert result.returncode == 1
    assert f"{name} is absent in this process" in result.stderr
