"""FIELDWRIT_NO_SKIPS=1 lets no skip pass: on the machine that is to run everything, a skip is a hole."""

from __future__ import annotations

from pathlib import Path

import pytest

pytest_plugins = ["pytester"]

SKIPS = """
import pytest

def test_skips():
    pytest.skip("no server here")

@pytest.mark.xfail(reason="known", strict=True)
def test_expected_failure():
    assert 1 == 2

def test_passes():
    assert 1 == 1
"""
SKIPS_AS_A_WHOLE = "import pytest\npytest.importorskip('no_such_module_anywhere')\n"


@pytest.fixture
def inner(pytester: pytest.Pytester) -> pytest.Pytester:
    """A small test run of its own, under the project's conftest."""
    source = Path(__file__).resolve().parents[1] / "conftest.py"
    pytester.makeconftest(source.read_text("utf-8"))
    pytester.makepyfile(test_some=SKIPS, test_whole=SKIPS_AS_A_WHOLE)
    return pytester


def run(inner: pytest.Pytester) -> tuple[dict[str, int], str]:
    result = inner.runpytest_subprocess("-p", "no:randomly", "-p", "no:django", "-rs")
    return result.parseoutcomes(), result.stdout.str()


def test_skips_pass_without_the_variable(inner: pytest.Pytester, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("FIELDWRIT_NO_SKIPS", raising=False)
    outcomes, output = run(inner)
    assert outcomes == {"passed": 1, "skipped": 2, "xfailed": 1}
    assert "no server here" in output


def test_skips_fail_with_the_variable(inner: pytest.Pytester, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a single test and of a whole file; the file counts as an error, which stops the run unless told to go on."""
    monkeypatch.setenv("FIELDWRIT_NO_SKIPS", "1")
    result = inner.runpytest_subprocess("-p", "no:randomly", "-p", "no:django", "--continue-on-collection-errors")
    assert result.parseoutcomes() == {"passed": 1, "failed": 1, "xfailed": 1, "errors": 1}
    assert "allows no skip: Skipped: no server here" in result.stdout.str()
