"""What the documents tell people to type is there, and the commands for a timer run as they are written."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import get_commands, load_command_class
from django.core.management.base import BaseCommand

from tests.conftest import copy_database

PROJECT = Path(__file__).resolve().parents[2]
DOCUMENTS = [PROJECT / "README.md", PROJECT / "DEVELOPERS.md", *sorted((PROJECT / "governance" / "docs").rglob("*.md"))]


def typed(text: str) -> list[list[str]]:
    """What follows ``manage.py`` in backticks and in blocks of a document, word by word."""
    blocks = re.findall(r"^```\w*\n(.*?)^```", text, re.MULTILINE | re.DOTALL)
    pieces = [line for block in blocks for line in block.splitlines()]
    pieces += re.findall(r"`([^`\n]+)`", re.sub(r"^```.*?^```", "", text, flags=re.MULTILINE | re.DOTALL))
    return [shlex.split(piece.split("manage.py ", 1)[1]) for piece in pieces if "manage.py " in piece]


COMMANDS = sorted({tuple(words) for path in DOCUMENTS for words in typed(path.read_text("utf-8"))})


def options_of(name: str) -> set[str]:
    command = load_command_class(get_commands()[name], name)
    assert isinstance(command, BaseCommand)
    parser = command.create_parser("manage.py", name)
    return {option for action in parser._actions for option in action.option_strings}


def test_every_command_that_a_document_names_is_there_with_its_options() -> None:
    assert len(COMMANDS) > 15
    unknown = [words for words in COMMANDS if words[0] not in get_commands()]
    assert unknown == []
    wrong = {
        " ".join(words): sorted({word for word in words if word.startswith("--")} - options_of(words[0]))
        for words in COMMANDS
    }
    assert {command: options for command, options in wrong.items() if options} == {}


OF_A_TIMER = ("work_out_duties", "send_reminders", "ask_saved_questions", "count_quality", "keep_seal_head",
              "verify_seal", "check_files_intact", "assess", "read_scans --waiting")  # fmt: skip
"""Commands that the README gives for each day or after an upgrade; ``demo``, ``start``, ``check_files``, ``add_person``
and ``seal_late`` have tests of their own."""

ONE_AFTER_THE_OTHER = """
import os, shlex, sys
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")
import django
from django.core.management import call_command
django.setup()
for command in sys.argv[1:]:
    name, *options = shlex.split(command)
    try:
        call_command(name, *options)
    except SystemExit as end:
        if end.code:
            sys.exit(f"{command} ended with {end.code}")
    print("DONE", command)
"""


@pytest.mark.slow
def test_the_commands_for_each_day_run_on_the_demo(small_demo: Path, tmp_path: Path) -> None:
    """In one process, one after the other, on a copy; the seal holds after all that they wrote."""
    text = (PROJECT / "README.md").read_text("utf-8") + (PROJECT / "DEVELOPERS.md").read_text("utf-8")
    assert [command for command in OF_A_TIMER if f"manage.py {command}" not in text] == []
    shutil.copytree(small_demo.parent / "files", tmp_path / "files")
    copy_database(small_demo, tmp_path / "copy.sqlite3")
    done = subprocess.run(
        [sys.executable, "-c", ONE_AFTER_THE_OTHER, *OF_A_TIMER, "verify_seal"],
        cwd=PROJECT, capture_output=True, text=True, timeout=300,
        env=os.environ | {
            "DATABASE_URL": f"sqlite:///{tmp_path}/copy.sqlite3", "FIELDWRIT_FILES": str(tmp_path / "files"),
            "PYTHONPATH": str(PROJECT),
        },
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    assert re.findall(r"^DONE (.+)$", done.stdout, re.MULTILINE) == [*OF_A_TIMER, "verify_seal"]


def test_what_the_walk_of_the_readme_opens_stands_in_the_demo() -> None:
    """Numbers of specimens, papers, accessions, plans, requests and reports in backticks of "Things to try"."""
    walk = (PROJECT / "README.md").read_text("utf-8").partition("Things to try")[2].partition("## Check files")[0]
    named = set(re.findall(r"`((?:[A-Z]{2,4}-)+[A-Z0-9-]*\d)`", walk))
    files = [*(PROJECT / "fixtures").glob("lindmark*.*"), *(PROJECT / "governance" / "config" / "demo").glob("*.py")]
    fixtures = "\n".join(path.read_text("utf-8") for path in files if path.suffix in {".yaml", ".csv", ".json", ".py"})
    assert len(named) > 8
    assert sorted(number for number in named if number not in fixtures) == []
