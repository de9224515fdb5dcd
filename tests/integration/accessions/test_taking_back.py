"""A file that was committed by mistake is taken back: which specimens it made, all or none of them, and what stays."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from unittest import mock

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from accessions.intake.actions import IntakeError, load_file, take_back
from accessions.intake.actions.receive import discard
from accessions.intake.actions.taking_back import LONGEST_WHY
from accessions.intake.made import MadeUnknownError, specimens_made
from accessions.intake.models import Batch
from accessions.material.actions.removing import RemovalError, remove_specimen
from accessions.material.actions.specimens import change_specimen, enter_specimen
from accessions.material.models import Accession, Determination, Removal, SamplingEvent, Specimen, Touch
from accessions.material.touches import Scope
from accessions.names.models import WrittenName
from accessions.people.access import NotAllowedError
from accessions.people.models import Role, User
from accessions.sites.models import Site
from governance.audit.clocks import as_known
from governance.audit.queries.seal_checking import check_seal
from governance.engine.tables import Layer, Verdict
from governance.papers.models import VersionCap
from governance.verdicts import selecting
from governance.verdicts.actions import assess, take_up
from governance.verdicts.models import Result, Run, Standing
from tests.factories import register, usedesk

pytestmark = pytest.mark.django_db

WHY = "It was the file of 2023"
HEAD = "catalogNumber,accessionNumber,scientificName,eventDate,countryCode,locationID,siteName,takenFrom"
Write = Callable[..., Batch]


@pytest.fixture
def registrar() -> User:
    return register.person(Role.REGISTRAR)


@pytest.fixture
def client(registrar: User) -> Client:
    signed_in = Client()
    signed_in.force_login(registrar)
    return signed_in


@pytest.fixture
def commit(tmp_path: Path, registrar: User) -> Write:
    """Commits a file of these numbers, or of these whole rows."""

    def write(*rows: str, why: str = "june", take_changes: bool = False) -> Batch:
        return committed(tmp_path, rows, by=registrar, why=why, take_changes=take_changes)

    return write


def committed(folder: Path, rows: Sequence[str], *, by: User, why: str = "june", take_changes: bool = False) -> Batch:
    path = folder / f"file-{len(list(folder.glob('*.csv')))}.csv"
    usual = "LMN-2024-038,Calopteryx splendens,2024-06-17,GE,GE-1,Ford,"
    whole = [row if "," in row else f"{row},{usual}" for row in rows]
    path.write_text("\n".join([HEAD, *whole]) + "\n", encoding="utf-8")
    return load_file(path, by=by, why=why, take_changes=take_changes)


def address(batch: Batch) -> str:
    return reverse("intake:batch-take-back", args=[batch.pk])


def text_of(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def numbers() -> set[str]:
    return set(Specimen.objects.values_list("catalog_number", flat=True))


# Which specimens ------------------------------------------------------------------------------------------------------


def test_a_file_made_what_its_commit_added_and_nothing_else(commit: Write, registrar: User) -> None:
    """Neither what other files made under the same reason before and after, nor what was typed in between, nor what the
    file only changed."""
    first = commit("A-1", "A-2")
    enter_specimen(
        Accession.objects.get(), {"eventDate": "2024-06-18"}, {"scientificName": "Gomphus vulgatus"},
        catalog_number="T-1", by=registrar, why="june, by hand",
    )  # fmt: skip
    second = commit("A-2,LMN-2024-038,Calopteryx virgo,2024-06-17,GE,GE-1,Ford,", "B-1", take_changes=True)
    third = commit("C-1", why="")
    made = {
        batch: set(Specimen.objects.filter(pk__in=specimens_made(batch)).values_list("catalog_number", flat=True))
        for batch in (first, second, third)
    }
    assert made == {first: {"A-1", "A-2"}, second: {"B-1"}, third: {"C-1"}}


def test_it_is_not_taken_back_where_nobody_knows_for_certain(commit: Write, registrar: User, client: Client) -> None:
    """Histories that tell of another number of specimens than the commit counted are not believed."""
    batch = commit("A-1", "A-2")
    Specimen.history.filter(catalog_number="A-2").update(history_change_reason="something else")
    with pytest.raises(MadeUnknownError):
        specimens_made(batch)
    with pytest.raises(IntakeError, match="for certain"):
        take_back(batch=batch, by=registrar, why=WHY)
    words = text_of(client.get(address(batch)))
    assert "The intake cannot be taken back" in words and "for certain" in words
    assert client.post(address(batch), {"why": WHY}).status_code == 409
    assert numbers() == {"A-1", "A-2"}


# What goes, what stays ------------------------------------------------------------------------------------------------


def test_all_of_it_goes_with_reason_and_file(commit: Write, registrar: User) -> None:
    """A leg and the specimen that it was taken from go together; what the file made besides stays."""
    before = commit("OLD-1")
    batch = commit("A-1", "A-2", "A-3,LMN-2024-039,Gomphus vulgatus,2024-06-19,GE,GE-2,Bridge,A-1")
    keys = specimens_made(batch)
    kept = (Accession.objects.count(), SamplingEvent.objects.count(), WrittenName.objects.count(), Site.objects.count())
    Touch.objects.all().delete()
    taken = take_back(batch=batch, by=registrar, why=WHY)
    assert numbers() == {"OLD-1"}
    assert Determination.objects.count() == 1
    assert kept == (
        Accession.objects.count(), SamplingEvent.objects.count(), WrittenName.objects.count(), Site.objects.count()
    )  # fmt: skip
    told = f"Intake {batch.pk} taken back: {WHY}"
    for model in (Specimen, Determination):
        entries = model.history.filter(history_type="-")
        assert set(entries.values_list("history_user", "history_change_reason")) == {(registrar.pk, told)}
        assert entries.count() == 3
    assert set(Removal.objects.values_list("specimen", "intake", "why", "removed_by")) == {
        (key, batch.pk, told, registrar.pk) for key in keys
    }
    assert (taken.state, taken.taken_back_by, taken.taken_back_why) == (Batch.State.TAKEN_BACK, registrar, WHY)
    assert taken.summary["taken_back"] == 3 and taken.committed_by == registrar
    assert Batch.history.filter(id=batch.pk).latest("history_id").history_change_reason == WHY
    assert set(Touch.objects.values_list("scope", "key")) == {(Scope.SPECIMEN, key) for key in keys}
    assert Batch.objects.get(pk=before.pk).state == Batch.State.COMMITTED


def test_the_same_file_can_come_in_again(commit: Write, registrar: User, tmp_path: Path) -> None:
    batch = commit("A-1", "A-2")
    take_back(batch=batch, by=registrar, why=WHY)
    again = load_file(tmp_path / "file-0.csv", by=registrar, why="june")
    assert again.pk != batch.pk and again.summary["new"] == 2
    assert numbers() == {"A-1", "A-2"}
    take_back(batch=again, by=registrar, why="Once more the wrong one")
    assert numbers() == set() and Removal.objects.count() == 4


def test_what_went_before_is_no_obstacle(commit: Write, registrar: User, client: Client) -> None:
    batch = commit("A-1", "A-2")
    remove_specimen(Specimen.objects.get(catalog_number="A-1"), by=registrar, why="Typed twice")
    words = text_of(client.get(address(batch)))
    assert "1 specimen is removed from the register." in words and "1 more was removed before." in words
    assert take_back(batch=batch, by=registrar, why=WHY).summary["taken_back"] == 1
    assert numbers() == set()


def test_if_all_of_it_went_before_only_the_file_is_marked(commit: Write, registrar: User) -> None:
    batch = commit("A-1")
    remove_specimen(Specimen.objects.get(), by=registrar, why="Typed twice")
    taken = take_back(batch=batch, by=registrar, why=WHY)
    assert (taken.state, taken.summary["taken_back"]) == (Batch.State.TAKEN_BACK, 0)


# What stands in the way -----------------------------------------------------------------------------------------------


def test_one_that_was_used_keeps_all_of_them(commit: Write, registrar: User, client: Client) -> None:
    batch = commit("A-1", "A-2", "A-3")
    usedesk.use_request(specimens=[Specimen.objects.get(catalog_number="A-2")], reference="UR-7")
    with pytest.raises(RemovalError) as refused:
        take_back(batch=batch, by=registrar, why=WHY)
    assert [one.words for one in refused.value.in_the_way] == ["It is in request UR-7."]
    words = text_of(client.get(address(batch)))
    assert "With 1 of 3 specimens something was done since." in words
    assert "It is in request UR-7." in words and ">A-2</a>" in words and ">A-1</a>" not in words
    assert client.post(address(batch), {"why": WHY}).status_code == 409
    assert numbers() == {"A-1", "A-2", "A-3"}
    assert Batch.objects.get().state == Batch.State.COMMITTED and not Removal.objects.exists()


def test_one_that_was_changed_by_hand_keeps_all_of_them(commit: Write, registrar: User, client: Client) -> None:
    batch = commit("A-1", "A-2")
    change_specimen(Specimen.objects.get(catalog_number="A-1"), by=registrar, why="Two of them", individual_count="2")
    usedesk.use_request(specimens=[Specimen.objects.get(catalog_number="A-1")], reference="UR-7")
    words = text_of(client.get(address(batch)))
    assert f"It was changed on 26 November 2026 by {registrar.shown_name}: Two of them" in words
    assert "It is in request UR-7." in words, "all is said at once"
    with pytest.raises(RemovalError):
        take_back(batch=batch, by=registrar, why=WHY)
    assert len(numbers()) == 2


def test_one_that_another_file_changed_keeps_all_of_them(commit: Write, registrar: User) -> None:
    batch = commit("A-1")
    commit("A-1,LMN-2024-038,Calopteryx virgo,2024-06-17,GE,GE-1,Ford,", why="july", take_changes=True)
    with pytest.raises(RemovalError) as refused:
        take_back(batch=batch, by=registrar, why=WHY)
    assert [one.words for one in refused.value.in_the_way] == [
        f"It was changed on 26 November 2026 by {registrar.shown_name}: july"
    ]


def test_what_was_taken_from_one_keeps_all_of_them(commit: Write, registrar: User) -> None:
    batch = commit("A-1", "A-2")
    register.specimen("A-1-leg", parent=Specimen.objects.get(catalog_number="A-1"), kind="part")
    with pytest.raises(RemovalError) as refused:
        take_back(batch=batch, by=registrar, why=WHY)
    assert [one.words for one in refused.value.in_the_way] == ["A-1-leg was taken from it."]


@pytest.mark.parametrize("state", ["received", "discarded", "taken-back"])
def test_only_what_is_in_the_register_is_taken_back(state: str, commit: Write, registrar: User, client: Client) -> None:
    if state == "taken-back":
        batch = take_back(batch=commit("A-1"), by=registrar, why=WHY)
    else:
        batch = Batch.objects.create(file_name="a.csv", data=b"", sha256="0" * 64, received_by=registrar, state=state)
    with pytest.raises(IntakeError, match="not in the register"):
        take_back(batch=batch, by=registrar, why=WHY)
    answer = client.get(address(batch))
    assert answer["Location"] == reverse("intake:batch", args=[batch.pk])
    if state == "taken-back":
        with pytest.raises(IntakeError, match="taken back already"):
            discard(batch=batch, by=registrar, why="away")


def test_a_file_that_made_nothing_has_nothing_to_take_back(commit: Write, registrar: User, client: Client) -> None:
    commit("A-1")
    batch = commit("A-1,LMN-2024-038,Calopteryx virgo,2024-06-17,GE,GE-1,Ford,", take_changes=True)
    with pytest.raises(IntakeError, match="made no specimens"):
        take_back(batch=batch, by=registrar, why=WHY)
    assert address(batch) not in client.get(reverse("intake:batch", args=[batch.pk])).content.decode()
    assert client.get(address(batch)).status_code == 302


@pytest.mark.django_db(transaction=True)
def test_a_basket_at_the_same_moment_keeps_all_of_them(commit: Write, registrar: User) -> None:
    """The look finds nothing, as when the other transaction is not committed yet: the database refuses."""
    batch = commit("A-1", "A-2")
    usedesk.use_request(specimens=[Specimen.objects.get(catalog_number="A-2")], reference="UR-7")
    with (
        mock.patch("accessions.material.actions.removing.in_the_way", lambda keys: []),
        pytest.raises(RemovalError, match="at the same moment"),
    ):
        take_back(batch=batch, by=registrar, why=WHY)
    assert numbers() == {"A-1", "A-2"}
    assert Batch.objects.get().state == Batch.State.COMMITTED and not Removal.objects.exists()


# Pages ----------------------------------------------------------------------------------------------------------------


def test_the_page_asks_and_then_takes_back(commit: Write, client: Client) -> None:
    batch = commit("A-1", "A-2")
    done = reverse("intake:batch", args=[batch.pk])
    assert address(batch) in client.get(done).content.decode()
    words = text_of(client.get(address(batch)))
    assert "2 specimens are removed from the register." in words and "2 determinations" in words
    assert client.post(address(batch), {"why": " "}).status_code == 422
    assert client.post(address(batch), {"why": "x" * (LONGEST_WHY + 1)}).status_code == 422
    assert numbers() == {"A-1", "A-2"}
    answer = client.post(address(batch), {"why": WHY}, follow=True)
    assert answer.redirect_chain[0][0] == done
    words = text_of(answer)
    assert "Taken back: 2 specimens that it made were removed." in words and WHY in words
    assert address(batch) not in answer.content.decode()
    assert "Taken back" in text_of(client.get(reverse("intake:batches"), {"state": "taken-back"}))


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.CURATOR, Role.COMPLIANCE, Role.AUDITOR, Role.ADMINISTRATOR])
def test_who_may_not_remove_takes_nothing_back(role: str, commit: Write) -> None:
    batch, somebody, client = commit("A-1"), register.person(role), Client()
    client.force_login(somebody)
    assert client.post(address(batch), {"why": WHY}).status_code == 403
    with pytest.raises(NotAllowedError):
        take_back(batch=batch, by=somebody, why=WHY)
    if role in (Role.VOLUNTEER, Role.CURATOR):
        assert address(batch) not in client.get(reverse("intake:batch", args=[batch.pk])).content.decode()


def test_many_are_shown_in_part(commit: Write, client: Client) -> None:
    batch = commit(*[f"A-{number:03}" for number in range(103)])
    usedesk.use_request(specimens=Specimen.objects.all(), reference="UR-7")
    words = text_of(client.get(address(batch)))
    assert "With 103 of 103 specimens something was done since." in words
    assert words.count("It is in request UR-7.") == 100 and "And 3 specimens more." in words


# What follows ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("few", [500, 0], ids=["marks of specimens", "marks of accessions"])
def test_what_a_limit_counts_is_judged_again(few: int, commit: Write, client: Client) -> None:
    """One of before and two of the file, of another accession and the same event, under a limit of one; without the
    file, whose accession is empty then, the one is covered."""
    old = commit("OLD-1,A,Calopteryx splendens,2024-06-17,GE,,,")
    batch = commit("A-1,B,Calopteryx splendens,2024-06-17,GE,,,", "A-2,B,Gomphus vulgatus,2024-06-17,GE,,,")
    paper = register.paper("COL-1")
    VersionCap.objects.create(version=register.version(paper), limit=1)
    register.link(paper, event=SamplingEvent.objects.get())
    register.rule(register.sheet("GE"))
    assess(by=None, why="first")
    one = Specimen.objects.get(pk=specimens_made(old)[0])
    assert one.standing.ruling.strip[Layer.COLLECTING] == str(int(Verdict.CANNOT_TELL))
    with mock.patch("accessions.material.actions.removing.FEW", few), mock.patch.object(selecting, "WHOLE_SHARE", 2.0):
        assert client.post(address(batch), {"why": WHY}).status_code == 302
    assert Standing.objects.get().ruling.strip[Layer.COLLECTING] == str(int(Verdict.COVERED))
    assert not Touch.objects.exists()
    assert Run.objects.latest("pk").scope == f"what changed: {'specimen (2)' if few else 'accession'}"


def test_the_seal_holds_and_the_past_knows_them(tmp_path: Path, django_capture_on_commit_callbacks: Any) -> None:
    """What it made, with its verdicts, is there on the days before it was taken back."""
    now = timezone.now()
    with _at(now - timedelta(days=4)), django_capture_on_commit_callbacks(execute=True):
        registrar = register.person(Role.REGISTRAR)
        batch = committed(tmp_path, ["A-1", "A-2"], by=registrar)
        register.rule(register.sheet("GE"))
        assess(by=None, why="first")
    strips = dict(Standing.objects.values_list("specimen", "ruling__strip"))
    with _at(now - timedelta(days=2)), django_capture_on_commit_callbacks(execute=True):
        take_back(batch=batch, by=registrar, why=WHY)
        take_up(by=None)
    assert Result.objects.count() == 2 and not Standing.objects.exists()
    assert check_seal(with_files=False).problems.named == []
    with as_known(now - timedelta(days=3)):
        assert numbers() == {"A-1", "A-2"}
        assert dict(Standing.objects.values_list("specimen", "ruling__strip")) == strips
        assert Batch.objects.get().state == Batch.State.COMMITTED
    with as_known(now - timedelta(days=1)):
        assert numbers() == set() and not Standing.objects.exists()


def _at(moment: datetime) -> Any:
    return mock.patch("django.utils.timezone.now", lambda: moment)


def test_queries_do_not_grow_with_the_rows(commit: Write, registrar: User, client: Client) -> None:
    """Neither of the page nor of the action; the marks of more than 500 are of their accession."""
    few, many = (commit(*[f"{letter}-{n}" for n in range(count)]) for letter, count in (("F", 3), ("M", 700)))
    for batch in (few, many):
        with CaptureQueriesContext(connection) as asked:
            assert client.get(address(batch)).status_code == 200
        assert len(asked) == 23
    for batch in (few, many):
        with CaptureQueriesContext(connection) as asked:
            take_back(batch=batch, by=registrar, why=WHY)
        assert len(asked) == 36
    assert numbers() == set()
    marks = set(Touch.objects.filter(why__startswith="Intake").values_list("scope", flat=True))
    assert marks == {Scope.SPECIMEN, Scope.ACCESSION}
