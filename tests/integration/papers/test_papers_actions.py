"""What is done to papers: every change leaves history and a mark, nothing is half done, and rights are asked."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from pytest_django import DjangoAssertNumQueries

from accessions.intake.problems import FileProblems
from accessions.material.models import Touch
from accessions.people.access import NotAllowedError
from accessions.people.models import Role, User
from governance.engine.tables import Layer
from governance.papers import actions
from governance.papers.models import (
    Paper,
    PaperLink,
    PaperStatus,
    PaperVersion,
    VersionCap,
    VersionPlace,
    VersionSeason,
    VersionTaxon,
)
from governance.papers.queries import exchange_object, stamp
from tests.factories import register as r
from tests.factories.paper_objects import full_object, paper_object

pytestmark = pytest.mark.django_db


@pytest.fixture
def by() -> User:
    return r.person(Role.REGISTRAR)


@pytest.fixture
def paper(by: User) -> Paper:
    made = actions.register(data=paper_object(), by=by, why="from the scan")
    Touch.objects.all().delete()
    return made


def touched(paper: Paper) -> bool:
    return Touch.objects.filter(scope="paper", key=paper.pk).exists()


def seen(paper: Paper) -> str:
    return stamp(exchange_object(paper, with_links=False))


def test_a_registered_paper_has_history_and_a_mark(by: User) -> None:
    paper = actions.register(data=full_object(), by=by, why="from the scan")

    assert paper.layer_list == [Layer.COLLECTING, Layer.EXPORT]
    (entry,) = Paper.history.filter(id=paper.pk)
    assert (entry.history_type, entry.history_user, entry.history_change_reason) == ("+", by, "from the scan")
    assert PaperVersion.history.filter(paper_id=paper.pk).count() == 2
    assert VersionPlace.history.count() == 7
    assert touched(paper)


def test_a_reference_stands_once(by: User, paper: Paper) -> None:
    with pytest.raises(FileProblems, match=r"COL-2024-052.* is in the register already"):
        actions.register(data=paper_object(), by=by, why="again")


def test_all_problems_of_a_paper_are_told_at_once(by: User) -> None:
    wrong = paper_object(
        reference="x" * 101,
        kind="collecting",
        jurisdiction="ZZ",
        versions=[{"in_force_from": "2024-06-30", "in_force_to": "2024-06-01"}],
    )
    with pytest.raises(FileProblems) as caught:
        actions.register(data=wrong, by=by, why="typed")
    told = str(caught.value)
    assert '"collecting" is not known' in told
    assert '"ZZ" is no known country code' in told
    assert "before it starts on 2024-06-30" in told
    assert not Paper.objects.exists()


def test_a_text_longer_than_its_column_is_told_and_not_cut(by: User) -> None:
    with pytest.raises(FileProblems, match=r"301 characters stands there\. At most 300 are kept"):
        actions.register(data=paper_object(issuer="x" * 301), by=by, why="typed")


def test_a_corrected_face_keeps_what_stood_before(by: User, paper: Paper) -> None:
    actions.edit_face(paper=paper, data={"holder": "I. Holmqvist"}, by=by, why="misread", seen=seen(paper))

    paper.refresh_from_db()
    assert paper.holder == "I. Holmqvist"
    newest, first = Paper.history.filter(id=paper.pk).order_by("-history_id")
    assert (newest.holder, newest.history_change_reason, first.holder) == ("I. Holmqvist", "misread", "J. Ek")
    assert touched(paper)


def test_the_face_takes_no_other_key(by: User, paper: Paper) -> None:
    with pytest.raises(ValueError, match=r"\['versions'\] are not on the face"):
        actions.edit_face(paper=paper, data={"versions": []}, by=by, why="x")


def test_two_people_at_one_paper(by: User, paper: Paper) -> None:
    """Both open the page; the second save must not undo the first unseen."""
    both_saw = seen(paper)
    actions.edit_face(paper=paper, data={"holder": "first"}, by=by, why="one", seen=both_saw)

    with pytest.raises(actions.ChangedMeanwhileError, match="Somebody else changed this paper"):
        actions.edit_face(paper=paper, data={"issuer": "second"}, by=by, why="two", seen=both_saw)

    paper.refresh_from_db()
    assert (paper.holder, paper.issuer) == ("first", "Nazvri Directorate (invented)")


def test_a_version_is_added_beside_the_one_before(by: User, paper: Paper) -> None:
    data = {"in_force_from": "2024-07-01", "in_force_to": "2024-07-31", "methods": {"include": ["light trap"]}}
    actions.add_version(paper=paper, data=data, by=by, why="letter of 20 June")

    assert [v.in_force_from for v in paper.versions.all()] == [date(2024, 5, 1), date(2024, 7, 1)]
    assert touched(paper)


def test_versions_may_overlap_but_not_start_together(by: User, paper: Paper) -> None:
    actions.add_version(paper=paper, data={"in_force_from": "2024-06-01", "in_force_to": None}, by=by, why="x")
    with pytest.raises(FileProblems, match="it starts on 2024-05-01"):
        actions.add_version(paper=paper, data={"in_force_from": "2024-05-01"}, by=by, why="x")
    assert paper.versions.count() == 2


def test_a_corrected_version_stays_the_same_row(by: User, paper: Paper) -> None:
    version = paper.versions.get()
    data = {"in_force_from": "2024-05-02", "in_force_to": "2024-06-30", "taxa": {"include": ["Odonata"]}}
    actions.amend_version(paper=paper, start=version.in_force_from, data=data, by=by, why="misread")

    version.refresh_from_db()
    assert version.in_force_from == date(2024, 5, 2)
    assert [taxon.name for taxon in version.versiontaxons.all()] == ["Odonata"]
    days = [h.in_force_from for h in PaperVersion.history.filter(id=version.pk).order_by("history_id")]
    assert days == [date(2024, 5, 1), date(2024, 5, 2)]
    assert touched(paper)


def test_a_version_moved_behind_its_old_end_has_the_end_that_was_told(by: User, paper: Paper) -> None:
    """Between the two writes no end before the start is kept, and none stays open that was told."""
    version = paper.versions.get()
    data = {"in_force_from": "2024-07-01", "in_force_to": "2024-07-31"}
    assert version.in_force_to is not None
    assert version.in_force_to < date(2024, 7, 1)
    actions.amend_version(paper=paper, start=version.in_force_from, data=data, by=by, why="of the next month")
    (moved,) = paper.versions.all()
    assert (moved.pk, moved.in_force_from, moved.in_force_to) == (version.pk, date(2024, 7, 1), date(2024, 7, 31))
    newest = PaperVersion.history.filter(id=version.pk).latest("history_id")
    assert (newest.in_force_to, newest.history_change_reason) == (date(2024, 7, 31), "of the next month")


def test_a_line_that_stays_is_not_written_anew(by: User) -> None:
    paper = actions.register(data=full_object(), by=by, why="from the scan")
    kept = set(VersionTaxon.objects.filter(name__in=["Odonata", "Oenanthe"]).values_list("pk", flat=True))
    value = full_object()["versions"][0] | {"taxa": {"include": ["Odonata"], "exclude": [
        {"name": "Oenanthe", "kingdom": "Plantae"}]}}  # fmt: skip
    actions.amend_version(paper=paper, start=date(2024, 5, 1), data=value, by=by, why="Mollusca is not on it")

    left = dict(VersionTaxon.objects.values_list("name", "pk"))
    assert set(left) == {"Odonata", "Oenanthe"}
    assert left["Odonata"] in kept
    gone = VersionTaxon.history.get(name="Mollusca", history_type="-")
    assert gone.history_change_reason == "Mollusca is not on it"
    assert VersionPlace.history.exclude(history_type="+").count() == 0


def test_a_version_taken_off_stays_in_the_history(by: User, paper: Paper) -> None:
    actions.remove_version(paper=paper, start=date(2024, 5, 1), by=by, why="of another paper")
    assert not paper.versions.exists()
    assert PaperVersion.history.get(history_type="-").history_change_reason == "of another paper"


@pytest.mark.parametrize(
    ("turn", "words"),
    [
        ({"state": "suspended", "from": "2024-05-10", "to": "2024-05-01"}, "before it starts"),
        ({"state": "granted", "from": "2024-05-10", "to": "2024-05-12"}, "Only a suspension has a last day"),
        ({"state": "granted", "from": "2024-02-30"}, "not a day in the calendar"),
    ],
)
def test_turns_that_cannot_be(by: User, paper: Paper, turn: dict[str, Any], words: str) -> None:
    with pytest.raises(FileProblems, match=words):
        actions.add_status(paper=paper, data=turn, by=by, why="x")
    assert not paper.statuses.exists()


def test_a_paper_ends_once(by: User, paper: Paper) -> None:
    actions.add_status(paper=paper, data={"state": "revoked", "from": "2024-06-01"}, by=by, why="letter")
    with pytest.raises(FileProblems, match="ends a second time"):
        actions.add_status(paper=paper, data={"state": "surrendered", "from": "2024-06-02"}, by=by, why="letter")
    assert exchange_object(paper)["revoked_on"] == "2024-06-01"


def test_a_turn_taken_off_stays_in_the_history(by: User, paper: Paper) -> None:
    actions.add_status(paper=paper, data={"state": "suspended", "from": "2024-06-01"}, by=by, why="letter")
    actions.remove_status(turn=paper.statuses.get(), by=by, why="of another paper")
    assert not paper.statuses.exists()
    assert PaperStatus.history.get(history_type="-").history_change_reason == "of another paper"


def test_links_are_made_once_and_end_with_both_days(by: User, paper: Paper) -> None:
    accession = r.accession()
    targets = actions.Targets(accessions=[accession.pk], all_accessions=True)
    assert actions.link(paper=paper, targets=targets, by=by, why="§ 1") == 2
    assert actions.link(paper=paper, targets=targets, by=by, why="§ 1") == 0
    assert touched(paper)

    (link,) = paper.links.filter(accession=accession)
    assert actions.unlink(paper=paper, links=[link.pk], by=by, why="of another accession") == 1
    assert actions.unlink(paper=paper, links=[link.pk], by=by, why="again") == 0
    link.refresh_from_db()
    assert (link.why, link.unlinked_by, link.unlinked_why) == ("§ 1", by, "of another accession")

    assert actions.link(paper=paper, targets=targets, by=by, why="after all") == 1
    assert paper.links.filter(accession=accession).count() == 2


def test_links_of_another_paper_are_left_alone(by: User, paper: Paper) -> None:
    other = r.link(r.paper("OTHER"), accession=r.accession())
    assert actions.unlink(paper=paper, links=[other.pk], by=by, why="x") == 0
    other.refresh_from_db()
    assert other.unlinked_at is None


def test_many_specimens_cost_one_insert(
    by: User, paper: Paper, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    event, accession, name = r.event(), r.accession(), r.written_name()
    keys = [r.specimen(f"S-{n}", event=event, accession=accession, name=name).pk for n in range(120)]
    # Savepoint, lock, links there are, mark, release, and inserts: SQLite takes 83 rows of 12 columns at once.
    with django_assert_max_num_queries(7):
        assert actions.link(paper=paper, targets=actions.Targets(specimens=keys), by=by, why="list") == 120


OF_REGISTRARS: dict[str, Callable[[Paper, User], Any]] = {
    "register": lambda paper, by: actions.register(data=paper_object("NEW"), by=by, why="x"),
    "edit_face": lambda paper, by: actions.edit_face(paper=paper, data={"holder": "x"}, by=by, why="x"),
    "add_version": lambda paper, by: actions.add_version(paper=paper, data={"in_force_from": None}, by=by, why="x"),
    "amend_version": lambda paper, by: actions.amend_version(
        paper=paper, start=date(2024, 5, 1), data={"in_force_from": "2024-05-01"}, by=by, why="x"
    ),
    "remove_version": lambda paper, by: actions.remove_version(paper=paper, start=date(2024, 5, 1), by=by, why="x"),
    "add_status": lambda paper, by: actions.add_status(
        paper=paper, data={"state": "granted", "from": "2024-05-01"}, by=by, why="x"
    ),
    "link": lambda paper, by: actions.link(paper=paper, targets=actions.Targets(all_accessions=True), by=by, why="x"),
    "unlink": lambda paper, by: actions.unlink(paper=paper, links=[1], by=by, why="x"),
    "import_papers": lambda paper, by: actions.import_papers(b"{}", "f", by=by, why="x"),
    "receive_file": lambda paper, by: actions.receive_file(b"{}", "f", by=by),
}


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.AUDITOR, Role.ADMINISTRATOR])
@pytest.mark.parametrize("action", OF_REGISTRARS)
def test_who_may_not_changes_nothing(paper: Paper, role: str, action: str) -> None:
    before = exchange_object(paper)
    with pytest.raises(NotAllowedError):
        OF_REGISTRARS[action](paper, r.person(role))
    assert exchange_object(paper) == before
    assert Paper.objects.count() == 1
    assert not Touch.objects.exists()


PAST_THE_FORMS: dict[str, Callable[[Paper], Any]] = {
    "paper_has_reference": lambda p: r.paper(""),
    "paper_serves_a_layer": lambda p: r.paper("X", layers=()),
    "paper_kind_known": lambda p: r.paper("X", kind="permit"),
    "paperstatus_period": lambda p: PaperStatus.objects.create(
        paper=p, state="granted", from_on="2024-05-01", to_on="2024-05-02"
    ),
    "paperstatus_state_known": lambda p: PaperStatus.objects.create(paper=p, state="lost", from_on="2024-05-01"),
    "paperversion_period": lambda p: r.version(p, "2024-07-02", "2024-07-01"),
    "versionplace_says_something": lambda p: VersionPlace.objects.create(version=p.versions.get()),
    "versionplace_whole_disc": lambda p: VersionPlace.objects.create(
        version=p.versions.get(), longitude_deg=43, latitude_deg=42
    ),
    "versioncap_words_known": lambda p: VersionCap.objects.create(version=p.versions.get(), limit=1, per="day"),
    "versionseason_in_calendar": lambda p: VersionSeason.objects.create(
        version=p.versions.get(), from_month=13, from_day=1, to_month=1, to_day=1
    ),
    "paperlink_one_target": lambda p: PaperLink.objects.create(paper=p),
}


@pytest.mark.parametrize("constraint", PAST_THE_FORMS)
def test_what_cannot_be_is_refused_by_the_database(paper: Paper, constraint: str) -> None:
    """Whoever writes past actions and forms is stopped too."""
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        PAST_THE_FORMS[constraint](paper)


def test_what_stands_once_is_refused_twice_by_the_database(paper: Paper) -> None:
    """SQLite names the columns of a broken uniqueness, not the constraint."""
    accession = r.accession()
    twice: list[Callable[[], Any]] = [
        lambda: r.paper(),
        lambda: r.version(paper, "2024-05-01"),
        lambda: [r.version(paper, None) for _ in range(2)],
        lambda: [r.link(paper, accession=accession) for _ in range(2)],
        lambda: [r.link(paper, all_accessions=True) for _ in range(2)],
        lambda: [PaperStatus.objects.create(paper=paper, state="revoked", from_on=f"2024-05-0{n}") for n in (1, 2)],
    ]
    for write in twice:
        with pytest.raises(IntegrityError, match=r"(?i)unique"), transaction.atomic():
            write()
