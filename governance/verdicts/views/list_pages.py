"""The ways through the pages of the list of specimens, as addresses."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import QueryDict

from governance.verdicts.applied import PAGE_KEYS
from governance.verdicts.queries.specimens import ListPage


@dataclass(frozen=True)
class Ways:
    """Addresses of other pages, "" where there is none. kept: the other parameters, for the form of the page number."""

    first: str
    previous: str
    following: str
    last: str
    kept: list[tuple[str, str]]


def ways(page: ListPage, asked: QueryDict) -> Ways:
    """By number as far as pages are numbered, by the row at the edge beyond."""
    has_rows = bool(page.keys)
    return Ways(
        first=_to(asked, "page", 1) if page.has_previous else "",
        previous=_previous(page, asked) if page.has_previous and has_rows else "",
        following=_following(page, asked) if page.has_next and has_rows else "",
        last=_last(page, asked) if page.has_next else "",
        kept=[(name, value) for name, values in _kept(asked, "size").lists() for value in values],
    )


def _previous(page: ListPage, asked: QueryDict) -> str:
    return _to(asked, "page", page.number - 1) if page.number else _to(asked, "before", page.keys[0])


def _following(page: ListPage, asked: QueryDict) -> str:
    if page.number and page.number < page.last_number:
        return _to(asked, "page", page.number + 1)
    return _to(asked, "after", page.keys[-1])


def _last(page: ListPage, asked: QueryDict) -> str:
    """Where pages are numbered to the end by number, else backwards from the end."""
    all_numbered = page.is_exact and page.total <= page.last_number * page.size
    return _to(asked, "page", page.last_number) if all_numbered else _to(asked, "before", 0)


def _kept(asked: QueryDict, *more: str) -> QueryDict:
    rest = asked.copy()
    for name in (*PAGE_KEYS, *more):
        rest.pop(name, None)
    return rest


def _to(asked: QueryDict, name: str, value: int) -> str:
    rest = _kept(asked)
    rest[name] = str(value)
    return f"?{rest.urlencode()}"
