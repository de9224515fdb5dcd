"""A paper that changed between the day of a request and the decision: whoever lets go today goes by both days."""

from __future__ import annotations

from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from accessions.people.access import role_bits
from accessions.people.models import Role, User
from governance.engine.uses import Answer, Said, Use
from governance.papers.models import Paper, PaperStatus
from governance.usedesk.actions.deciding import approve_all, decide
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.requests import edit_request
from governance.usedesk.models import CitesListing, DeskRules, RequestDecision, UseRequest
from governance.usedesk.queries.answering import answers_of_two_days, desk_answer
from governance.usedesk.queries.deciding import all_that_may_go
from tests.factories import register, usedesk, verdicts
from tests.integration.usedesk.desk_scene import Scene, scene

pytestmark = pytest.mark.django_db

TODAY = date(2026, 11, 26)
SINCE = "2026-11-24"
"""After the day of the request, 20 November 2026, and before today."""
WHY = "The authority told us so on the phone."


@pytest.fixture(autouse=True)
def _today(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *_: TODAY)


@pytest.fixture
def three() -> Scene:
    return scene()


@pytest.fixture
def registrar() -> User:
    return register.person(Role.REGISTRAR)


@pytest.fixture
def client(registrar: User) -> Client:
    found = Client()
    found.force_login(registrar)
    return found


def ended(paper: Paper, state: str, day: str = SINCE) -> None:
    """Granted long ago, and from a day on suspended, revoked or given back."""
    PaperStatus.objects.create(paper=paper, state="granted", from_on=date(2019, 1, 1))
    PaperStatus.objects.create(paper=paper, state=state, from_on=date.fromisoformat(day))


def amended(paper: Paper, said: Said, clause: str = "As amended.") -> None:
    usedesk.use_term(register.version(paper, SINCE, None), Use.IMAGING, said, clause=clause)


def keys(specimens: tuple[object, ...]) -> list[int]:
    return [one.pk for one in specimens]  # type: ignore[attr-defined]


def moved(request: UseRequest, day: date, by: User) -> None:
    edit_request(request=request, values={"asked_on": day}, by=by, why="asked anew")
    request.refresh_from_db()


# Stricter since -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("state", "words"),
    [
        ("revoked", "COL-1 was revoked on 24 November 2026"), ("suspended", "COL-1 is suspended since"),
        ("withdrawn", "COL-1 was withdrawn on"), ("surrendered", "COL-1 was given back on"),
    ],
)  # fmt: skip
def test_paper_that_ended_since_lets_nothing_go(state: str, words: str, three: Scene, registrar: User) -> None:
    ended(three.allows, state)
    assert desk_answer(three.request).case_of(three.allowing[0].pk).answer == Answer.ALLOWED
    with pytest.raises(DeskError, match="answer is stricter: 3 specimens: Ask the provider first") as refused:
        decide(request=three.request, ids=keys(three.allowing), is_approved=True, reason=WHY, by=registrar)
    assert words in str(refused.value)
    assert "Set the day of the request to today and look again" in str(refused.value)
    assert not RequestDecision.objects.exists()


def test_by_the_day_of_today_a_person_decides_with_a_reason(three: Scene, registrar: User) -> None:
    ended(three.allows, "revoked")
    moved(three.request, TODAY, registrar)
    made = decide(request=three.request, ids=keys(three.allowing), is_approved=True, reason=WHY, by=registrar)
    assert (made.answer, made.reasons[0]["code"]) == (Answer.ASK_FIRST, "revoked")


def test_amended_to_a_no_since(three: Scene, registrar: User) -> None:
    """Both what was allowed and what a reason would let go; the third paper did not change."""
    amended(three.allows, Said.NOT_ALLOWED)
    amended(three.asks, Said.NOT_ALLOWED)
    for some in (three.allowing, three.asking):
        with pytest.raises(DeskError, match="stricter: 3 specimens: Not allowed"):
            decide(request=three.request, ids=keys(some), is_approved=True, reason=WHY, by=registrar)
    made = decide(request=three.request, ids=keys(three.allowing), is_approved=False, reason=WHY, by=registrar)
    assert made.is_approved is False


def test_duties_since_are_stricter(three: Scene, registrar: User) -> None:
    amended(three.allows, Said.WITH_DUTIES)
    with pytest.raises(DeskError, match="stricter: 3 specimens: Allowed with duties"):
        decide(request=three.request, ids=keys(three.allowing), is_approved=True, by=registrar)


def test_only_the_chosen_ones_count(three: Scene, registrar: User) -> None:
    """What waits under an unchanged paper is decided, whatever became of the others in the basket."""
    ended(three.allows, "revoked")
    made = decide(request=three.request, ids=keys(three.asking), is_approved=True, reason=WHY, by=registrar)
    assert made.items.count() == 3


def test_all_that_may_go_is_held_against_today(three: Scene, registrar: User) -> None:
    ended(three.allows, "revoked")
    marks = [one.seen for one in all_that_may_go(three.request, desk_answer(three.request))]
    with pytest.raises(DeskError, match="By the terms in force today"):
        approve_all(request=three.request, seen=marks, by=registrar)
    assert not RequestDecision.objects.exists()


# Milder since, or not at all ------------------------------------------------------------------------------------------


def test_amended_to_milder_since_stays_as_asked(three: Scene, registrar: User) -> None:
    """By the day asked the provider is to be asked, and so it is until the day is set anew."""
    amended(three.asks, Said.ALLOWED)
    with pytest.raises(DeskError, match="say why it may go all the same"):
        decide(request=three.request, ids=keys(three.asking), is_approved=True, by=registrar)
    made = decide(request=three.request, ids=keys(three.asking), is_approved=True, reason=WHY, by=registrar)
    assert made.answer == Answer.ASK_FIRST


def test_what_starts_tomorrow_is_not_in_force(three: Scene, registrar: User) -> None:
    usedesk.use_term(register.version(three.allows, "2026-11-27", None), Use.IMAGING, Said.NOT_ALLOWED)
    assert decide(request=three.request, ids=keys(three.allowing), is_approved=True, by=registrar).is_approved


# Pages ----------------------------------------------------------------------------------------------------------------


def pages(three: Scene) -> list[str]:
    block = next(one for one in desk_answer(three.request).blocks if one.answer == Answer.ALLOWED)
    return [
        reverse("usedesk:request", args=[three.request.pk]),
        reverse("usedesk:request-decide", args=[three.request.pk, block.key]),
        reverse("usedesk:request-approve", args=[three.request.pk]),
    ]


def test_pages_say_that_today_is_stricter(three: Scene, client: Client) -> None:
    ended(three.allows, "revoked")
    for path in pages(three):
        text = client.get(path).content.decode()
        assert "By the terms in force today the answer is stricter for 3 specimens" in text
        assert "COL-1 was revoked on 24 November 2026" in text
        assert reverse("usedesk:request-edit", args=[three.request.pk]) in text
    typed = {"verdict": "go", "which": "all", "seen": client.get(pages(three)[1]).context["waiting"].seen}
    answer = client.post(pages(three)[1], typed)
    assert answer.status_code == 422
    assert "Set the day of the request to today and look again" in answer.content.decode()


def test_page_says_that_today_would_be_milder(three: Scene, client: Client) -> None:
    amended(three.asks, Said.ALLOWED)
    first, decide_allowed, _approve = pages(three)
    assert "the answer would be milder for 3 specimens" in client.get(first).content.decode()
    assert "terms in force today" not in client.get(decide_allowed).content.decode()


def test_nothing_is_said_where_nothing_changed_or_all_of_it_stays(
    three: Scene, client: Client, registrar: User
) -> None:
    assert all("terms in force today" not in client.get(path).content.decode() for path in pages(three))
    ended(three.allows, "revoked")
    decide(request=three.request, ids=keys(three.allowing), is_approved=False, reason=WHY, by=registrar)
    assert "terms in force today" not in client.get(pages(three)[0]).content.decode()


def test_clause_of_a_restricted_paper_is_not_told(three: Scene, client: Client) -> None:
    amended(three.allows, Said.NOT_ALLOWED, clause="spoonbill-and-bittern")
    three.allows.restricted_to, three.allows.restricted_why = role_bits([Role.COMPLIANCE]), "asked for by the owner"
    three.allows.save()
    for path in pages(three):
        text = client.get(path).content.decode()
        assert "COL-1 does not allow it" in text
        assert "spoonbill" not in text


# The two answers ------------------------------------------------------------------------------------------------------


def test_one_day_is_answered_once(three: Scene) -> None:
    own, other = answers_of_two_days(three.request, three.request.asked_on)
    assert own is other


def test_another_day_costs_nothing_where_nothing_crosses_a_border(three: Scene) -> None:
    counted = []
    for day in (three.request.asked_on, TODAY):
        with CaptureQueriesContext(connection) as asked:
            answers_of_two_days(three.request, day)
        counted.append(len(asked))
    assert counted[0] == counted[1]


def test_the_other_day_is_answered_as_if_it_were_asked_alone() -> None:
    """A loan abroad: from 24 November on, CITES lists one of two names, and one paper is revoked."""
    paper = register.paper("COL-9")
    usedesk.use_term(register.version(paper, "2019-01-01", None), Use.LOAN_ABROAD, Said.ALLOWED)
    ended(paper, "revoked")
    DeskRules.objects.create(pk=1, country="SE")
    CitesListing.objects.create(
        name="Parnassius apollo", kingdom="Animalia", appendix="II", source="Invented list, 2026",
        checked_on=date(2026, 11, 1), from_on=date.fromisoformat(SINCE),
    )  # fmt: skip
    specimens = [
        register.specimen(name=register.written_name(name, kingdom="Animalia"))
        for name in ("Parnassius apollo", "Limnephilus rhombicus")
    ]
    for made in specimens:
        register.link(paper, specimen=made)
        verdicts.judged(made)
    request = usedesk.use_request(Use.LOAN_ABROAD, specimens=specimens)
    own, other = answers_of_two_days(request, TODAY)
    alone = desk_answer(request, day=TODAY)
    assert [other.case_of(pk) for pk in other.ids] == [alone.case_of(pk) for pk in alone.ids]
    assert [group.key for group in other.groups] == [group.key for group in alone.groups]
    assert [own.case_of(pk) for pk in own.ids] != [other.case_of(pk) for pk in own.ids]
