"""Ready questions put straight to their functions, and their answers as tests read them."""

from __future__ import annotations

from datetime import date
from typing import Any

from accessions.people.models import Role
from governance.audit.asking import Answer, Asked, Linked
from governance.audit.questions import QUESTION
from tests.factories import register

TODAY = date(2026, 11, 26)


def put(key: str, role: str = Role.REGISTRAR, *, on: Any = TODAY, known_at: Any = None, **values: Any) -> Answer:
    """The answer on a day, as somebody of a role gets it; what is not told has its default. known_at: of the register,
    for who put it in the place of the present one already."""
    question = QUESTION[key]
    told = {one.key: str(values.pop(one.key, one.default)) for one in question.parameters}
    assert not values, f"{key} does not ask for {sorted(values)}"
    return question.answer(Asked(told, on, register.person(role), known_at))


def table(answer: Answer) -> list[dict[str, Any]]:
    """The rows by column, links by what they show; every row has a cell for each column, and a key of its own."""
    rows = list(answer.rows.between(0, 100))
    assert len(rows) == len(answer.rows) == len({row.key for row in rows})
    keys = [column.key for column in answer.columns]
    return [dict(zip(keys, map(_plain, row.cells), strict=True)) for row in rows]


def column(answer: Answer, *keys: str) -> list[Any]:
    """Some columns of all rows: of several, a tuple a row."""
    rows = [tuple(row[key] for key in keys) for row in table(answer)]
    return rows if len(keys) > 1 else [row[0] for row in rows]


def links(answer: Answer, key: str) -> list[str]:
    """The addresses to which a column leads; "" where it leads nowhere."""
    place = [column.key for column in answer.columns].index(key)
    cells = (row.cells[place] for row in answer.rows.between(0, 100))
    return [cell.address if isinstance(cell, Linked) else "" for cell in cells]


def told(answer: Answer) -> str:
    """Everything that an answer says, for looking whether it says too much."""
    rest = [*(one.words for one in answer.missing), *answer.kept_back, *answer.notes]
    return " ".join([answer.sentence, *rest, *(str(cell) for row in table(answer) for cell in row.values())])


def _plain(cell: Any) -> Any:
    return cell.value if isinstance(cell, Linked) else cell
