"""The check as the server calls it."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from pathlib import Path

from governance.scans.checking.words import RefusedFile, problem_in_words, remark_in_words
from governance.scans.confined import ConfinedError, Limits, run
from governance.scans.names import clean_name

LIMITS = Limits(processor_seconds=20, clock_seconds=25)
"""Below the 30 seconds after which a server for production gives a request up."""

log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Checked:
    """A sound content. page_count: None for what has no pages that can be drawn; remarks: sentences."""

    media_type: str
    page_count: int | None
    has_scripts: bool
    remarks: tuple[str, ...]


def check_content(path: Path) -> Checked:
    """What a file is.

    Raises:
        RefusedFile: it is nothing that is received; says what was found and what to do.
    """
    if path.stat().st_size == 0:
        raise refusal("empty")
    try:
        found = run("governance.scans.checking.child", [path], limits=LIMITS)
    except ConfinedError as error:
        log.warning("a received file could not be taken apart: %s", error)
        raise refusal(error.reason) from error
    if "unfit" in found:
        raise refusal(found["unfit"], **found["values"])
    return Checked(
        media_type=found["kind"],
        page_count=found["page_count"],
        has_scripts=found["has_scripts"],
        remarks=tuple(remark_in_words(code, _cleaned(values)) for code, values in found["remarks"]),
    )


def refusal(code: str, **values: object) -> RefusedFile:
    """The error with its sentence."""
    return RefusedFile(problem_in_words(code, values), code)


def _cleaned(values: dict[str, object]) -> dict[str, object]:
    """Names of attached files come from the content: made as harmless as those of files."""
    names = values.get("names")
    return values | {"names": [clean_name(str(name)) for name in names]} if isinstance(names, list) else values
