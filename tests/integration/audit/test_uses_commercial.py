"""TRADE 7.4, question 17: any commercial use or request? Your answer?"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.engine.uses import Answer as Word
from governance.engine.uses import RecipientKind, Use
from governance.usedesk.models import ProviderQuestion, RequestDecision, RequestItem, UseRequest
from tests.factories import register, usedesk
from tests.integration.audit.put import column, put, told

pytestmark = pytest.mark.django_db

KEY = "commercial"


def decided(request: UseRequest, *, approved: bool, most: int = 9, **values: Any) -> None:
    """A decision on the first specimens of a request."""
    answer = Word.WITH_DUTIES if approved else Word.NOT_ALLOWED
    decision = RequestDecision.objects.create(
        request=request, is_approved=approved, answer=int(answer), decided_by=register.person(Role.REGISTRAR), **values
    )
    keys = list(RequestItem.objects.filter(request=request).order_by("pk").values_list("pk", flat=True)[:most])
    RequestItem.objects.filter(pk__in=keys).update(decision=decision)


def test_requests_and_uses_with_what_was_answered() -> None:
    """Commercial by its own word, by the use it asks for, or since a company asks, whatever it says of itself."""
    company = usedesk.recipient(name="Enzymes AB", kind=int(RecipientKind.COMPANY), country="SE")
    two = [register.specimen(), register.specimen()]
    declined = usedesk.use_request(reference="R-1", commercial="yes", specimens=two, asked_on=date(2026, 3, 1))
    decided(declined, approved=False, reason="A new agreement comes first.")
    partly = usedesk.use_request(
        Use.COMMERCIAL_USE, reference="R-2", commercial="", specimens=two, asked_on=date(2026, 2, 1)
    )
    decided(partly, approved=True, most=1)
    usedesk.use_request(reference="R-3", recipient=company, asked_on=date(2026, 1, 1), specimens=two)
    usedesk.use_request(reference="R-4", commercial="no")
    usedesk.use_request(reference="R-5", commercial="")
    usedesk.made_use(
        two[0], deed="commercial", reference="U-1", recipient=company, on=date(2025, 1, 1), is_outside=True
    )
    usedesk.made_use(two[0], deed="sequencing", reference="U-2", request=declined, on=date(2025, 2, 1))
    usedesk.made_use(two[0], deed="sequencing", reference="U-3", request=declined, on=date(2025, 2, 1), commercial="no")
    found = put(KEY)
    assert column(found, "number", "commercial", "answer", "approved", "declined", "reason") == [
        ("R-1", "Yes", "Not allowed", 0, 2, "A new agreement comes first."),
        ("R-2", "Yes", "Allowed with duties", 1, 0, ""),
        ("R-3", "No, by its own words", "To decide", 0, 0, ""),
        ("U-2", "Yes", "", None, None, ""),
        ("U-1", "Yes", "Not within the terms as known", None, None, ""),
    ]
    assert found.sentence == (
        "3 requests are commercial or come from a company; 2 commercial uses are on record. Of 1 request some material "
        "was approved. Of 1 request everything that was decided stays here. Of 1 request nothing is decided yet. 1 use "
        "was not within the terms of its day as known."
    )
    assert found.missing[0].words == "1 request does not tell whether it is commercial.", "R-5 alone"
    assert column(put(KEY, **{"from": "2026-02-01", "to": "2026-02-28"}), "number") == ["R-2"]


def test_the_reply_of_a_provider_stays_with_readers_of_its_paper() -> None:
    """That somebody was asked is told to everybody."""
    request = usedesk.use_request(commercial="yes", specimens=[register.specimen()])
    paper = register.paper("CLOSED", restricted_to=role_bits([Role.REGISTRAR]), restricted_why="a secret")
    ProviderQuestion.objects.create(
        request=request, paper=paper, uses=1, asked_of="Zzwhom", asked_on=date(2026, 3, 1), reply="refused",
        replied_on=date(2026, 3, 9), reply_words="Zzno", recorded_by=register.person(Role.REGISTRAR),
    )  # fmt: skip
    assert column(put(KEY), "provider") == ["CLOSED: Refused"]
    found = put(KEY, Role.AUDITOR)
    assert column(found, "provider") == ["CLOSED: asked"]
    assert "Zz" not in told(found)
    assert found.kept_back == ("The reply to 1 question to a provider is for readers of its paper.",)


@pytest.mark.parametrize("count", [1, 4])
def test_queries_whatever_the_number(count: int, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)
    for _number in range(count):
        request = usedesk.use_request(commercial="yes", specimens=[register.specimen()], recipient=usedesk.recipient())
        decided(request, approved=True)
        usedesk.made_use(register.specimen(), deed="commercial", recipient=usedesk.recipient())
    with django_assert_num_queries(6):
        assert len(column(put(KEY), "number")) == 2 * count
