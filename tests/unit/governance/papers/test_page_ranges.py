"""Ranges of pages. Expected runs are counted by hand on a scan of few pages."""

from __future__ import annotations

import pytest

from governance.papers.models import Paper
from governance.papers.page_ranges import PageRange, free_words, problems_of, uncovered

LAND, COLLECTING = Paper(pk=1, reference="LND-2024-117"), Paper(pk=2, reference="COL-2024-052")


@pytest.mark.parametrize(
    ("taken", "pages", "free"),
    [
        ([], 1, [(1, 1)]),
        ([(1, 1)], 1, []),
        ([(1, 60)], 60, []),
        ([(1, 8), (13, 60)], 60, [(9, 12)]),
        ([(2, 3)], 4, [(1, 1), (4, 4)]),
        ([(5, 6), (1, 2)], 7, [(3, 4), (7, 7)]),
        ([(1, 6), (2, 3)], 8, [(7, 8)]),  # a range within another
        ([(1, 3), (3, 5)], 5, []),  # a page that belongs to two
    ],
)
def test_pages_that_belong_to_none(taken: list[tuple[int, int]], pages: int, free: list[tuple[int, int]]) -> None:
    assert uncovered(taken, pages) == free


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (61, 61, "the scan has 60 pages"),
        (59, 61, "the scan has 60 pages"),
        (7, 3, "the last page is before the first"),
        (0, 3, "The first page of a scan is 1"),
        (3, None, "the first and the last page"),
        (None, 3, "the first and the last page"),
    ],
)
def test_pages_that_cannot_be(first: int | None, last: int | None, words: str) -> None:
    [problem] = problems_of([PageRange(LAND, first, last)], 60, may_overlap=True)
    assert words in problem.words


@pytest.mark.parametrize(("first", "last"), [(1, 1), (60, 60), (1, 60), (None, None)])
def test_pages_at_the_edge_are_taken(first: int | None, last: int | None) -> None:
    assert problems_of([PageRange(LAND, first, last)], 60, may_overlap=False) == []


def test_neighbours_do_not_overlap_and_one_page_does() -> None:
    assert problems_of([PageRange(LAND, 1, 4), PageRange(COLLECTING, 5, 9)], 9, may_overlap=False) == []
    [problem] = problems_of([PageRange(LAND, 1, 5), PageRange(COLLECTING, 5, 9)], 9, may_overlap=False)
    assert problem.row == 1
    assert "Page 5 would belong to COL-2024-052 and to LND-2024-117" in problem.words
    assert problems_of([PageRange(LAND, 1, 5), PageRange(COLLECTING, 5, 9)], 9, may_overlap=True) == []


def test_the_whole_overlaps_with_every_page() -> None:
    [problem] = problems_of([PageRange(LAND), PageRange(COLLECTING, 9, 9)], 9, may_overlap=False)
    assert "Page 9" in problem.words


def test_one_paper_twice_on_a_page_is_never_right() -> None:
    """Also where pages may belong to two papers: this is one."""
    [problem] = problems_of([PageRange(LAND, 1, 5), PageRange(LAND, 4, 9)], 9, may_overlap=True)
    assert "LND-2024-117 has Pages 4 to 5 already in another row" in problem.words


def test_all_problems_at_once() -> None:
    wrong = [PageRange(LAND, 7, 3), PageRange(COLLECTING, 1, 99), PageRange(LAND, 2, None)]
    assert [problem.row for problem in problems_of(wrong, 9, may_overlap=False)] == [0, 1, 2]


def test_file_without_pages_is_a_paper_as_a_whole() -> None:
    assert problems_of([PageRange(LAND)], None, may_overlap=False) == []
    [problem] = problems_of([PageRange(LAND, 1, 1)], None, may_overlap=False)
    assert "no pages" in problem.words


@pytest.mark.parametrize(
    ("free", "words"),
    [
        ([], ""),
        ([(9, 9)], "Page 9 belongs to no paper yet."),
        ([(9, 12)], "Pages 9 to 12 belong to no paper yet."),
        ([(1, 1), (6, 9)], "Pages 1, 6 to 9 belong to no paper yet."),
    ],
)
def test_what_is_left_in_words(free: list[tuple[int, int]], words: str) -> None:
    assert free_words(free) == words
