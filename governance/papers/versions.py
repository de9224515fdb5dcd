"""Versions of a paper: from keys and lists to the engine's tables."""

from __future__ import annotations

import calendar
import re
from typing import Final

from accessions.intake.problems import shown
from governance.engine.tables import Assistants, Cap, ListedTaxon, MonthDay, Version, Words, fold
from governance.papers.document import Node, optional_text
from governance.papers.place_items import place_items
from governance.papers.terms_of_use import KEY, check_terms_of_use

_ASSISTANTS: Final = {
    "allowed": Assistants.ALLOWED,
    "supervised": Assistants.SUPERVISED,
    "not-allowed": Assistants.NOT_ALLOWED,
}
LARGEST_LIMIT: Final = 10**12
_ALL: Final = "*"
_LEAP_YEAR: Final = 2024
_MONTH_DAY: Final = re.compile(r"\d{2}-\d{2}", re.ASCII)


def read_version(node: Node) -> Version:
    """One version; what is wrong with it is noted."""
    from_day, to_day = node["in_force_from"].day(), node["in_force_to"].day()
    if from_day is not None and to_day is not None and to_day < from_day:
        node["in_force_to"].problem(
            f"the version ends on {node['in_force_to'].value}, before it starts on {node['in_force_from'].value}",
            "The last day of validity is not before the first.",
        )
    _check_words(node)
    people = node["people"]
    assistants = people["assistants"].value
    return Version(
        from_day=from_day,
        to_day=to_day,
        include_places=place_items(node["places"]["include"]),
        exclude_places=place_items(node["places"]["exclude"]),
        include_taxa=_included_taxa(node["taxa"]["include"]),
        exclude_taxa=_excluded_taxa(node["taxa"]["exclude"]),
        methods=_words(node["methods"]),
        sexes=_words(node["sexes"]),
        life_stages=_words(node["life_stages"]),
        people=tuple(people["named"].texts()),
        assistants=_ASSISTANTS.get(str(assistants), Assistants.NOT_ALLOWED),
        closed_seasons=_closed_seasons(node["closed_seasons"]),
        caps=tuple(_cap(cap) for cap in node["caps"].items()),
    )


def _check_words(node: Node) -> None:
    """Words that a register keeps and that decide nothing: still no blank text, no NUL, and days that exist."""
    optional_text(node["note"])
    for condition in node["conditions"].items():
        condition["text"].text()
        _month_day(condition["report_by"])
    check_terms_of_use(node[KEY])


def _words(node: Node) -> Words:
    return Words(*(frozenset(map(fold, node[key].texts())) for key in ("include", "exclude")))


def _included_taxa(node: Node) -> tuple[ListedTaxon, ...]:
    """``["*"]`` sets no limit, as the empty list does."""
    items = list(node.items())
    if any(item.value == _ALL for item in items):
        if len(items) > 1:
            node.problem('"*" stands beside names', 'Either "*" alone, which is all, or the names without it.')
        return ()
    return tuple(taxon for item in items if (taxon := _taxon(item)))


def _excluded_taxa(node: Node) -> tuple[ListedTaxon, ...]:
    for item in node.items():
        if item.value == _ALL:
            item.problem('"*" is excluded, which would leave nothing', "Name what is excluded.")
    return tuple(taxon for item in node.items() if item.value != _ALL and (taxon := _taxon(item)))


def _taxon(node: Node) -> ListedTaxon | None:
    from accessions.values.names import canonical_name

    with_kingdom = isinstance(node.value, dict)
    text = node["name"].text() if with_kingdom else node.text()
    if not text:
        return None
    kingdom = fold(node["kingdom"].text()) if with_kingdom else ""
    name = fold(canonical_name(text))
    if not name or text == _ALL:
        node.problem(f"{shown(text)} is no name", "Write a scientific name of any rank.")
    return ListedTaxon(name, kingdom, text)


def _closed_seasons(node: Node) -> tuple[tuple[MonthDay, MonthDay], ...]:
    seasons = []
    for season in node.items():
        ends = [_month_day(end) for end in season.items()]
        if len(ends) == 2 and ends[0] and ends[1]:
            seasons.append((ends[0], ends[1]))
    return tuple(seasons)


def _month_day(node: Node) -> MonthDay | None:
    text = node.value
    if not isinstance(text, str):
        return None
    if _MONTH_DAY.fullmatch(text):
        month, day = int(text[:2]), int(text[3:])
        if 1 <= month <= 12 and 1 <= day <= calendar.monthrange(_LEAP_YEAR, month)[1]:
            return month, day
    node.problem(f"{shown(text)} is no day of the year", "Write month and day as MM-DD, such as 03-01.")
    return None


def _cap(node: Node) -> Cap:
    taxon = node["taxon"]
    limit = node["limit"].value
    whole = int(limit) if isinstance(limit, (int, float)) and float(abs(limit)) <= LARGEST_LIMIT else -1
    if whole < 0 and isinstance(limit, (int, float)) and limit > LARGEST_LIMIT:
        node["limit"].problem(f"the limit is more than {LARGEST_LIMIT:,}", "Leave the cap out if there is no limit.")
    each, per = node["each"].value, node["per"].value
    return Cap(
        limit=whole,
        taxon=None if taxon.value is None or taxon.value == _ALL else _taxon(taxon),
        each_species=each == "species",
        per=per if isinstance(per, str) else "paper",
    )


def check_starts(versions: Node) -> None:
    """No two versions start on one day, nor have two an unknown start: which one holds could not be told."""
    first: dict[object, Node] = {}
    for version in versions.items():
        if not isinstance(version.value, dict):
            continue
        start = version["in_force_from"]
        if isinstance(start.value, (list, dict)):
            continue
        if start.value in first:
            words = f"on {start.value}" if start.value is not None else "on an unknown day"
            start.problem(
                f"it starts {words}, as {first[start.value].path} does",
                "Each version of a paper starts on a day of its own; a later one supersedes the one before.",
            )
        first.setdefault(start.value, version)
