"""What the documents name is there: files, words, variables."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.apps import apps

from governance.engine.tables import Layer, Verdict

PROJECT = Path(__file__).resolve().parents[2]
DOCUMENTS = ["README.md", "DEVELOPERS.md", "governance/docs/CHANGELOG.md", "governance/docs/GLOSSARY.md"]
ROOT_FOLDERS = ("accessions/", "governance/", "tests/", "fixtures/", ".ci/")


def text_of(document: str) -> str:
    return (PROJECT / document).read_text("utf-8")


def without_code_and_tables(text: str) -> list[str]:
    """The lines of prose."""
    prose = re.sub(r"^```.*?^```", "", text, flags=re.MULTILINE | re.DOTALL)
    return [line for line in prose.splitlines() if line and not line.startswith(("|", "#"))]


@pytest.mark.parametrize("document", DOCUMENTS)
def test_linked_files_exist(document: str) -> None:
    links = re.findall(r"\]\(([^)#:]+)\)", text_of(document))
    folder = (PROJECT / document).parent
    assert [link for link in links if not (folder / link).exists()] == []


@pytest.mark.parametrize("document", DOCUMENTS)
def test_named_files_exist(document: str) -> None:
    """Paths in backticks that start at the top, with * where several are meant."""
    named = [name for name in re.findall(r"`([^` ]+)`", text_of(document)) if name.startswith(ROOT_FOLDERS)]
    assert [name for name in named if not list(PROJECT.glob(name))] == []


@pytest.mark.parametrize("document", DOCUMENTS)
def test_one_sentence_a_line(document: str) -> None:
    """So that a change of one sentence is a change of one line. A sentence ends in a full stop before a capital."""
    lines = without_code_and_tables(text_of(document))
    assert [line for line in lines if re.search(r"[a-z)`]\. [A-Z]", line)] == []


@pytest.mark.parametrize("document", ["README.md", "governance/docs/GLOSSARY.md"])
def test_layers_and_verdicts_are_explained(document: str) -> None:
    words = [item.code for kind in (Layer, Verdict) for item in kind]
    assert [word for word in words if f"`{word}`" not in text_of(document)] == []


def test_codes_of_the_glossary_are_classes() -> None:
    """A name in brackets after a word is that of the code: of the engine, or of a table of the register."""
    names = re.findall(r"^- \*\*[^(]+\(`([A-Z][A-Za-z]+)`", text_of("governance/docs/GLOSSARY.md"), re.MULTILINE)
    engine = "\n".join(
        text_of(f"governance/engine/{name}.py") for name in ("tables", "answers", "uses/tables", "uses/kinds")
    )
    of_engine = set(re.findall(r"^(?:class )?([A-Z]\w+)\b", engine, re.MULTILINE))
    of_register = {model.__name__ for model in apps.get_models()}
    assert "Paper" in of_engine and "Scan" in of_register
    assert [name for name in names if name not in of_engine | of_register] == []
