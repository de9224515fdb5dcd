"""Questions to providers: asked, replied to, corrected; their letters; what is restricted stays so."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import NotAllowedError, role_bits
from accessions.people.models import Role, User
from governance.engine.uses import Answer, Use
from governance.papers.models import Paper
from governance.papers.restriction import RestrictedPaperError
from governance.usedesk.actions.asking import ask, record_reply, take_question_back
from governance.usedesk.actions.deciding import decide
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.requests import close_request
from governance.usedesk.letters import LANGUAGES, letter_language
from governance.usedesk.models import DeskRules, ProviderQuestion
from governance.usedesk.queries.answering import desk_answer
from governance.usedesk.queries.asking import to_ask
from tests.factories import register, usedesk
from tests.integration.usedesk.desk_scene import CANARY, Scene, scene

pytestmark = pytest.mark.django_db

IMAGING = 1 << Use.IMAGING
ASKED: dict[str, Any] = {"uses": IMAGING, "asked_of": "Directorate of Waters", "asked_on": date(2026, 11, 21)}
AGREED: dict[str, Any] = {"reply": "agreed", "replied_on": date(2026, 11, 24), "reply_words": "We agree to images."}
REFUSED = AGREED | {"reply": "refused", "reply_words": "We do not agree."}


@pytest.fixture
def curator() -> User:
    return register.person(Role.CURATOR)


@pytest.fixture
def client(curator: User) -> Client:
    found = Client()
    found.force_login(curator)
    return found


@pytest.fixture
def three() -> Scene:
    return scene()


def restrict(paper: Paper) -> None:
    paper.restricted_to, paper.restricted_why = role_bits([Role.COMPLIANCE]), "asked for by the owner"
    paper.save()


def asked(three: Scene, by: User, **more: Any) -> ProviderQuestion:
    return ask(request=three.request, paper=three.asks, by=by, **(ASKED | more))


def counts(three: Scene) -> dict[Answer, int]:
    return {word: count for word, count in desk_answer(three.request).counts.items() if count}


# What is to be asked --------------------------------------------------------------------------------------------------


def test_uses_and_specimens_in_question(three: Scene) -> None:
    wanted = to_ask(desk_answer(three.request), three.asks)
    assert wanted is not None
    assert wanted.uses == (Use.IMAGING,)
    assert set(wanted.ids) == {one.pk for one in three.asking}
    assert wanted.whom == "Directorate of ABS-2"


def test_whom_the_terms_name_is_asked(three: Scene) -> None:
    reading = three.asks.versions.get().terms_reading
    reading.ask_whom, reading.reply_days = "Focal point for access", 30
    reading.save()
    wanted = to_ask(desk_answer(three.request), three.asks)
    assert wanted is not None
    assert (wanted.whom, wanted.reply_days) == ("Focal point for access", 30)


def test_paper_that_bears_on_nothing(three: Scene, curator: User, client: Client) -> None:
    other = register.paper("XX-1")
    assert to_ask(desk_answer(three.request), other) is None
    with pytest.raises(DeskError, match="XX-1 does not bear on any specimen"):
        ask(request=three.request, paper=other, by=curator, **ASKED)
    answer = client.get(reverse("usedesk:request-ask", args=[three.request.pk, other.pk]))
    assert answer["Location"] == reverse("usedesk:request", args=[three.request.pk])


# Asked ----------------------------------------------------------------------------------------------------------------


def test_question_alone_changes_no_answer(three: Scene, curator: User) -> None:
    before = counts(three)
    asked(three, curator)
    assert counts(three) == before == {Answer.ALLOWED: 3, Answer.ASK_FIRST: 3, Answer.NOT_ALLOWED: 3}


def test_agreement_and_refusal_change_it(three: Scene, curator: User) -> None:
    question = asked(three, curator)
    record_reply(question=question, values=AGREED, by=curator)
    assert counts(three) == {Answer.ALLOWED: 3, Answer.WITH_DUTIES: 3, Answer.NOT_ALLOWED: 3}
    record_reply(question=question, values=REFUSED, by=curator, why="misread")
    assert counts(three) == {Answer.ALLOWED: 3, Answer.NOT_ALLOWED: 6}
    assert [entry.reply for entry in question.history.all()] == ["refused", "agreed", ""]


def test_agreement_is_of_one_request(three: Scene, curator: User) -> None:
    record_reply(question=asked(three, curator), values=AGREED, by=curator)
    other = usedesk.use_request(Use.IMAGING, specimens=three.asking, country="")
    assert desk_answer(other).counts[Answer.ASK_FIRST] == 3


def test_same_question_is_not_asked_twice(three: Scene, curator: User) -> None:
    question = asked(three, curator)
    with pytest.raises(DeskError, match="asked on 2026-11-21 already and waits for a reply: Imaging"):
        asked(three, curator)
    record_reply(question=question, values=REFUSED, by=curator)
    assert asked(three, curator).pk != question.pk, "after a reply it may be asked anew"


def test_only_uses_of_the_request(three: Scene, curator: User) -> None:
    with pytest.raises(DeskError, match="does not ask for all of these uses"):
        asked(three, curator, uses=IMAGING | 1 << Use.SEQUENCING)


def test_closed_request_is_asked_about_no_more(three: Scene, curator: User) -> None:
    question = asked(three, curator)
    close_request(request=three.request, by=curator, why="withdrawn")
    for act in (
        lambda: asked(three, curator),
        lambda: record_reply(question=question, values=AGREED, by=curator),
        lambda: take_question_back(question=question, by=curator, why="x"),
    ):
        with pytest.raises(DeskError, match="is closed"):
            act()


def test_days_that_cannot_be(three: Scene, curator: User) -> None:
    tomorrow = timezone.localdate() + timedelta(1)
    with pytest.raises(ValidationError, match="still to come"):
        asked(three, curator, asked_on=tomorrow)
    question = asked(three, curator)
    with pytest.raises(ValidationError, match="still to come"):
        record_reply(question=question, values=AGREED | {"replied_on": tomorrow}, by=curator)
    with pytest.raises(ValidationError, match="A reply has a day, not before the question, and its words"):
        record_reply(question=question, values=AGREED | {"replied_on": date(2026, 11, 20)}, by=curator)
    with pytest.raises(ValidationError, match="and its words"):
        record_reply(question=question, values=AGREED | {"reply_words": ""}, by=curator)


def test_database_holds_a_reply_together(three: Scene, curator: User) -> None:
    question = asked(three, curator)
    with pytest.raises(IntegrityError, match="providerquestion_reply_whole"), transaction.atomic():
        ProviderQuestion.objects.filter(pk=question.pk).update(reply="agreed")


def test_reply_under_a_decision_stands(three: Scene, curator: User) -> None:
    """Its words may be completed; the other way round only once the decision is withdrawn."""
    question = asked(three, curator)
    record_reply(question=question, values=AGREED, by=curator)
    keys = [one.pk for one in three.asking]
    decide(request=three.request, ids=keys, is_approved=True, by=register.person(Role.REGISTRAR))
    with pytest.raises(DeskError, match="Withdraw them first"):
        record_reply(question=question, values=REFUSED, by=curator, why="misread")
    record_reply(question=question, values=AGREED | {"reply_words": "We agree, with credit."}, by=curator, why="more")


def test_question_that_was_never_sent_goes(three: Scene, curator: User) -> None:
    question = asked(three, curator)
    with pytest.raises(DeskError, match="Say why"):
        take_question_back(question=question, by=curator, why=" ")
    take_question_back(question=question, by=curator, why="never sent")
    assert not ProviderQuestion.objects.exists()
    assert ProviderQuestion.history.first().history_change_reason == "never sent"
    question = asked(three, curator)
    record_reply(question=question, values=REFUSED, by=curator)
    with pytest.raises(DeskError, match="stays on record"):
        take_question_back(question=question, by=curator, why="x")


# Pages ----------------------------------------------------------------------------------------------------------------


def test_asked_and_replied_on_pages(three: Scene, client: Client) -> None:
    """The uses that want an answer are ticked before; letters are kept as scans."""
    path = reverse("usedesk:request-ask", args=[three.request.pk, three.asks.pk])
    text = client.get(path).content.decode()
    assert f'value="{int(Use.IMAGING)}" class="" id="id_uses_0" checked' in text or "checked" in text
    assert 'value="Directorate of ABS-2"' in text
    letter = SimpleUploadedFile("ask.txt", b"May these be photographed?", "text/plain")
    typed = {"uses": [str(int(Use.IMAGING))], "asked_of": "Directorate", "asked_on": "2026-11-21", "letter": letter}
    answer = client.post(path, typed)
    question = ProviderQuestion.objects.get()
    assert answer["Location"] == reverse("usedesk:question", args=[question.pk])
    assert question.letter is not None
    reply = reverse("usedesk:question-reply", args=[question.pk])
    client.post(reply, {"reply": "agreed", "replied_on": "2026-11-24", "reply_words": "We agree to images."})
    text = client.get(reverse("usedesk:question", args=[question.pk])).content.decode()
    assert "The provider agreed on 24 November 2026." in text
    assert "We agree to images." in text
    assert f"{CANARY} ABS-2" in text
    again = client.post(reply, {"reply": "refused", "replied_on": "2026-11-24", "reply_words": "No."})
    assert again.status_code == 422, "a correction wants a reason"


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"reply": ""}, "Say whether the provider agreed or refused."),
        ({"replied_on": "2026-11-20"}, "2026-11-20 is before the day on which it was asked (2026-11-21)."),
        ({"reply_words": ""}, "Write the reply in its words."),
        ({"replied_on": "24.11."}, "Enter a valid date."),
    ],
)
def test_reply_that_cannot_be(typed: dict[str, str], words: str, three: Scene, curator: User, client: Client) -> None:
    question = asked(three, curator)
    good = {"reply": "agreed", "replied_on": "2026-11-24", "reply_words": "We agree."}
    answer = client.post(reverse("usedesk:question-reply", args=[question.pk]), good | typed)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    question.refresh_from_db()
    assert question.reply == ""


def test_queries_of_a_question(
    three: Scene, curator: User, client: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    """Session, user, question; terms of the paper (4), version, clauses; history; decisions."""
    question = asked(three, curator)
    with django_assert_num_queries(11):
        client.get(reverse("usedesk:question", args=[question.pk]))


# Restricted -----------------------------------------------------------------------------------------------------------


def test_question_on_a_restricted_paper(three: Scene, curator: User, client: Client) -> None:
    """That it was asked, and the reply in one word, everybody sees; whom and the words only readers of the paper."""
    question = asked(three, curator, asked_of=f"{CANARY} of Waters")
    record_reply(question=question, values=AGREED | {"reply_words": f"{CANARY} agrees"}, by=curator)
    restrict(three.asks)
    text = client.get(reverse("usedesk:question", args=[question.pk])).content.decode()
    assert "The provider agreed on 24 November 2026." in text
    assert "ABS-2" in text
    assert CANARY not in text
    for name in ("question-reply", "question-letter", "question-remove"):
        answer = client.get(reverse(f"usedesk:{name}", args=[question.pk]))
        assert answer.status_code == 403
        assert CANARY not in answer.content.decode()
    assert client.get(reverse("usedesk:request-ask", args=[three.request.pk, three.asks.pk])).status_code == 403
    with pytest.raises(RestrictedPaperError):
        asked(three, curator)
    with pytest.raises(RestrictedPaperError):
        record_reply(question=question, values=REFUSED, by=curator, why="x")


@pytest.mark.parametrize("role", [Role.AUDITOR, Role.ADMINISTRATOR])
def test_who_asks_nothing(role: str, three: Scene, curator: User) -> None:
    question = asked(three, curator)
    person = register.person(role)
    for act in (
        lambda: asked(three, person),
        lambda: record_reply(question=question, values=AGREED, by=person),
        lambda: take_question_back(question=question, by=person, why="x"),
    ):
        with pytest.raises(NotAllowedError):
            act()


def test_volunteer_asks_and_records_no_reply(three: Scene) -> None:
    """What a provider allows is as much as a paper: who registers papers records it."""
    volunteer = register.person(Role.VOLUNTEER)
    question = asked(three, volunteer)
    with pytest.raises(NotAllowedError):
        record_reply(question=question, values=AGREED, by=volunteer)


# Letters --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tag", "code"), [("es-CR", "es"), ("pt", "pt"), ("FR", "fr"), ("ka", "en"), ("", "en"), ("spanish", "en")]
)
def test_language_of_the_letter(tag: str, code: str) -> None:
    """BCP 47 (RFC 5646, 2.1): the primary language stands before the first hyphen."""
    assert letter_language(tag) == code


def test_letter_holds_the_facts_and_marks_what_is_not_known(three: Scene, curator: User, client: Client) -> None:
    question = asked(three, curator)
    text = client.get(reverse("usedesk:question-letter", args=[question.pk]) + "?as=text").content.decode()
    for words in (
        "To: Directorate of Waters", "Our reference: UR-2026-064", "  - Imaging",
        f"“{CANARY} ABS-2” (clause 7.2, page 3)",
        "Material: 3 specimens", "LMN-ABS-2-0, LMN-ABS-2-1, LMN-ABS-2-2", "[NOT KNOWN: purpose of the work]",
        "[NOT KNOWN: name and address of the institution]", "Commercial use: no",
    ):  # fmt: skip
        assert words in text, words
    assert f"{CANARY} COL-1" not in text


@pytest.mark.parametrize("code", LANGUAGES)
def test_letter_in_every_language(code: str, three: Scene, curator: User, client: Client) -> None:
    """No phrase is missing, no placeholder left over; the day in the words of the language."""
    DeskRules.objects.create(pk=1, institution="Lindmark Museum of Natural History", address="Strandgatan 1")
    three.request.starts_on, three.request.ends_on = date(2027, 1, 1), date(2027, 12, 31)
    three.request.parts, three.request.country = "leg", "IS"
    three.request.save()
    question = asked(three, curator)
    answer = client.get(reverse("usedesk:question-letter", args=[question.pk]) + f"?in={code}")
    text = answer.context["text"]
    assert "{" not in text
    days = {"en": "1 January 2027", "es": "1 de enero de 2027", "fr": "1er janvier 2027", "pt": "1 de janeiro de 2027"}
    assert days[code] in text
    assert f'lang="{code}"' in answer.content.decode()


def test_letter_takes_the_language_of_the_paper(three: Scene, curator: User, client: Client) -> None:
    three.asks.language = "es-CR"
    three.asks.save()
    question = asked(three, curator)
    text = client.get(reverse("usedesk:question-letter", args=[question.pk]) + "?as=text").content.decode()
    assert "A: Directorate of Waters" in text
    assert "  - Toma de imágenes" in text
