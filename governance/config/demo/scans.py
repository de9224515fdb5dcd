"""The scans of the demo: received, read, and filed with their papers, as ``fixtures/scans/scans.json`` says."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from accessions.people.models import User
from governance.papers.actions.scans import file_scan
from governance.papers.models import Paper
from governance.scans.actions.reading import read
from governance.scans.actions.receiving import receive
from governance.scans.models import Scan


def file_scans(fixtures: Path, *, by: User, why: str) -> int:
    """Every scan with the pages of each of its papers; how many scans. Papers must be in the register already.

    Words of pictures need tesseract; without it the scans are there all the same.
    """
    folder = fixtures / "scans"
    entries: list[dict[str, Any]] = json.loads((folder / "scans.json").read_text("utf-8"))["scans"]
    papers = {paper.reference: paper for paper in Paper.objects.all()}
    for entry in entries:
        scan = receive(data=folder / entry["file"], name=entry["name"], by=by, why=why).scan
        _file(scan, entry, papers, by, why)
        read(scan=scan)
    return len(entries)


def _file(scan: Scan, entry: dict[str, Any], papers: dict[str, Paper], by: User, why: str) -> None:
    for told in entry["papers"]:
        paper = papers[told["reference"]]
        file_scan(
            paper=paper, scan=scan, first_page=told["first"], last_page=told["last"], name=entry["name"], by=by, why=why
        )
