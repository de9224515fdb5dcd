"""Assessments on screen: the list, what one changed, asking for one; the house rules; what the shapes mean."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from accessions.material.models import Touch
from accessions.people.access import NotAllowedError
from accessions.people.models import Role
from governance.engine.tables import CODES, Layer, Verdict
from governance.papers.models import PaperVersion
from governance.verdicts.actions import assess
from governance.verdicts.actions.asking import ask_for_assessment
from governance.verdicts.actions.house_rules import change_house_rules
from governance.verdicts.models import HouseRuleSet, Run
from governance.verdicts.queries.runs import changes_of_run, used_papers
from tests.factories import register

pytestmark = pytest.mark.django_db


@pytest.fixture
def curator(client: Client) -> Client:
    client.force_login(register.person(Role.CURATOR))
    return client


@pytest.fixture
def officer(client: Client) -> Client:
    client.force_login(register.person(Role.COMPLIANCE))
    return client


def two_specimens() -> PaperVersion:
    """Two specimens of 17 June under a permit to 14 June: outside on the layer collecting."""
    accession = register.accession()
    event = register.event()
    for _ in range(2):
        register.specimen(accession=accession, event=event)
    paper = register.paper()
    register.link(paper, accession=accession)
    register.rule(register.sheet("GE"))
    return register.version(paper, "2024-05-01", "2024-06-14")


def extended() -> Run:
    """A first run; then the permit is extended to 20 June, and a second run finds both covered."""
    version = two_specimens()
    assess(by=None, why="First assessment")
    PaperVersion.objects.filter(pk=version.pk).update(in_force_to="2024-06-20")
    return assess(by=register.person(Role.CURATOR), why="Permit extended")


def test_list_tells_what_was_judged_by_whom_and_why(curator: Client) -> None:
    extended()
    text = curator.get(reverse("verdicts:runs")).content.decode()
    assert "Every verdict is of what is recorded now." in text
    assert all(part in text for part in ("Permit extended", "Nora Curator", "First assessment", "the register"))
    assert "http-equiv" not in text, "nothing goes on, so the page does not look again"


def test_list_of_nothing_offers_the_first_one(curator: Client) -> None:
    text = curator.get(reverse("verdicts:runs")).content.decode()
    assert "No assessment yet" in text
    assert reverse("verdicts:assess") in text


def test_run_that_goes_on_shows_numbers_and_looks_again(curator: Client) -> None:
    run = Run.objects.create(state=Run.State.RUNNING, engine_version="1", scope="all specimens", why="upgrade",
                             started_at=timezone.now(), judged=90_000, changed=40_000, progress=12_500)  # fmt: skip
    for address in (reverse("verdicts:runs"), reverse("verdicts:run", args=[run.pk])):
        text = curator.get(address).content.decode()
        assert '<meta http-equiv="refresh" content="5">' in text
        assert '<progress max="40000" value="12500">' in text
        assert "12,500 of 40,000 with new verdicts written" in text


def test_stopped_run_says_that_nothing_of_it_counts(curator: Client) -> None:
    run = Run.objects.create(state=Run.State.STOPPED, engine_version="1", scope="all", why="upgrade")
    assert "It stopped before its end." in curator.get(reverse("verdicts:run", args=[run.pk])).content.decode()


def test_run_tells_what_went_from_which_verdict_to_which(curator: Client) -> None:
    run = extended()
    changes = changes_of_run(run)
    assert [(m.layer, m.before.verdict if m.before else None, m.after.verdict, m.specimens) for m in changes.moves] == [
        (Layer.COLLECTING, Verdict.OUTSIDE, Verdict.COVERED, 2)
    ]
    assert (changes.first_verdicts, changes.reasons_only) == (0, 0)
    text = curator.get(reverse("verdicts:run", args=[run.pk])).content.decode()
    assert "2 specimens got other verdicts" in text


def test_first_run_has_first_verdicts_only() -> None:
    two_specimens()
    changes = changes_of_run(assess(by=None, why="First assessment"))
    assert (changes.first_verdicts, list(changes.moves)) == (2, [])


def test_other_measure_with_the_same_verdict_is_another_reason() -> None:
    """Extended by a day only: still outside, two days instead of three."""
    version = two_specimens()
    assess(by=None, why="First assessment")
    PaperVersion.objects.filter(pk=version.pk).update(in_force_to="2024-06-15")
    changes = changes_of_run(assess(by=None, why="Permit extended"))
    assert (changes.reasons_only, list(changes.moves)) == (2, [])


def test_run_names_the_papers_and_versions_it_used(curator: Client) -> None:
    run = extended()
    (used,) = used_papers(run)
    assert used.paper is not None
    assert (used.paper.reference, used.days) == ("COL-2024-052", [date(2024, 5, 1)])
    text = curator.get(reverse("verdicts:run", args=[run.pk])).content.decode()
    assert "COL-2024-052" in text and "1 May 2024" in text and "1,000 m" in text


def test_queries_of_the_list_and_of_a_run(curator: Client, django_assert_num_queries: Any) -> None:
    """Session and person 2; list: count, page, the run that goes on, marks. Run: itself, changes, two for specimens,
    papers."""
    run = extended()
    with django_assert_num_queries(6):
        curator.get(reverse("verdicts:runs"))
    with django_assert_num_queries(7):
        curator.get(reverse("verdicts:run", args=[run.pk]))


def test_asking_is_confirmed_first_and_then_runs(curator: Client) -> None:
    two_specimens()
    address = reverse("verdicts:assess")
    asked = curator.get(address, {"accession": "LMN-2024-038", "why": "Engine upgraded"}).content.decode()
    assert "2 specimens will be judged anew." in asked
    assert not Run.objects.exists()
    curator.post(address, {"accession": "LMN-2024-038", "why": "Engine upgraded"})
    run = Run.objects.get()
    assert (run.state, run.judged, run.why) == (Run.State.DONE, 2, "Engine upgraded")
    assert run.by == register.person(Role.CURATOR)


def test_accession_that_a_page_asks_for_is_filled_in(curator: Client) -> None:
    answer = curator.get(reverse("verdicts:assess"), {"accession": "LMN-2024-038"})
    assert answer.status_code == 200
    assert 'value="LMN-2024-038"' in answer.content.decode()


def test_asking_for_all_leaves_a_mark_for_all() -> None:
    ask_for_assessment(by=register.person(Role.CURATOR), why="Engine upgraded")
    assert list(Touch.objects.values_list("scope", "key", "why")) == [("all", 0, "Engine upgraded")]


def test_accession_that_is_none_and_missing_reason_are_told(curator: Client) -> None:
    answer = curator.post(reverse("verdicts:assess"), {"accession": "LMN-1900-001", "why": ""})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "No accession has the number “LMN-1900-001”." in text
    assert "Write why the assessment is asked for." in text
    assert not Touch.objects.exists()


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.AUDITOR])
def test_who_may_not_assess_reads_only(client: Client, role: str) -> None:
    client.force_login(register.person(role))
    assert "Start an assessment" not in client.get(reverse("verdicts:runs")).content.decode()
    assert client.get(reverse("verdicts:assess")).status_code == 403
    with pytest.raises(NotAllowedError):
        ask_for_assessment(by=register.person(role), why="Engine upgraded")


def test_house_rules_are_for_everybody_to_read(client: Client) -> None:
    client.force_login(register.person(Role.VOLUNTEER))
    text = client.get(reverse("verdicts:house-rules")).content.decode()
    assert "1,000 m" in text and "250 m" in text and "no bound" in text
    assert "Change house rules" not in text
    assert client.get(reverse("verdicts:house-rules-edit")).status_code == 403


def test_house_rules_change_with_a_reason_and_all_is_judged_anew(officer: Client) -> None:
    """Known to 30 m, so the assumed radius changes nothing here: what counts is that a run of all went by."""
    two_specimens()
    assess(by=None, why="First assessment")
    given = {"assumed_radius_m": "", "datum_allowance_m": "300", "approximate_count_percent": "25",
             "longest_wait_days": "30", "why": "Decided in the meeting of 3 March"}  # fmt: skip
    answer = officer.post(reverse("verdicts:house-rules-edit"), given, follow=True)
    rules = HouseRuleSet.objects.get()
    assert (rules.assumed_radius_m, rules.datum_allowance_m, rules.approximate_count_percent) == (None, 300, 25)
    assert "Decided in the meeting of 3 March" in answer.content.decode()
    run = Run.objects.first()
    assert run is not None
    assert (run.judged, run.why) == (2, "House rules: Decided in the meeting of 3 March")
    assert run.house["datum_allowance_m"] == 300


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"assumed_radius_m": "0"}, "more than zero metres"),
        ({"datum_allowance_m": "-1"}, "zero or more metres"),
        ({"approximate_count_percent": "100"}, "less than 100 percent"),
        ({"longest_wait_days": "soon"}, "Enter a whole number."),
        ({"why": ""}, "Write why the house rules change."),
    ],
)
def test_house_rule_out_of_range_is_told(officer: Client, given: dict[str, str], told: str) -> None:
    base = {"assumed_radius_m": "1000", "datum_allowance_m": "250", "approximate_count_percent": "",
            "longest_wait_days": "30", "why": "A reason"}  # fmt: skip
    answer = officer.post(reverse("verdicts:house-rules-edit"), base | given)
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert not HouseRuleSet.objects.exists()


def test_house_rules_action_refuses_what_is_none() -> None:
    officer = register.person(Role.COMPLIANCE)
    with pytest.raises(ValueError, match="no house rules: colour"):
        change_house_rules(values={"colour": 1}, by=officer, why="A reason")
    with pytest.raises(ValueError, match="why"):
        change_house_rules(values={"datum_allowance_m": 1}, by=officer, why=" ")
    with pytest.raises(ValidationError):
        change_house_rules(values={"datum_allowance_m": -1}, by=officer, why="A reason")
    with pytest.raises(NotAllowedError):
        change_house_rules(values={"datum_allowance_m": 1}, by=register.person(Role.CURATOR), why="A reason")


def test_a_longer_wait_of_deliveries_is_no_matter_of_verdicts() -> None:
    change_house_rules(values={"longest_wait_days": 45}, by=register.person(Role.COMPLIANCE), why="Holidays")
    assert HouseRuleSet.objects.get().longest_wait_days == 45
    assert not Touch.objects.exists()


def test_house_rules_that_stay_touch_nothing() -> None:
    officer = register.person(Role.COMPLIANCE)
    change_house_rules(values={"datum_allowance_m": 300}, by=officer, why="A reason")
    Touch.objects.all().delete()
    change_house_rules(values={"datum_allowance_m": 300}, by=officer, why="Once more")
    assert not Touch.objects.exists()
    assert HouseRuleSet.history.count() == 1


def test_page_of_the_shapes_has_all_verdicts_layers_and_codes(curator: Client) -> None:
    text = curator.get(reverse("verdicts:shapes-help")).content.decode()
    assert all(f'<tr id="{code}">' in text for code in CODES if code)
    for word in ("Covered", "Not required", "Cannot tell", "Straddles", "Outside terms", "No paper on file"):
        assert word in text
    for layer in ("La Land", "Co Collecting", "Si Protected site", "Ci CITES", "Tr Transfer"):
        assert layer in text
    assert "Collected 17 June 2024, 3 days after the end date of COL-2024-052." in text
    assert "{" not in text.split("<main")[1], "every example is filled in"


@pytest.mark.parametrize(
    ("code", "answer"),
    [("not-searched", "no paper on file"), ("known-not-located", "no paper on file"),
     ("none-found", "no paper on file"), ("paper-unread", "cannot tell"), ("after-end", "no"),
     ("radius-assumed", "yes, with a remark")],
)  # fmt: skip
def test_both_pages_of_the_findings_say_one_answer(curator: Client, code: str, answer: str) -> None:
    """The page of the shapes and that of the finding; the answers by VERDICTS.md, sections 1, 3, 4 and 7."""
    shapes = curator.get(reverse("verdicts:shapes-help")).content.decode()
    row = shapes.split(f'<tr id="{code}">')[1].split("</tr>")[0]
    assert f">{answer}</span>" in row
    finding = curator.get(reverse("guide:help-finding", args=[code])).content.decode()
    assert re.search(rf'class="answer"><b>[^<]*{answer}\.</b>', finding)
