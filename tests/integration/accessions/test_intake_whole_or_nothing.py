"""A commit that is killed leaves nothing; of two commits at once one wins and the other is told.

Processes of their own, so that the database is a file (or a server) that outlives them.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import copy_database

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[3]
SETUP = """
import django; django.setup()
from accessions.people.models import User
from accessions.intake.actions import receive
by = User.objects.create_user("curator", role="curator")
data = open("fixtures/lindmark_specimens.csv", "rb").read()
print(receive(file_name="lindmark.csv", data=data, by=by, why="Brought in")[0].pk)
"""
COUNTS = """
import django; django.setup()
from django.apps import apps
models = [m for label in ("material", "names", "sites") for m in apps.get_app_config(label).get_models()]
print({m.__name__: n for m in models if (n := m._default_manager.count())})
"""


class Register:
    """A register of its own, used by processes."""

    def __init__(self, address: str) -> None:
        self._environment = os.environ | {
            "DATABASE_URL": address, "DJANGO_SETTINGS_MODULE": "governance.config.settings",
            "FIELDWRIT_SECRET_KEY": "k" * 60, "FIELDWRIT_MODE": "development",
        }  # fmt: skip
        self.batch = self.run(SETUP).splitlines()[-1]

    def run(self, program: str) -> str:
        done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, env=self._environment, text=True,
                              capture_output=True, check=False, timeout=300)  # fmt: skip
        assert done.returncode == 0, done.stderr
        return done.stdout.strip()

    def start(self, *words: str) -> subprocess.Popen[str]:
        return subprocess.Popen(
            [sys.executable, "-m", "tests.integration.accessions.committing", self.batch, *words],
            cwd=ROOT, env=self._environment, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )  # fmt: skip


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def register(request: pytest.FixtureRequest, tmp_path: Path) -> Register:
    if request.param == "postgres":
        return Register(request.getfixturevalue("postgres_copy"))
    copy_database(request.getfixturevalue("migrated"), tmp_path / "register.sqlite3")
    return Register(f"sqlite:///{tmp_path / 'register.sqlite3'}")


def test_a_killed_commit_leaves_nothing_and_the_next_one_everything(register: Register) -> None:
    process = register.start("stop")
    assert process.stdout is not None
    assert process.stdout.readline().strip() == "all rows written"
    process.send_signal(signal.SIGKILL)
    process.communicate()

    assert register.run(COUNTS) == "{}"

    again = register.start()
    said, told = again.communicate(timeout=300)
    assert said.strip() == "committed", told
    counts = register.run(COUNTS)
    assert "'Specimen': 417" in counts and "'HistoricalSpecimen': 417" in counts


def test_of_two_commits_at_once_one_wins(register: Register) -> None:
    both = [register.start(), register.start()]
    said = sorted(process.communicate(timeout=300)[0].strip() for process in both)

    assert said[0] == "committed"
    assert said[1].startswith("refused: This file is in the register already")
    assert "'Specimen': 417" in register.run(COUNTS)
