"""Decisions on a request: a group or a part of it, all that may go, withdrawn; held against what was seen."""

from __future__ import annotations

import threading
import time
from typing import Any

import pytest
from django.db import IntegrityError, OperationalError, connection, transaction
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import NotAllowedError, role_bits
from accessions.people.models import Role, User
from governance.engine.uses import Answer, Said, Use
from governance.papers.models import UseTerm
from governance.usedesk.actions.deciding import approve_all, decide, withdraw_decision
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.requests import answer_request
from governance.usedesk.models import MadeUse, RequestDecision, RequestItem, SilenceRule, UseItem, UseRequest
from governance.usedesk.queries.answering import desk_answer
from governance.usedesk.queries.deciding import all_that_may_go, to_decide
from tests.factories import register, usedesk, verdicts
from tests.integration.usedesk.desk_scene import CANARY, Scene, scene, version_of

pytestmark = pytest.mark.django_db

WHY = "The authority told us so on the phone."


@pytest.fixture
def registrar() -> User:
    return register.person(Role.REGISTRAR)


@pytest.fixture
def client(registrar: User) -> Client:
    found = Client()
    found.force_login(registrar)
    return found


@pytest.fixture
def three() -> Scene:
    return scene()


def ids(specimens: Any) -> list[int]:
    return [one.pk for one in specimens]


def group_of(request: UseRequest, answer: Answer) -> str:
    """The key of the block with this answer, for addresses."""
    return next(block.key for block in desk_answer(request).blocks if block.answer == answer)


def seen_of(request: UseRequest, answer: Answer) -> str:
    desk = desk_answer(request)
    block = next(block for block in desk.blocks if block.answer == answer)
    return to_decide(request, block, desk).seen


def undecided(request: UseRequest) -> set[int]:
    return set(request.items.filter(decision__isnull=True).values_list("specimen_id", flat=True))


# Approved and declined ------------------------------------------------------------------------------------------------


def test_approved_with_answer_reasons_and_history(three: Scene, registrar: User) -> None:
    """What decided then is kept with its clause; every item has its line in the history."""
    made = decide(request=three.request, ids=ids(three.allowing), is_approved=True, by=registrar)
    assert (made.answer, made.is_silent, made.reason, made.decided_by) == (Answer.ALLOWED, False, "", registrar)
    (reason,) = made.reasons
    assert (reason["code"], reason["paper"], reason["clause"], reason["page"]) == (
        "allowed", three.allows.pk, f"{CANARY} COL-1", 3,
    )  # fmt: skip
    assert undecided(three.request) == {*ids(three.asking), *ids(three.forbidding)}
    for item in three.request.items.filter(decision=made):
        entry = item.history.first()
        assert (entry.decision_id, entry.history_user, entry.history_type) == (made.pk, registrar, "~")


def test_beyond_the_terms_wants_a_sentence(three: Scene, registrar: User) -> None:
    for reason, words in (("", "say why it may go all the same"), ("ok", "at least a sentence")):
        with pytest.raises(DeskError, match=words):
            decide(request=three.request, ids=ids(three.asking), is_approved=True, reason=reason, by=registrar)
    made = decide(request=three.request, ids=ids(three.asking), is_approved=True, reason=WHY, by=registrar)
    assert (made.answer, made.reason) == (Answer.ASK_FIRST, WHY)


def test_never_against_a_no(three: Scene, registrar: User) -> None:
    """Whatever the reason; and the database holds it, too."""
    with pytest.raises(DeskError, match="The terms do not allow this"):
        decide(request=three.request, ids=ids(three.forbidding), is_approved=True, reason=WHY, by=registrar)
    with pytest.raises(IntegrityError), transaction.atomic():
        RequestDecision.objects.create(
            request=three.request, is_approved=True, answer=int(Answer.NOT_ALLOWED), reason=WHY, decided_by=registrar
        )


def test_a_no_needs_no_reason_to_stay_and_a_yes_does(three: Scene, registrar: User) -> None:
    made = decide(request=three.request, ids=ids(three.forbidding), is_approved=False, by=registrar)
    assert (made.is_approved, made.reason) == (False, "")
    with pytest.raises(DeskError, match="say why it stays here"):
        decide(request=three.request, ids=ids(three.allowing), is_approved=False, by=registrar)


def test_groups_are_not_mixed(three: Scene, registrar: User) -> None:
    """One decision keeps one answer: specimens that are answered differently are decided one group after the other."""
    mixed = [*ids(three.allowing), *ids(three.asking)]
    with pytest.raises(DeskError, match="group by group"):
        decide(request=three.request, ids=mixed, is_approved=True, reason=WHY, by=registrar)
    assert not RequestDecision.objects.exists()


def test_decided_once(three: Scene, registrar: User) -> None:
    decide(request=three.request, ids=ids(three.allowing[:1]), is_approved=True, by=registrar)
    with pytest.raises(DeskError, match="1 specimen is decided already"):
        decide(request=three.request, ids=ids(three.allowing), is_approved=True, by=registrar)


def test_strange_specimens_are_refused(three: Scene, registrar: User) -> None:
    other = register.specimen()
    with pytest.raises(DeskError, match="1 specimen is not in this group"):
        decide(request=three.request, ids=[other.pk], is_approved=True, by=registrar)
    with pytest.raises(DeskError, match="3 specimens are not in this group"):
        decide(
            request=three.request, ids=ids(three.asking), is_approved=True, by=registrar,
            seen=seen_of(three.request, Answer.ALLOWED),
        )  # fmt: skip


def test_silence_that_is_read_as_allowed_may_go_and_says_silent(registrar: User) -> None:
    one = register.specimen()
    verdicts.judged(one)
    paper = register.paper()
    usedesk.use_term(register.version(paper, "2019-01-01", None), Use.IMAGING, Said.SILENT)
    register.link(paper, specimen=one)
    request = usedesk.use_request(Use.IMAGING, specimens=[one], country="")
    with pytest.raises(DeskError, match="Terms silent"):
        decide(request=request, ids=[one.pk], is_approved=True, by=registrar)
    SilenceRule.objects.create(reading=int(Answer.ALLOWED), reason="Board, 2024")
    made = decide(request=request, ids=[one.pk], is_approved=True, by=registrar)
    assert (made.answer, made.is_silent) == (Answer.ALLOWED, True)


# Held against what was seen -------------------------------------------------------------------------------------------


def test_clause_that_was_corrected_meanwhile(three: Scene, registrar: User) -> None:
    """The very same answer on other words is another answer."""
    seen = seen_of(three.request, Answer.ALLOWED)
    version_of(three.allows).use_terms.update(clause="Other words.")
    with pytest.raises(DeskError, match="changed meanwhile"):
        decide(request=three.request, is_approved=True, by=registrar, seen=seen)
    assert not RequestDecision.objects.exists()


def test_paper_that_came_meanwhile(three: Scene, registrar: User) -> None:
    """A paper nobody has read is linked to one of them: the group is no longer what was seen."""
    seen, before = seen_of(three.request, Answer.ALLOWED), desk_answer(three.request)
    register.link(register.paper("NEW-9"), specimen=three.allowing[0])
    with pytest.raises(DeskError, match="changed meanwhile"):
        decide(request=three.request, is_approved=True, by=registrar, seen=seen)
    with pytest.raises(DeskError, match="changed meanwhile"):
        decide(request=three.request, ids=ids(three.allowing[:1]), is_approved=True, by=registrar, answer=before)
    decide(request=three.request, ids=ids(three.allowing[1:]), is_approved=True, by=registrar, answer=before)


def test_all_of_what_was_seen(three: Scene, registrar: User) -> None:
    made = decide(request=three.request, is_approved=True, by=registrar, seen=seen_of(three.request, Answer.ALLOWED))
    assert made.items.count() == 3


def test_answered_request_is_decided_no_more(three: Scene, registrar: User) -> None:
    decide(request=three.request, ids=ids(three.allowing), is_approved=True, by=registrar)
    three.request.items.filter(decision__isnull=True).delete()
    answer_request(request=three.request, by=registrar)
    with pytest.raises(DeskError, match="is answered"):
        withdraw_decision(decision=RequestDecision.objects.get(), reason=WHY, by=registrar)


# All that may go ------------------------------------------------------------------------------------------------------


def test_all_that_may_go_in_one_step(three: Scene, registrar: User) -> None:
    desk = desk_answer(three.request)
    marks = [one.seen for one in all_that_may_go(three.request, desk)]
    (made,) = approve_all(request=three.request, seen=marks, by=registrar)
    assert set(made.items.values_list("specimen_id", flat=True)) == set(ids(three.allowing))
    assert undecided(three.request) == {*ids(three.asking), *ids(three.forbidding)}
    with pytest.raises(DeskError, match="Nothing that is undecided"):
        approve_all(request=three.request, seen=marks, by=registrar)


def test_all_that_may_go_is_what_was_seen(three: Scene, registrar: User) -> None:
    with pytest.raises(DeskError, match="changed meanwhile"):
        approve_all(request=three.request, seen=["allowed:0"], by=registrar)


# Withdrawn ------------------------------------------------------------------------------------------------------------


def test_withdrawn_decision_frees_its_specimens(three: Scene, registrar: User) -> None:
    made = decide(request=three.request, ids=ids(three.allowing), is_approved=True, by=registrar)
    with pytest.raises(DeskError, match="at least a sentence"):
        withdraw_decision(decision=made, reason="no", by=registrar)
    withdraw_decision(decision=made, reason=WHY, by=registrar)
    assert len(undecided(three.request)) == 9
    item = three.request.items.get(specimen=three.allowing[0])
    assert [entry.decision_id for entry in item.history.all()][:2] == [None, made.pk]
    with pytest.raises(DeskError, match="withdrawn already"):
        withdraw_decision(decision=made, reason=WHY, by=registrar)
    again = decide(request=three.request, ids=ids(three.allowing), is_approved=True, by=registrar)
    assert again.pk != made.pk


def test_decision_on_which_a_use_rests_stands(three: Scene, registrar: User) -> None:
    made = decide(request=three.request, ids=ids(three.allowing), is_approved=True, by=registrar)
    used = usedesk.made_use(three.allowing[0], deed=MadeUse.Deed.IMAGING, use=int(Use.IMAGING))
    UseItem.objects.update(decision=made)
    with pytest.raises(DeskError, match="1 specimen was used on the strength of this decision"):
        withdraw_decision(decision=made, reason=WHY, by=registrar)
    used.voided_at, used.voided_by, used.voided_why = used.recorded_at, registrar, "entered twice"
    used.save()
    withdraw_decision(decision=made, reason=WHY, by=registrar)


# Pages ----------------------------------------------------------------------------------------------------------------


def page(three: Scene, answer: Answer) -> str:
    return reverse("usedesk:request-decide", args=[three.request.pk, group_of(three.request, answer)])


def posted(three: Scene, answer: Answer, **more: Any) -> dict[str, Any]:
    return {"verdict": "go", "which": "all", "seen": seen_of(three.request, answer), "reason": "", **more}


def test_page_shows_clause_and_count(three: Scene, client: Client) -> None:
    text = client.get(page(three, Answer.ASK_FIRST)).content.decode()
    assert "Decide on 3 specimens: Ask the provider first" in text
    assert f"{CANARY} ABS-2" in text
    assert "clause 7.2, page 3" in text


def test_partial_approval_by_count_ticks_and_numbers(three: Scene, client: Client) -> None:
    """The first one, then a ticked one, then one from a list: three decisions."""
    path = page(three, Answer.ALLOWED)
    one, two, other = three.allowing
    client.post(path, posted(three, Answer.ALLOWED, which="first", first="1"))
    assert one.pk not in undecided(three.request)
    client.post(path, posted(three, Answer.ALLOWED, which="ticked", item=[str(other.pk)]))
    assert undecided(three.request) & set(ids(three.allowing)) == {two.pk}
    client.post(path, posted(three, Answer.ALLOWED, which="listed", numbers=f" {two.catalog_number.lower()} ,"))
    assert not undecided(three.request) & set(ids(three.allowing))
    assert RequestDecision.objects.count() == 3
    assert "All of this group is decided" in client.get(path).content.decode()


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"verdict": ""}, "Say whether they may go or stay."),
        ({"which": "first"}, "Say how many."),
        ({"which": "first", "first": "4"}, "Only 3 are undecided here."),
        ({"which": "first", "first": "0"}, "greater than or equal to 1"),
        ({"which": "ticked"}, "Tick at least one specimen"),
        ({"which": "ticked", "item": ["999999", "x"]}, "1 of the ticked specimens are no longer undecided"),
        ({"which": "listed", "numbers": " ,"}, "List at least one number."),
        ({"which": "listed", "numbers": "A-1, LMN-DEP-3-0"}, "A-1, LMN-DEP-3-0"),
        ({"verdict": "stay"}, "say why it stays here"),
        ({"seen": "allowed:0"}, "changed meanwhile"),
    ],
)
def test_what_cannot_be_decided_is_said(more: dict[str, Any], words: str, three: Scene, client: Client) -> None:
    answer = client.post(page(three, Answer.ALLOWED), posted(three, Answer.ALLOWED, **more))
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not RequestDecision.objects.exists()


def test_a_no_offers_no_yes(three: Scene, client: Client) -> None:
    path = page(three, Answer.NOT_ALLOWED)
    assert b'value="go"' not in client.get(path).content
    assert client.post(path, posted(three, Answer.NOT_ALLOWED)).status_code == 422
    assert client.post(path, posted(three, Answer.NOT_ALLOWED, verdict="stay")).status_code == 302


def test_group_that_is_gone_leads_back(three: Scene, client: Client) -> None:
    answer = client.get(reverse("usedesk:request-decide", args=[three.request.pk, "allowed-0123456789"]))
    assert answer["Location"] == reverse("usedesk:request", args=[three.request.pk])


def test_all_that_may_go_on_its_page(three: Scene, client: Client) -> None:
    duty = "Tell the provider within a month."
    UseTerm.objects.filter(version__paper=three.allows).update(said=Said.WITH_DUTIES, duties=duty)
    path = reverse("usedesk:request-approve", args=[three.request.pk])
    shown = client.get(path)
    assert "Approve 3 specimens" in shown.content.decode()
    assert duty in shown.content.decode()
    answer = client.post(path, {"seen": shown.context["form"]["seen"].value()})
    assert answer.status_code == 302
    assert len(undecided(three.request)) == 6


def test_withdrawal_on_its_page(three: Scene, client: Client, registrar: User) -> None:
    made = decide(request=three.request, ids=ids(three.allowing), is_approved=True, by=registrar)
    path = reverse("usedesk:decision-withdraw", args=[made.pk])
    assert "3 specimens will be undecided again" in client.get(path).content.decode()
    assert client.post(path, {"reason": "no"}).status_code == 422
    assert client.post(path, {"reason": WHY}).status_code == 302
    assert "It was withdrawn already" in client.get(path).content.decode()


def test_clause_of_a_restricted_paper_is_for_its_readers(three: Scene, client: Client, registrar: User) -> None:
    """The answer and the paper's number show; its words do not, neither before nor after the decision."""
    three.asks.restricted_to, three.asks.restricted_why = role_bits([Role.COMPLIANCE]), "asked for by the owner"
    three.asks.save()
    text = client.get(page(three, Answer.ASK_FIRST)).content.decode()
    assert "ABS-2" in text
    assert CANARY not in text
    assert "Restricted: open to compliance officers." in text
    made = decide(request=three.request, ids=ids(three.asking), is_approved=True, reason=WHY, by=registrar)
    text = client.get(reverse("usedesk:decision-withdraw", args=[made.pk])).content.decode()
    assert CANARY not in text
    client.force_login(register.person(Role.COMPLIANCE))
    assert CANARY in client.get(reverse("usedesk:decision-withdraw", args=[made.pk])).content.decode()


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.CURATOR, Role.AUDITOR, Role.ADMINISTRATOR])
def test_who_may_not_decide(role: str, three: Scene, registrar: User) -> None:
    person = register.person(role)
    made = decide(request=three.request, ids=ids(three.asking), is_approved=True, reason=WHY, by=registrar)
    for act in (
        lambda: decide(request=three.request, ids=ids(three.allowing), is_approved=True, by=person),
        lambda: approve_all(request=three.request, seen=[], by=person),
        lambda: withdraw_decision(decision=made, reason=WHY, by=person),
    ):
        with pytest.raises(NotAllowedError):
            act()


# Many, and two at once ------------------------------------------------------------------------------------------------


def many(count: int) -> UseRequest:
    """A request for many specimens under one paper that allows, past the factories, which are slow."""
    paper = register.paper("COL-1")
    usedesk.use_term(register.version(paper, "2019-01-01", None), Use.STUDY_ON_THE_SPOT, Said.ALLOWED)
    first = register.specimen()
    register.link(paper, accession=first.accession)
    model = type(first)
    model.objects.bulk_create(
        model(catalog_number=f"M-{n:06}", accession=first.accession, event=first.event, name=first.name)
        for n in range(count - 1)
    )
    request = usedesk.use_request(Use.STUDY_ON_THE_SPOT, country="")
    by = register.person(Role.REGISTRAR)
    keys = model.objects.order_by("pk").values_list("pk", flat=True)
    RequestItem.objects.bulk_create(RequestItem(request=request, specimen_id=pk, added_by=by) for pk in keys)
    return request


def test_ten_thousand_on_the_page_and_decided(
    client: Client, registrar: User, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    """As many queries for 10,000 as for 10: the page asks for one page of specimens, the decision goes set by set."""
    counted = {}
    client.cookies["first-steps"] = "hidden"  # else the page after a decision tells of the next step, too
    for count in (10, 10_000):
        with transaction.atomic():
            request = many(count)
            path = reverse("usedesk:request-decide", args=[request.pk, group_of(request, Answer.ALLOWED)])
            with django_assert_max_num_queries(60) as asked:
                shown = client.get(path)
            assert len(shown.context["specimens"]) == min(count, 25)
            counted[count] = len(asked)
            with django_assert_max_num_queries(90):  # the answer is worked out for the form, and again to decide
                typed = {"verdict": "go", "which": "all", "seen": shown.context["waiting"].seen}
                assert client.post(path, typed).status_code == 302
            assert request.items.filter(decision__is_approved=True).count() == count
            transaction.set_rollback(True)
    assert counted[10_000] <= counted[10] + 12, counted


@pytest.mark.django_db(transaction=True)
def test_two_people_at_one_group(registrar: User) -> None:
    """Both saw the same group: one decision stands, the other is told, and no specimen has two."""
    three = scene(count=1)
    other = register.person(Role.COMPLIANCE)
    seen = seen_of(three.request, Answer.ALLOWED)
    told: list[object] = []
    start = threading.Barrier(2)

    def decided(person: User) -> bool:
        """Whether it came to an end: SQLite in memory refuses who comes second, so that one tries again."""
        try:
            told.append(decide(request=three.request, is_approved=True, by=person, seen=seen))
        except DeskError as problem:
            told.append(problem)
        except OperationalError:
            if connection.vendor == "postgresql":
                raise
            return False
        return True

    def act(person: User) -> None:
        start.wait(10)
        try:
            until = time.monotonic() + 20
            while not decided(person) and time.monotonic() < until:
                pass
        finally:
            connection.close()

    threads = [threading.Thread(target=act, args=(person,)) for person in (registrar, other)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert sorted(type(one).__name__ for one in told) == ["DeskError", "RequestDecision"]
    assert RequestDecision.objects.count() == 1
