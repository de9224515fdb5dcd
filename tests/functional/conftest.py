"""The command run over small files as a person would run it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from tests.functional.small_files import PAPERS, SPECIMENS, Checked, Run, write_papers, write_rows


@pytest.fixture
def checked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Checked:
    """Runs the command within this process; ``specimens`` and ``papers`` are paths or lists of rows."""

    def run(specimens: Any = SPECIMENS, papers: Any = PAPERS, *options: str, out: str | Path = "out.csv") -> Run:
        if isinstance(specimens, list):
            specimens = write_rows(tmp_path / "specimens.csv", specimens)
        if isinstance(papers, list):
            papers = write_papers(tmp_path / "papers.json", papers)
        target = tmp_path / out
        capsys.readouterr()
        status = 0
        try:
            call_command("check_files", str(specimens), "--papers", str(papers), "--out", str(target), *options)
        except SystemExit as left:
            status = int(left.code or 0)
        said, told = capsys.readouterr()
        return Run(status, said, told, target)

    return run
