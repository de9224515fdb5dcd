"""Kinds of papers and states of their life: the contract, the schema of the exchange file and the register agree."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from accessions.intake.problems import FileProblems
from governance.papers.exchange import read_papers
from governance.papers.models import PaperKind, PaperStatus

PROJECT = Path(__file__).resolve().parents[4]
SCHEMA = json.loads((PROJECT / "governance/papers/schema/papers.schema.json").read_text("utf-8"))


def enum_of(name: str, key: str) -> list[str]:
    listed: list[str] = SCHEMA["$defs"][name]["properties"][key]["enum"]
    return listed


def test_kinds_are_those_of_the_contract() -> None:
    """Section 8 lists them in one paragraph that starts with "Kinds:"."""
    contract = (PROJECT / "governance/docs/VERDICTS.md").read_text("utf-8")
    paragraph = contract[contract.index("\nKinds: ") :].split("\n\n")[0]
    kinds = re.findall(r"`([a-z-]+)`", paragraph)
    assert kinds == enum_of("paper", "kind") == PaperKind.values


def test_states_are_those_of_the_register() -> None:
    assert enum_of("status", "state") == PaperStatus.State.values


def a_file(folder: Path, **more: object) -> Path:
    path = folder / "papers.json"
    paper = {"reference": "LAN-1", "kind": "landowner-consent", "layers": ["land"], "versions": []} | more
    path.write_text(json.dumps({"papers": [paper]}), "utf-8")
    return path


def test_a_withdrawn_consent_holds_no_longer_from_its_day(tmp_path: Path) -> None:
    """10 June 2024 is day 739047 of the proleptic Gregorian calendar (date.toordinal)."""
    turns = [{"state": "withdrawn", "from": "2024-06-10"}]
    (paper,) = read_papers(a_file(tmp_path, statuses=turns, revoked_on="2024-06-10")).papers
    assert paper.revoked_day == 739047


@pytest.mark.parametrize("state", ["revoked", "surrendered"])
def test_a_paper_ends_once(tmp_path: Path, state: str) -> None:
    turns = [{"state": "withdrawn", "from": "2024-06-10"}, {"state": state, "from": "2024-06-10"}]
    with pytest.raises(FileProblems, match="revoked, withdrawn or surrendered once"):
        read_papers(a_file(tmp_path, statuses=turns, revoked_on="2024-06-10"))


def test_the_short_key_says_the_same(tmp_path: Path) -> None:
    turns = [{"state": "withdrawn", "from": "2024-06-10"}]
    with pytest.raises(FileProblems, match="write the same day in both"):
        read_papers(a_file(tmp_path, statuses=turns))
