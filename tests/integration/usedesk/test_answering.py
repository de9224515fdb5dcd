"""What the desk answers from rows of the register: links, versions, verdicts, inheritance, the way there, replies."""

from __future__ import annotations

import pytest

from governance.engine.uses import Answer, Said, Use
from governance.usedesk.queries.answering import desk_answer
from governance.usedesk.words import snapshot
from tests.factories.register import link, paper, specimen, version
from tests.factories.usedesk import use_request, use_term
from tests.factories.verdicts import judged

pytestmark = pytest.mark.django_db


def test_the_strictest_of_two_papers_decides_with_its_clause() -> None:
    one, other = specimen(), specimen()
    judged(one)
    judged(other)
    kind, strict = paper("COL-1"), paper("ABS-1")
    use_term(version(kind, "2019-01-01", None), Use.IMAGING, Said.ALLOWED)
    use_term(version(strict, "2024-01-01", None), Use.IMAGING, Said.ASK_FIRST, clause_number="13.1", page=6)
    link(kind, accession=one.accession)
    link(strict, specimen=other)

    desk = desk_answer(use_request(Use.IMAGING, specimens=[one, other], country=""))

    assert {word: count for word, count in desk.counts.items() if count} == {Answer.ALLOWED: 1, Answer.ASK_FIRST: 1}
    assert [(group.word, group.ids) for group in desk.groups] == [
        (Answer.ALLOWED, (one.pk,)), (Answer.ASK_FIRST, (other.pk,)),
    ]  # fmt: skip
    (reason,) = snapshot(desk.case_of(other.pk), desk)
    assert reason["reference"] == "ABS-1"
    assert reason["sentence"] == "ABS-1 asks for written agreement first."
    assert desk.may_go == 1
