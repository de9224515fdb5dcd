"""The bench of the desk runs; its peer and the desk agree where the peer can tell: a bench of two answers is none."""

from __future__ import annotations

from collections import Counter

import pytest

from governance.engine.uses import Answer
from governance.usedesk.queries.answering import desk_answer
from tests.bench import peer_e_desk
from tests.bench.desk_register import fill_desk
from tests.bench.lists_register import build

pytestmark = pytest.mark.django_db


def test_peer_and_desk_agree() -> None:
    """The script knows papers alone: footing and conditions can only make the desk's answer stricter, never milder.
    Where nothing of that kind decides, the two are equal."""
    build(1_000, lambda what: None)
    request = fill_desk(200)

    words = peer_e_desk.answer(request)
    desk = desk_answer(request)

    assert len(words) == len(desk.ids) == 200
    compared: Counter[Answer] = Counter()
    for pk in desk.ids:
        case = desk.case_of(pk)
        assert case.answer >= words[pk], (pk, case)
        beyond = [one for one in case.deciding if one.code.startswith(("verdict", "not-judged", "commercial"))]
        if not beyond:
            assert case.answer == words[pk], (pk, case)
            compared[case.answer] += 1
    assert len(compared) >= 3, compared
