"""The rules of the desk and the names that CITES lists: set, changed, taken away, taken from files."""

from __future__ import annotations

import csv
import io
from datetime import date
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import NotAllowedError
from accessions.people.editing import NotEditableError
from accessions.people.models import Role, User
from governance.engine.uses import NO_PAPER, NOT_HEARD, Answer, Use
from governance.usedesk.actions import listings, rules
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.models import CitesListing, DeskRules, FootingRule, SilenceRule
from governance.usedesk.queries.rules import footing_lines
from governance.usedesk.questions import policy
from tests.factories import register

pytestmark = pytest.mark.django_db

SILENCE: dict[str, Any] = {"use": None, "paper_kind": "", "reading": int(Answer.ASK_FIRST), "reason": "Board, 2024"}
LISTED: dict[str, Any] = {
    "name": "Parnassius apollo", "kingdom": "Animalia", "appendix": "II", "from_on": date(1987, 10, 22),
    "to_on": None, "source": "Appendices in force from 2025-02-07", "checked_on": date(2026, 11, 20),
}  # fmt: skip
"""Shape of a row; the name and its days are typed from memory and decide nothing here."""


@pytest.fixture
def compliance() -> User:
    return register.person(Role.COMPLIANCE)


@pytest.fixture
def client_of_compliance(compliance: User) -> Client:
    client = Client()
    client.force_login(compliance)
    return client


# The page -------------------------------------------------------------------------------------------------------------


def test_page_says_the_careful_defaults(client_of_compliance: Client) -> None:
    text = client_of_compliance.get(reverse("usedesk:desk-rules")).content.decode()
    assert "silence is not decided" in text
    assert "nothing is known to be free of CITES" in text
    assert "Whether something crosses a border cannot be told until it is." in text


def test_every_use_has_a_line_and_two_are_open_by_default() -> None:
    """Decision record 6: a look on the spot and the return to the provider are open to all material."""
    lines = footing_lines()
    assert len(lines) == 18
    assert {line.use for line in lines if line.is_open} == {Use.STUDY_ON_THE_SPOT, Use.RETURN_TO_PROVIDER}


def test_page_shows_who_set_a_rule(compliance: User, client_of_compliance: Client) -> None:
    """The latest who, as the history has it."""
    rule = rules.add_silence_rule(values=SILENCE, by=register.person(Role.ADMINISTRATOR))
    rules.change_silence_rule(rule=rule, values={"reason": "Board, 2026"}, by=compliance, why="decided anew")
    text = client_of_compliance.get(reverse("usedesk:desk-rules")).content.decode()
    assert "Board, 2026" in text
    assert f'<span class="sub">{compliance.shown_name}, ' in text


def test_queries_of_the_page(
    compliance: User, client_of_compliance: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    """Session, user; silence and who (2), histories (3), house, footing (1, and who if there is one), counts."""
    for use in (Use.IMAGING, Use.LOAN_ABROAD, None):
        rules.add_silence_rule(values={**SILENCE, "use": use}, by=compliance)
    for footing in (Use.IMAGING, Use.TEACHING):
        rules.set_footing_rule(
            use=footing, values={"if_outside": 5, "if_doubtful": 4, "reason": "x"}, by=compliance, why="x"
        )
    with django_assert_num_queries(11):
        client_of_compliance.get(reverse("usedesk:desk-rules"))


def test_house_rules_of_verdicts_lead_here(client_of_compliance: Client) -> None:
    text = client_of_compliance.get(reverse("verdicts:house-rules")).content.decode()
    assert reverse("usedesk:desk-rules") in text


# The house ------------------------------------------------------------------------------------------------------------


def test_house_is_told_and_corrected(client_of_compliance: Client) -> None:
    """By name or by code; the second time only what changed goes into the history."""
    typed = {
        "institution": "Lindmark Museum of Natural History", "address": "Strandgatan 1", "country": "Sweden",
        "cites_code": "SE 000", "loan_months": "12", "overdue_grace_days": "0", "why": "first entry",
    }  # fmt: skip
    path = reverse("usedesk:desk-house")
    assert client_of_compliance.post(path, typed).status_code == 302
    assert client_of_compliance.post(path, typed | {"loan_months": "6", "why": "Board"}).status_code == 302
    house = DeskRules.objects.get()
    assert (house.pk, house.country, house.loan_months) == (1, "SE", 6)
    assert [entry.history_change_reason for entry in house.history.all()] == ["Board", "first entry"]


def test_house_that_cannot_be_is_told(client_of_compliance: Client) -> None:
    wrong = {"country": "Atlantis", "loan_months": "0", "overdue_grace_days": "0", "why": ""}
    answer = client_of_compliance.post(reverse("usedesk:desk-house"), wrong)
    assert answer.status_code == 422
    assert "is no country of ISO 3166-1" in answer.content.decode()
    assert not DeskRules.objects.exists()
    answer = client_of_compliance.post(
        reverse("usedesk:desk-house"), {"loan_months": "0", "overdue_grace_days": "0", "why": "x"}
    )
    assert "A loan lasts between 1 and 120 months." in answer.content.decode()


# Silence --------------------------------------------------------------------------------------------------------------


def test_reading_is_heard_by_the_engine(compliance: User) -> None:
    """What the page sets is what answers are worked out with."""
    assert policy().silence.reading(Use.IMAGING, "other") == Answer.SILENT
    rules.add_silence_rule(values=SILENCE, by=compliance)
    assert policy().silence.reading(Use.IMAGING, "other") == Answer.ASK_FIRST
    rule = SilenceRule.objects.get()
    rules.remove_silence_rule(rule=rule, by=compliance, why="decided anew")
    assert policy().silence.reading(Use.IMAGING, "other") == Answer.SILENT
    assert SilenceRule.history.first().history_change_reason == "decided anew"


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({}, "Silence of this paper on any use has a rule already."),
        ({"paper_kind": NO_PAPER, "reading": NOT_HEARD}, "Where no paper speaks, say what that means."),
        ({"use": 2, "reason": ""}, "reason.*cannot be blank"),
        ({"use": 2, "reading": int(Answer.WITH_DUTIES)}, "not a valid choice"),
    ],
)
def test_reading_that_cannot_be(values: dict[str, Any], words: str, compliance: User) -> None:
    rules.add_silence_rule(values=SILENCE, by=compliance)
    with pytest.raises(ValidationError, match=words):
        rules.add_silence_rule(values=SILENCE | values, by=compliance)
    assert SilenceRule.objects.count() == 1


def test_reading_on_its_page(client_of_compliance: Client) -> None:
    typed = {"use": "2", "paper_kind": "", "reading": "0", "reason": "Board, 2024"}
    assert client_of_compliance.post(reverse("usedesk:silence-new"), typed).status_code == 302
    again = client_of_compliance.post(reverse("usedesk:silence-new"), typed)
    assert again.status_code == 422
    assert "Silence of this paper on this use has a rule already." in again.content.decode()
    rule = SilenceRule.objects.get()
    edit = reverse("usedesk:silence-edit", args=[rule.pk])
    assert client_of_compliance.post(edit, typed | {"reading": "2"}).status_code == 422, "a reason is wanted"
    assert client_of_compliance.post(edit, typed | {"reading": "2", "why": "Board"}).status_code == 302
    rule.refresh_from_db()
    assert rule.reading == Answer.ASK_FIRST
    gone = reverse("usedesk:silence-remove", args=[rule.pk])
    assert b"Ask the provider first" not in client_of_compliance.get(gone).content
    assert b"Read as: ask the provider first" in client_of_compliance.get(gone).content
    client_of_compliance.post(gone, {"why": "Board"})
    assert not SilenceRule.objects.exists()


def test_rule_that_somebody_removed_meanwhile(compliance: User) -> None:
    rule = rules.add_silence_rule(values=SILENCE, by=compliance)
    stale = SilenceRule.objects.get()
    rules.remove_silence_rule(rule=rule, by=compliance, why="x")
    with pytest.raises(DeskError, match="removed this rule meanwhile"):
        rules.change_silence_rule(rule=stale, values={"reason": "y"}, by=compliance, why="x")


# Footing --------------------------------------------------------------------------------------------------------------


def test_footing_is_set_and_taken_away(client_of_compliance: Client) -> None:
    path = reverse("usedesk:footing-edit", args=["imaging"])
    assert b"No rule is set" in client_of_compliance.get(path).content
    typed = {"if_outside": "5", "if_doubtful": "0", "reason": "Board, 2024"}
    assert client_of_compliance.post(path, typed).status_code == 302
    rule = FootingRule.objects.get()
    assert (rule.use, rule.if_outside, rule.if_doubtful) == (Use.IMAGING, Answer.NOT_ALLOWED, Answer.ALLOWED)
    gone = reverse("usedesk:footing-remove", args=["imaging"])
    assert client_of_compliance.post(gone, {"why": ""}).status_code == 422
    assert client_of_compliance.post(gone, {"why": "Board"}).status_code == 302
    assert not FootingRule.objects.exists()
    assert client_of_compliance.get(gone).status_code == 302, "nothing is left to take away"


def test_footing_that_is_set_again_is_changed(compliance: User) -> None:
    """One rule a use: what it said before stands in its history."""
    values = {"if_outside": int(Answer.NOT_ALLOWED), "if_doubtful": int(Answer.ALLOWED), "reason": "Board, 2024"}
    rules.set_footing_rule(use=Use.IMAGING, values=values, by=compliance, why="first")
    stricter = {"if_doubtful": int(Answer.ASK_FIRST), "reason": "Board, 2026"}
    rules.set_footing_rule(use=Use.IMAGING, values=stricter, by=compliance, why="stricter")
    rule = FootingRule.objects.get()
    assert (rule.if_outside, rule.if_doubtful, rule.reason) == (Answer.NOT_ALLOWED, Answer.ASK_FIRST, "Board, 2026")
    said = list(rule.history.order_by("history_id").values_list("if_doubtful", "history_change_reason"))
    assert said == [(Answer.ALLOWED, "first"), (Answer.ASK_FIRST, "stricter")]
    with pytest.raises(DeskError, match="Say why the rule goes"):
        rules.remove_footing_rule(rule=rule, by=compliance, why=" ")
    with pytest.raises(NotEditableError, match="use"):
        rules.set_footing_rule(use=Use.IMAGING, values={"use": int(Use.LOAN_ABROAD)}, by=compliance, why="x")
    with pytest.raises(NotEditableError, match="not editable here: colour"):
        rules.set_house(values={"colour": "green"}, by=compliance, why="x")


def test_silent_is_no_footing(compliance: User) -> None:
    with pytest.raises(ValidationError):
        rules.set_footing_rule(
            use=Use.IMAGING, values={"if_outside": int(Answer.SILENT), "if_doubtful": 4, "reason": "x"},
            by=compliance, why="x",
        )  # fmt: skip


def test_no_such_use(client_of_compliance: Client) -> None:
    assert client_of_compliance.get(reverse("usedesk:footing-edit", args=["borrowing"])).status_code == 404


# Listed names ---------------------------------------------------------------------------------------------------------


def test_name_is_entered_corrected_ended(client_of_compliance: Client) -> None:
    typed = {"name": "Parnassius  apollo", "appendix": "II", "source": "Appendices", "checked_on": "2026-11-20"}
    assert client_of_compliance.post(reverse("usedesk:listing-new"), typed).status_code == 302
    found = CitesListing.objects.get()
    assert found.name == "Parnassius apollo"
    again = client_of_compliance.post(reverse("usedesk:listing-new"), typed)
    assert again.status_code == 422
    assert "is listed so already" in again.content.decode()
    end = reverse("usedesk:listing-end", args=[found.pk])
    assert client_of_compliance.post(end, {"to_on": "2026-11-01", "why": "taken off"}).status_code == 302
    found.refresh_from_db()
    assert found.to_on == date(2026, 11, 1)
    answer = client_of_compliance.post(end, {"to_on": "2026-11-02", "why": "taken off"})
    assert "was listed until 1 November 2026 already" in answer.content.decode()


def test_last_day_before_the_first(compliance: User) -> None:
    found = listings.add_listing(values=LISTED, by=compliance)
    with pytest.raises(ValidationError, match="The last day is before the first day"):
        listings.end_listing(listing=found, on=date(1987, 10, 21), by=compliance, why="x")


HEAD = "name,kingdom,appendix,from,to,source,checked_on\n"


def load(client: Client, text: str | bytes, why: str = "Appendices of 2025") -> Any:
    data = text.encode() if isinstance(text, str) else text
    file = SimpleUploadedFile("names.csv", data, "text/csv")
    return client.post(reverse("usedesk:listings-load"), {"file": file, "why": why})


def test_many_are_taken_from_a_file(compliance: User, client_of_compliance: Client) -> None:
    """With the mark and the line ends of spreadsheet programs; what is there already stays, what is twice is one."""
    listings.add_listing(values=LISTED, by=compliance)
    row = "Parnassius apollo,Animalia,II,1987-10-22,,Appendices in force from 2025-02-07,2026-11-20"
    other = "Ornithoptera,Animalia,II,,,Appendices,2026-11-20"
    answer = load(
        client_of_compliance, ("\ufeff" + HEAD + row + "\n" + other + "\n" + other + "\n").replace("\n", "\r\n")
    )
    assert answer.status_code == 302
    assert sorted(CitesListing.objects.values_list("name", flat=True)) == ["Ornithoptera", "Parnassius apollo"]
    entry = CitesListing.history.get(name="Ornithoptera")
    assert (entry.history_user, entry.history_change_reason) == (compliance, "Appendices of 2025")


def test_semicolons_are_understood(client_of_compliance: Client) -> None:
    text = (HEAD + "Ornithoptera,,II,,,Appendices,2026-11-20\n").replace(",", ";")
    assert load(client_of_compliance, text).status_code == 302
    assert CitesListing.objects.get().kingdom == ""


def test_all_problems_of_a_file_at_once(client_of_compliance: Client) -> None:
    """Each with its row; nothing is taken."""
    text = HEAD + (
        "Good,,I,,,Appendices,2026-11-20\n"
        ",,IV,2026-02-30,,Appendices,\n"
        "Late,,I,2026-01-02,2026-01-01,,2099-01-01\n"
    )  # fmt: skip
    answer = load(client_of_compliance, text)
    said = answer.content.decode()
    assert answer.status_code == 422
    for words in (
        "Row 3: “name” is blank.", "Row 3: “checked_on” is blank.", "Row 3: “IV” is no Appendix",
        "Row 3: “2026-02-30” in “from” is no day", "Row 4: “source” is blank.",
        "Row 4: 2026-01-01 is before 2026-01-02", "Row 4: 2099-01-01 is still to come",
    ):  # fmt: skip
        assert words in said, words
    assert not CitesListing.objects.exists()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\xff\xfe\x00x", "no text in UTF-8"),
        (b"name,appendix,colour\n", "Missing: source, checked_on. Not known: colour."),
        (HEAD.encode(), "a head and no rows"),
        (HEAD.encode() + b'"' + b"x" * 200_000 + b'"\n', "The file is no CSV"),
    ],
)
def test_file_that_is_none(data: bytes, words: str, client_of_compliance: Client) -> None:
    answer = load(client_of_compliance, data)
    assert answer.status_code == 422
    assert words in answer.content.decode()


def test_list_goes_out_as_it_comes_in(compliance: User, client_of_compliance: Client) -> None:
    """A file that was taken out is taken in again without a change."""
    listings.add_listing(values=LISTED, by=compliance)
    listings.add_listing(values=LISTED | {"name": "Ornithoptera", "from_on": None}, by=compliance)
    answer = client_of_compliance.get(reverse("usedesk:listings-csv"))
    text = b"".join(answer.streaming_content)  # type: ignore[attr-defined]
    assert [row["name"] for row in csv.DictReader(io.StringIO(text.decode("utf-8-sig")))] == [
        "Ornithoptera", "Parnassius apollo",
    ]  # fmt: skip
    assert load(client_of_compliance, text).status_code == 302
    assert CitesListing.objects.count() == 2


def test_list_narrowed_to_a_day(compliance: User, client_of_compliance: Client) -> None:
    listings.add_listing(values=LISTED, by=compliance)
    listings.add_listing(values=LISTED | {"name": "Gone", "to_on": date(2020, 1, 1)}, by=compliance)
    path = reverse("usedesk:listings")
    assert [one.name for one in client_of_compliance.get(path + "?on=2026-01-01").context["page"]] == [
        "Parnassius apollo"
    ]
    assert len(client_of_compliance.get(path + "?on=2020-01-01").context["page"]) == 2
    assert len(client_of_compliance.get(path + "?on=nonsense&appendix=IX&sort=x").context["page"]) == 2


def test_five_thousand_names_in_a_file(
    client_of_compliance: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    """Set by set: SQLite takes some 100 rows in a write and 500 in a copy to the history; never one a row."""
    rows = "".join(f"Genus{n} species,Animalia,II,,,Appendices,2026-11-20\n" for n in range(5000))
    with django_assert_max_num_queries(80):
        load(client_of_compliance, HEAD + rows)
    assert CitesListing.objects.count() == CitesListing.history.count() == 5000


# Roles ----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.CURATOR, Role.REGISTRAR, Role.AUDITOR])
def test_others_look_and_change_nothing(role: str, compliance: User) -> None:
    person = register.person(role)
    client = Client()
    client.force_login(person)
    assert client.get(reverse("usedesk:desk-rules")).status_code == 200
    rule = rules.add_silence_rule(values=SILENCE, by=compliance)
    listed = listings.add_listing(values=LISTED, by=compliance)
    footing = {"if_outside": 5, "if_doubtful": 4, "reason": "x"}
    for act in (
        lambda: rules.set_house(values={"country": "SE"}, by=person, why="x"),
        lambda: rules.add_silence_rule(values=SILENCE | {"use": 1}, by=person),
        lambda: rules.change_silence_rule(rule=rule, values={"reading": 0}, by=person, why="x"),
        lambda: rules.remove_silence_rule(rule=rule, by=person, why="x"),
        lambda: rules.set_footing_rule(use=Use.IMAGING, values=footing, by=person, why="x"),
        lambda: listings.add_listing(values=LISTED | {"name": "Other"}, by=person),
        lambda: listings.change_listing(listing=listed, values={"appendix": "I"}, by=person, why="x"),
        lambda: listings.end_listing(listing=listed, on=date(2026, 1, 1), by=person, why="x"),
        lambda: listings.take_listings(rows=[LISTED], by=person, why="x"),
    ):
        with pytest.raises(NotAllowedError):
            act()
