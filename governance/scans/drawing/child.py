"""What draws in a process of its own (``governance.scans.confined``)."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from governance.scans.drawing.rendering import drawn_pages


def main(arguments: Sequence[str]) -> list[dict[str, Any]]:
    """Draw pages of a file into a folder, each as soon as it is done: what was drawn before a crash is there.

    arguments: the file, the type of its content, the width, the numbers of the pages with commas between, the folder.

    Returns:
        for each page its number and the problem, "" if it was drawn.
    """
    path, media_type, width, pages, folder = arguments
    told = []
    with Path(path).open("rb") as file:
        for number, drawn in drawn_pages(file, media_type, [int(page) for page in pages.split(",")], int(width)):
            if isinstance(drawn, bytes):
                (Path(folder) / f"{number}.part").write_bytes(drawn)
                (Path(folder) / f"{number}.part").rename(Path(folder) / f"{number}.png")
            told.append({"page": number, "problem": drawn if isinstance(drawn, str) else ""})
    return told
