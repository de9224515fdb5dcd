"""The worked examples of the help pages are what these tables give, and what the engine says of them.

The file is made anew from the tables and compared; that its verdicts, findings and measures are right is shown by the
``expect`` of each case, which was written by hand from the contract.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from governance.engine.tables import CODES, Finding, Layer, LayerVerdict, Verdict
from governance.engine.uses import Answer
from tests.spec.examples import EXAMPLES, examples, written
from tests.spec.test_spec import CASES, differences
from tests.spec.uses_cases import use_cases


@pytest.fixture(scope="module")
def made() -> dict[str, Any]:
    return examples()


def test_file_is_as_the_tables_have_it(made: dict[str, Any]) -> None:
    """Else: ``python -m tests.spec.examples --write``."""
    assert EXAMPLES.read_text("utf-8") == written(made)


def test_every_page_has_an_example(made: dict[str, Any]) -> None:
    """And every finding has a case beside it that comes out otherwise, and a sentence of its own in each example."""
    assert list(made["findings"]) == [code for code in CODES if code]
    assert list(made["layers"]) == [layer.code for layer in Layer]
    assert list(made["verdicts"]) == [verdict.code for verdict in Verdict]
    assert list(made["answers"]) == [answer.code for answer in Answer]
    for code, pair in made["findings"].items():
        for name in pair["given"]:
            sentence = {f["code"]: f["sentence"] for f in made["cases"][name]["findings"]}[code]
            assert sentence.endswith(".")
        assert pair["given"] and pair["beside"], code
        assert all(code not in [f["code"] for f in made["cases"][name]["findings"]] for name in pair["beside"])
    for kind in ("layers", "verdicts"):
        for code, names in made[kind].items():
            assert names, code
            of = {made["cases"][name]["layer" if kind == "layers" else "verdict"] for name in names}
            assert of == {code}


def test_examples_say_what_the_tables_expect(made: dict[str, Any]) -> None:
    by_name = {str(case): case for case in CASES}
    for name, row in made["cases"].items():
        expected = by_name[name.partition("#")[0]].rule["expect"]
        wanted = expected[row["shown"]] if isinstance(expected, list) else expected
        assert not list(differences(_verdict_of(row), str(wanted))), name


def _verdict_of(row: dict[str, Any]) -> LayerVerdict:
    findings = tuple(Finding(f["code"], f["measure"], f["against"], f["unit"]) for f in row["findings"] if f["code"])
    return LayerVerdict(Verdict[row["verdict"].upper().replace("-", "_")], (), (), findings)


def test_answers_say_what_the_tables_expect(made: dict[str, Any]) -> None:
    """Each answer has every reason that decides so in any case: a page that leaves one out would not explain it."""
    expected = {f"{case.row['source']} {case.name.partition(' - ')[2]}": case.expected for case in use_cases()}
    for answer, rows in made["answers"].items():
        for row in rows:
            wanted = expected[f"{row['source']} {row['rule']} - {row['case']}"]
            assert wanted.partition(":")[0] == answer
            assert [reason.split()[0] for reason in wanted.partition(": ")[2].split("; ")] == [
                finding["code"] for finding in row["findings"]
            ]
        assert [row["code"] for row in rows] == list(dict.fromkeys(row["code"] for row in rows))
        assert {row["code"] for row in rows} == set(_reasons_of(answer))


def _reasons_of(answer: str) -> Iterator[str]:
    for case in use_cases():
        told, _, reasons = case.expected.partition(": ")
        if told == answer:
            yield from (reason.split()[0] for reason in reasons.split("; "))
