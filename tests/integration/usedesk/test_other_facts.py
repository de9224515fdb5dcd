"""What was agreed, decided or settled is of what was asked then: of these facts, these papers, these specimens.

Nagoya Protocol, Art. 6(3)(g)(iii) and (iv): terms on third parties and on a change of intent. That an agreement covers
what the letter named, and no more: common practice, no source.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from accessions.material.actions.pools import make_pool
from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.engine.uses import Answer, Said, Tri, Use, Way, WayCode
from governance.papers.actions.restricting import restrict
from governance.papers.models import UseTerm
from governance.usedesk.actions.basket import add_items
from governance.usedesk.actions.deciding import decide
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.making import record_use
from governance.usedesk.actions.requests import edit_request
from governance.usedesk.models import CitesListing, DeskRules, MadeUse, ProviderQuestion, WayDecision
from governance.usedesk.queries.answering import Facts, desk_answer, one_answer
from governance.usedesk.queries.deciding import to_decide
from governance.usedesk.queries.late import LABEL, way_of
from governance.usedesk.queries.way import WayThere
from governance.usedesk.sheet.gathering import sheet_of_request
from tests.factories import register, usedesk, verdicts
from tests.integration.usedesk.desk_scene import CANARY, Scene, scene, version_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def by() -> Any:
    return register.person(Role.REGISTRAR)


def agreed(three: Scene, by: Any) -> ProviderQuestion:
    return ProviderQuestion.objects.create(
        request=three.request, paper=three.asks, uses=three.request.uses, asked_of="Directorate", recorded_by=by,
        asked_on=date(2026, 11, 20), reply="agreed", replied_on=date(2026, 11, 20), reply_words="Agreed.",
    )  # fmt: skip


def answers(three: Scene, *specimens: Any) -> set[Answer]:
    desk = desk_answer(three.request)
    return {desk.case_of(one.pk).answer for one in specimens}


def another_under(paper: Any, number: str, **values: Any) -> Any:
    made = register.specimen(number, **values)
    register.link(paper, specimen=made)
    verdicts.judged(made)
    return made


def imaged(three: Scene, by: Any, specimen: Any, **values: Any) -> MadeUse:
    return record_use(
        deed="imaging", on=timezone.localdate(), ids=[specimen.pk], by=by, why="recorded", request=three.request,
        **values,
    )  # fmt: skip


def test_an_agreement_is_of_the_specimens_that_were_in_the_basket(by: Any) -> None:
    three = scene()
    agreed(three, by)
    late = another_under(three.asks, "LMN-LATE")
    add_items(request=three.request, specimens=[late.pk], by=by)

    assert answers(three, *three.asking) == {Answer.WITH_DUTIES}
    assert answers(three, late) == {Answer.ASK_FIRST}
    assert desk_answer(three.request).late == 1
    assert one_answer(Facts.of(three.request), late.pk).answers.answers() == [Answer.ASK_FIRST]
    assert one_answer(Facts.of(three.request), three.asking[0].pk).answers.answers() == [Answer.WITH_DUTIES]


def test_an_agreement_is_of_no_specimen_outside_the_basket(by: Any) -> None:
    three = scene()
    agreed(three, by)
    stranger = another_under(three.asks, "LMN-STRANGER")
    assert imaged(three, by, stranger).is_outside is True
    assert imaged(three, by, three.asking[0]).is_outside is False


def test_what_was_taken_from_a_specimen_of_the_basket_counts_as_that(by: Any) -> None:
    three = scene()
    agreed(three, by)
    part = register.specimen("LMN-LEG", parent=three.asking[0])
    verdicts.judged(part)
    assert imaged(three, by, part).is_outside is False
    pool = make_pool([three.asking[0].pk, another_under(three.asks, "LMN-S").pk], catalog_number="P-1", by=by, why="w")
    verdicts.judged(pool)
    assert imaged(three, by, pool).is_outside is True


def test_a_provider_agrees_to_what_the_letter_said(by: Any) -> None:
    """The request changes while the reply is on its way: what was agreed to is what was asked."""
    three = scene()
    question = ProviderQuestion.objects.create(
        request=three.request, paper=three.asks, uses=three.request.uses, asked_of="Directorate", recorded_by=by,
        asked_on=date(2026, 11, 20),
    )  # fmt: skip
    edit_request(request=three.request, values={"commercial": "yes"}, by=by, why="told by telephone")
    question.reply, question.replied_on, question.reply_words = "agreed", date(2026, 11, 20), "Agreed."
    question.save()
    three.request.refresh_from_db()
    assert answers(three, *three.asking) == {Answer.ASK_FIRST}


@pytest.mark.parametrize("other", ["recipient", "commercial", "identification_only", "parts", "country"])
@pytest.mark.parametrize("is_decided", [False, True])
def test_a_use_of_other_facts_is_neither_agreed_nor_approved(by: Any, other: str, is_decided: bool) -> None:
    three = scene()
    named = usedesk.recipient()
    three.request.recipient, three.request.parts, three.request.identification_only = named, "leg", "yes"
    three.request.country = "IS" if other == "country" else ""
    three.request.save()
    if is_decided:
        decide(request=three.request, ids=[three.asking[0].pk], is_approved=True, by=by,
               reason="The directorate agreed to it by telephone.")  # fmt: skip
    else:
        agreed(three, by)
    told: dict[str, Any] = {"recipient": named, "parts": "leg"}
    if other != "country":
        assert imaged(three, by, three.asking[0], **told).is_outside is False
    different = {
        "recipient": usedesk.recipient(), "commercial": "yes", "identification_only": "no", "parts": "wing",
        "country": usedesk.recipient(country="US"),
    }  # fmt: skip
    name = "recipient" if other == "country" else other
    assert imaged(three, by, three.asking[0], **told | {name: different[other]}).is_outside is True


def test_who_let_go_what_was_allowed_has_not_agreed_for_a_provider(by: Any) -> None:
    """A paper that asks first comes to light after the decision."""
    three = scene()
    one = three.allowing[0]
    decide(request=three.request, ids=[one.pk], is_approved=True, by=by)
    assert imaged(three, by, one).is_outside is False
    register.link(three.asks, specimen=one)
    made = imaged(three, by, one)
    assert made.is_outside is True
    assert made.items.get().decision is None


def test_a_decision_is_of_the_papers_that_asked_then(by: Any) -> None:
    three = scene()
    one = three.asking[0]
    decide(request=three.request, ids=[one.pk], is_approved=True, by=by, reason="The directorate agreed by telephone.")
    assert imaged(three, by, one).is_outside is False
    assert sheet_of_request(three.request, by).held_back == ()
    other = register.paper("ABS-9")
    usedesk.use_term(register.version(other, "2019-01-01", None), Use.IMAGING, Said.ASK_FIRST)
    register.link(other, specimen=one)
    assert imaged(three, by, one).is_outside is True
    assert list(sheet_of_request(three.request, by).held_back) == [one.catalog_number]


def test_a_loan_at_home_to_another_country_is_one_abroad(by: Any) -> None:
    """Whatever it is called: the clause on loans abroad and the way there bear on it."""
    DeskRules.objects.update_or_create(pk=1, defaults={"country": "SE"})
    three = scene(Use.LOAN_AT_HOME)
    usedesk.use_term(version_of(three.allows), Use.LOAN_ABROAD, Said.NOT_ALLOWED)
    assert answers(three, *three.allowing) == {Answer.ALLOWED}
    three.request.country = "IS"
    assert answers(three, *three.allowing) == {Answer.NOT_ALLOWED}
    three.request.country, three.request.recipient = "", usedesk.recipient(country="IS")
    assert answers(three, *three.allowing) == {Answer.NOT_ALLOWED}
    three.request.recipient = usedesk.recipient(country="SE")
    assert answers(three, *three.allowing) == {Answer.ALLOWED}


def test_a_loan_goes_where_the_request_says(by: Any) -> None:
    """The borrower has its seat at home, the material goes abroad."""
    DeskRules.objects.update_or_create(pk=1, defaults={"country": "SE"})
    three = scene(Use.LOAN_ABROAD)
    three.request.recipient, three.request.country = usedesk.recipient(country="SE"), "IS"
    three.request.save()
    made = record_use(
        deed="loan", on=timezone.localdate(), ids=[three.allowing[0].pk], by=by, why="lent", request=three.request,
        recipient=three.request.recipient,
    )  # fmt: skip
    assert made.use == Use.LOAN_ABROAD


def test_cites_is_settled_for_what_was_seen(by: Any) -> None:
    """A listed specimen comes into the basket after somebody found that CITES asks for nothing."""
    DeskRules.objects.update_or_create(pk=1, defaults={"country": "SE"})
    CitesListing.objects.create(
        name="Acinonyx jubatus", kingdom="Animalia", rank="species", appendix="I", source="A list of the house",
        checked_on=date(2026, 1, 1), higher_classification="Animalia | Chordata | Mammalia | Carnivora | Felidae",
    )  # fmt: skip
    three = scene(Use.LOAN_ABROAD)
    three.request.country = "IS"
    three.request.save()
    for layer in (Layer.EXPORT, Layer.IMPORT, Layer.CITES):
        WayDecision.objects.create(
            request=three.request, layer=int(layer), reason="Common flies.", evidence="List", decided_by=by
        )
    assert answers(three, *three.allowing) == {Answer.ALLOWED}
    cat = register.written_name("Acinonyx jubatus", genus="Acinonyx", family="Felidae", kingdom="Animalia")
    late = another_under(three.allows, "LMN-LATE", name=cat)
    add_items(request=three.request, specimens=[late.pk], by=by)
    assert answers(three, *three.allowing) == {Answer.ALLOWED}
    found = desk_answer(three.request)
    codes = {finding.code for group in found.groups if late.pk in group.ids for finding in group.findings}
    assert answers(three, late) == {Answer.NOT_KNOWN}  # no sheet tells of export and import, as nobody decided for it
    assert {"export-not-known", "import-not-known"} <= codes


def test_the_label_is_of_what_was_in_the_basket() -> None:
    """A listed specimen comes in after the label of the exchange was looked at: it needs its own paper."""
    way = WayThere(
        Way(), "SE", "IS", {}, {}, Tri.YES,
        {Layer.EXPORT: WayCode.NOT_NEEDED, Layer.IMPORT: WayCode.NOT_NEEDED, Layer.CITES: WayCode.NEEDED},
    )  # fmt: skip
    for late, code in ((set(), WayCode.EXCHANGE_LABEL), ({LABEL}, WayCode.NEEDED)):
        told = way_of(way, late)
        assert told is not None and told.cites == code


@pytest.mark.parametrize("change", ["duties", "recipient"])
def test_what_changed_between_look_and_decision_is_seen_first(by: Any, change: str) -> None:
    three = scene()
    desk = desk_answer(three.request)
    seen = to_decide(three.request, next(one for one in desk.blocks if one.answer == Answer.ASK_FIRST), desk).seen
    if change == "duties":
        UseTerm.objects.filter(version=version_of(three.asks)).update(other_condition="Never in colour.")
    else:
        edit_request(request=three.request, values={"recipient": usedesk.recipient()}, by=by, why="told by telephone")
    with pytest.raises(DeskError, match="changed meanwhile"):
        decide(request=three.request, is_approved=True, by=by, seen=seen, reason="Agreed to by telephone today.")


def test_the_reason_of_a_paper_that_is_held_is_for_its_readers(client: Client, by: Any) -> None:
    DeskRules.objects.update_or_create(pk=1, defaults={"country": "SE"})
    three = scene(Use.LOAN_ABROAD)
    three.request.country = "IS"
    three.request.save()
    WayDecision.objects.create(
        request=three.request, layer=int(Layer.EXPORT), paper=three.allows, reason=f"It says {CANARY}.",
        evidence=CANARY, decided_by=by,
    )  # fmt: skip
    restrict(paper=three.allows, roles=[Role.COMPLIANCE], why="Asked for.", by=register.person(Role.COMPLIANCE))
    client.force_login(register.person(Role.VOLUNTEER))
    text = client.get(f"/desk/requests/{three.request.pk}/").content.decode()
    assert "COL-1" in text
    assert f"It says {CANARY}" not in text


@pytest.mark.parametrize(
    "sent", [{"choose": "9" * 5000, "line": "x"}, {"undo": "a\0b"}, {"choose": "1", "line": "a\0b"}]
)
def test_odd_keys_of_lines_are_answered(client: Client, by: Any, sent: dict[str, str]) -> None:
    """A number of more digits than Python reads, and a character that PostgreSQL takes in no text."""
    client.force_login(by)
    three = scene()
    assert client.post(f"/desk/requests/{three.request.pk}/scan/", sent).status_code in (302, 400)


def test_the_page_says_for_how_many_it_does_not_count(client: Client, by: Any) -> None:
    three = scene()
    agreed(three, by)
    add_items(request=three.request, specimens=[another_under(three.asks, "LMN-LATE").pk], by=by)
    client.force_login(by)
    text = client.get(f"/desk/requests/{three.request.pk}/").content.decode()
    assert "1 specimen came into the basket after a provider was asked" in text


def test_a_leg_for_somebody_abroad_may_go_abroad() -> None:
    """Nobody told the place; the recipient sits in another country, so the way there is not known."""
    DeskRules.objects.update_or_create(pk=1, defaults={"country": "SE"})
    three = scene(Use.SEQUENCING)
    three.request.recipient = usedesk.recipient(country="SE")
    three.request.save()
    assert answers(three, *three.allowing) == {Answer.ALLOWED}
    three.request.recipient = usedesk.recipient(country="IS")
    three.request.save()
    assert answers(three, *three.allowing) == {Answer.NOT_KNOWN}
