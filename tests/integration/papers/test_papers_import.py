"""Papers taken from a file: all or nothing, twice is once, and what differs is asked for."""

from __future__ import annotations

import json
from typing import Any

import pytest

from accessions.intake.problems import FileProblems
from accessions.material.models import Touch
from accessions.people.models import Role, User
from governance.papers import actions, queries
from governance.papers.models import Paper
from tests.factories import register as r
from tests.factories.paper_objects import full_object, paper_object

pytestmark = pytest.mark.django_db


@pytest.fixture
def by() -> User:
    return r.person(Role.REGISTRAR)


def file_of(*papers: dict[str, Any]) -> bytes:
    return json.dumps({"papers": papers}).encode()


def take(by: User, *papers: dict[str, Any], **answers: Any) -> actions.ImportOutcome:
    return actions.import_papers(file_of(*papers), "papers.json", by=by, why="list of May", **answers)


def test_the_same_file_twice_changes_nothing(by: User) -> None:
    take(by, full_object(), paper_object())
    Touch.objects.all().delete()
    entries = Paper.history.count()

    again = take(by, full_object(), paper_object())

    assert again.is_saved
    assert (again.added, again.taken, again.kept) == ((), (), ())
    assert Paper.history.count() == entries
    assert not Touch.objects.exists()


def test_one_problem_and_nothing_of_the_file_is_saved(by: User) -> None:
    with pytest.raises(FileProblems) as caught:
        take(by, paper_object("GOOD"), paper_object("BAD", kind="permit"), paper_object("WORSE", jurisdiction="QQ"))
    assert len(caught.value.problems) == 2
    assert not Paper.objects.exists()


def test_a_paper_that_differs_waits_for_an_answer(by: User) -> None:
    take(by, paper_object())
    changed = paper_object(holder="I. Holmqvist", versions=[{"in_force_from": "2024-05-01", "in_force_to": None}])

    asked = take(by, changed, paper_object("NEW"))

    assert not asked.is_saved
    assert asked.unanswered == ("COL-2024-052",)
    assert {(d.where, d.before, d.after) for d in asked.plan.changed[0].differences} == {
        ("holder", "J. Ek", "I. Holmqvist"),
        ("version from 2024-05-01, in_force_to", "2024-06-30", ""),
    }
    assert Paper.objects.count() == 1


def test_keep_and_take(by: User) -> None:
    take(by, paper_object("A"), paper_object("B"))
    outcome = take(
        by, paper_object("A", holder="x"), paper_object("B", holder="x"), paper_object("C"),
        answers={"A": "keep", "B": "take"},
    )  # fmt: skip
    assert (outcome.added, outcome.taken, outcome.kept) == (("C",), ("B",), ("A",))
    assert dict(Paper.objects.values_list("reference", "holder")) == {"A": "J. Ek", "B": "x", "C": "J. Ek"}
    assert Paper.history.filter(reference="B", history_type="~").count() == 1


def test_a_plain_file_takes_nothing_away_that_it_cannot_say(by: User) -> None:
    """A file of the bare contract has no second number, conditions, notes: that is no word against them."""
    take(by, full_object())
    plain = queries.exchange_file(Paper.objects.all(), contract_only=True)
    plan = actions.preview_import(plain, "plain.json", by=by)
    assert plan.changed == []


def test_links_to_what_is_not_here_are_asked_for_by_name(by: User) -> None:
    r.accession("ACC-1")
    covers = {"accessions": ["ACC-1", "ACC-2"], "parts": ["ACC-1/B"], "sites": ["nowhere"], "events": ["EV"],
              "specimens": ["S-1", "S-2"]}  # fmt: skip

    asked = take(by, paper_object(covers=covers))

    assert not asked.is_saved
    assert {(lost.kind, lost.names) for lost in asked.plan.unknown} == {
        ("accessions", ("ACC-2",)), ("parts", ("ACC-1/B",)), ("sites", ("nowhere",)), ("events", ("EV",)),
        ("specimens", ("S-1", "S-2")),
    }  # fmt: skip
    assert not Paper.objects.exists()


def test_links_left_out_come_with_the_same_file_later(by: User) -> None:
    value = paper_object(covers={"accessions": ["ACC-1"]})
    assert take(by, value, on_unknown="leave-out").is_saved
    (paper,) = Paper.objects.all()
    assert queries.links_of([paper]) == {}

    accession = r.accession("ACC-1")
    assert take(by, value, on_change="take").taken == ("COL-2024-052",)
    assert queries.links_of([paper])[paper.pk].accessions == {accession.pk}


def test_a_taken_file_ends_the_links_it_does_not_list(by: User) -> None:
    for number in ("ACC-1", "ACC-2"):
        r.accession(number)
    take(by, paper_object(covers={"accessions": ["ACC-1", "*"]}))
    asked = take(by, paper_object(covers={"accessions": ["ACC-2"]}))
    assert [d.where for d in asked.plan.changed[0].differences] == ["linked to", "linked accessions"]

    take(by, paper_object(covers={"accessions": ["ACC-2"]}), on_change="take")

    paper = Paper.objects.get()
    assert queries.exchange_object(paper)["covers"]["accessions"] == ["ACC-2"]
    assert paper.links.count() == 3
    assert paper.links.get(accession__number="ACC-1").unlinked_by == by


def test_sites_match_by_code_or_name_without_regard_to_case(by: User) -> None:
    site = r.site("GE-NAZ-1", name="Nazvri, upper bridge")
    for number, name in enumerate(["ge-naz-1", "NAZVRI,  upper bridge"]):
        take(by, paper_object(f"P-{number}", covers={"sites": [name]}))
    assert [links.sites for links in queries.links_of().values()] == [{site.pk}, {site.pk}]


def test_a_name_that_two_sites_bear_links_to_neither(by: User) -> None:
    """Which of them the paper speaks for is not to be guessed: the wrong one's specimens would read as covered."""
    for number in (1, 2):
        r.site(f"GE-R-{number}", name="Ridge meadow")
    told = paper_object(covers={"sites": ["ridge meadow"]})
    asked = take(by, told)
    assert not asked.is_saved
    assert [lost.names for lost in asked.plan.unknown] == [("ridge meadow",)]
    assert take(by, paper_object(covers={"sites": ["ge-r-2"]})).is_saved


def test_a_link_to_a_specimen_without_number_is_no_loss(by: User) -> None:
    """A file cannot name it, so a file that does not name it takes nothing away."""
    take(by, paper_object())
    paper = Paper.objects.get()
    actions.link(paper=paper, targets=actions.Targets(specimens=[r.specimen("").pk]), by=by, why="annex")
    again = take(by, paper_object(holder="A. Lind", covers={"accessions": []}), on_change="take")
    assert again.taken == (paper.reference,)
    assert paper.links.get().unlinked_at is None


def test_an_event_of_two_rows_is_one_event(by: User) -> None:
    """Decision 3: an event that two records state differently is two rows with one number."""
    first, second = r.event("EV-1"), r.event("EV-1", day="2024-06-18")
    take(by, paper_object(covers={"events": ["EV-1"]}))
    paper = Paper.objects.get()
    assert queries.links_of([paper])[paper.pk].events == {first.pk}

    r.link(paper, event=second)
    assert queries.exchange_object(paper)["covers"]["events"] == ["EV-1"]
    assert take(by, paper_object(covers={"events": ["EV-1"]})).plan.changed == []


def test_statuses_must_say_what_the_short_keys_say(by: User) -> None:
    wrong = paper_object(
        statuses=[{"state": "revoked", "from": "2024-06-01"}, {"state": "suspended", "from": "2024-05-02"}],
        revoked_on="2024-06-02",
    )
    with pytest.raises(FileProblems) as caught:
        take(by, wrong)
    assert "but revoked_on is 2024-06-02" in str(caught.value)
    assert "are not those of the key suspensions" in str(caught.value)


def test_a_received_file_is_kept_with_what_came_of_it(by: User) -> None:
    received = actions.receive_file(file_of(paper_object()), "papers.json", by=by)
    assert len(received.sha256) == 64
    assert not Paper.objects.exists()

    assert actions.take_file(received, by=by, why="list").is_saved

    received.refresh_from_db()
    assert received.taken_by == by
    assert received.summary["added"] == ["COL-2024-052"]
