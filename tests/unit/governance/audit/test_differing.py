"""What differs between two answers, against what plain sets of Python say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass

from hypothesis import given
from hypothesis import strategies as st

from governance.audit.asking import Answer, Cell, Column, Linked, ListedRows, Row
from governance.audit.queries.differing import difference, difference_between

COLUMNS = (Column("n", "number"), Column("what", "what"))
CELLS = st.dictionaries(st.text("abcdef", min_size=1, max_size=2), st.sampled_from((1, "1", None, "x")), max_size=8)


def answer(cells: Mapping[str, Cell], sentence: str = "So many.") -> Answer:
    return Answer(sentence, COLUMNS, ListedRows([Row(key, (1, cell)) for key, cell in cells.items()]))


@given(CELLS, CELLS)
def test_by_sets(then: dict[str, Cell], now: dict[str, Cell]) -> None:
    """A number and the same digits as text are two things."""
    found = difference(answer(then), answer(now))

    assert {row.key for row in found.added} == now.keys() - then.keys()
    assert {row.key for row in found.gone} == then.keys() - now.keys()
    others = {key for key in now.keys() & then.keys() if repr(now[key]) != repr(then[key])}
    assert {one.now.key: (one.then.cells[1], one.now.cells[1], one.differing) for one in found.changed} == {
        key: (then[key], now[key], (1,)) for key in others
    }
    assert (found.added_count, found.gone_count, found.changed_count) == (
        len(found.added), len(found.gone), len(others)
    )  # fmt: skip
    assert found.is_any is bool(found.added or found.gone or others)


def test_all_are_counted_and_some_listed() -> None:
    then = answer({f"a{n}": "x" for n in range(5)} | {f"b{n}": "x" for n in range(9)})
    now = answer({f"b{n}": "y" for n in range(9)} | {f"c{n}": "x" for n in range(7)})
    found = difference(then, now, most=3)
    assert (found.gone_count, found.changed_count, found.added_count) == (5, 9, 7)
    assert [len(found.gone), len(found.changed), len(found.added)] == [3, 3, 3]
    assert found.is_cut


def test_a_link_is_no_difference() -> None:
    found = difference(answer({"a": Linked("x", "/here/")}), answer({"a": Linked("x", "/there/")}))
    assert not found.is_any
    assert difference(answer({}, "None."), answer({}, "No rows.")).is_sentence_other


@dataclass
class Clock:
    """A context of which the rows are readable inside alone."""

    is_in: bool = False

    @contextmanager
    def within(self) -> Iterator[None]:
        self.is_in = True
        yield
        self.is_in = False


def test_rows_of_the_past_are_read_inside_their_clock() -> None:
    clock = Clock()

    def then() -> Answer:
        assert clock.is_in
        return answer({"a": 1, "b": 2})

    def now() -> Answer:
        assert not clock.is_in
        return answer({"b": 3})

    found = difference_between(then, now, clock.within)
    assert [row.key for row in found.gone] == ["a"]
    assert [(one.then.cells, one.now.cells) for one in found.changed] == [((1, 2), (1, 3))]
