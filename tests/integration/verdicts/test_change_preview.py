"""What a change would change, before it is saved: the pages. That the numbers are right is shown by
``test_every_action``, for every action, against the register after the change."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from accessions.material.models import Touch
from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.papers.models import Paper, PaperStatus, PaperVersion
from governance.papers.queries.exchange_objects import exchange_object, stamp
from governance.verdicts.actions import assess, change_preview
from governance.verdicts.actions.change_preview import Changes, preview_change
from governance.verdicts.models import Standing
from tests.factories import register

pytestmark = pytest.mark.django_db

STATUS = {
    "state": "suspended",
    "from_on": "2024-06-01",
    "to_on": "2024-06-30",
    "note": "letter",
    "why": "letter of May",
}


@pytest.fixture
def paper() -> Paper:
    """A permit of May and June 2024 that covers 12 specimens of 17 June, and one of 5 May."""
    register.rule(register.sheet("GE"))
    made = register.paper(kind="collecting-permit")
    register.version(made)
    accession = register.accession()
    june, may = register.event(day="2024-06-17"), register.event(day="2024-05-05")
    for event in [june] * 12 + [may]:
        register.specimen(accession=accession, event=event)
    register.link(made, accession=accession)
    assess(by=None, why="first")
    return made


@pytest.fixture
def curator(client: Client) -> Client:
    client.force_login(register.person(Role.CURATOR))
    return client


def seen(paper: Paper) -> str:
    return stamp(exchange_object(paper, with_links=False))


def hidden(text: str) -> dict[str, str]:
    """What the button of the page sends on."""
    above = text.partition('<form class="languages"')[0]
    return dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', above))


def test_suspension_is_shown_first_and_saved_by_the_button(curator: Client, paper: Paper) -> None:
    """12 of 13 are of the suspended June: covered -> outside."""
    page = curator.get(reverse("papers:paper-status", args=[paper.pk])).content.decode()
    look = reverse("verdicts:changes-status", args=[paper.pk])
    assert f'action="{look}"' in page
    answer = curator.post(look, STATUS | {"seen": seen(paper)})
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "The verdicts of 12 specimens would change, for the worse." in text
    assert "1 other that is looked at stays as it is." in text
    assert "10 specimens, each with its worst change" in text
    assert not PaperStatus.objects.exists()
    assert not Touch.objects.exists()
    sent = {name: value for name, value in hidden(text).items() if name != "csrfmiddlewaretoken"}
    assert sent == STATUS | {"seen": seen(paper)}
    saved = curator.post(reverse("papers:paper-status", args=[paper.pk]), sent)
    assert saved["Location"] == reverse("papers:paper", args=[paper.pk])
    assert PaperStatus.objects.get().state == "suspended"


def test_back_to_the_form_saves_nothing(curator: Client, paper: Paper) -> None:
    path = reverse("papers:paper-status", args=[paper.pk])
    answer = curator.post(path, STATUS | {"seen": seen(paper), "write_on": "1"})
    assert answer.status_code == 200
    assert 'value="letter of May"' in answer.content.decode()
    assert not PaperStatus.objects.exists()


def test_mistakes_are_shown_on_the_form(curator: Client, paper: Paper) -> None:
    """Refused by the form (no day), by the reading of the paper (a last day of a grant), by another save meanwhile."""
    look = reverse("verdicts:changes-status", args=[paper.pk])
    for wrong, words in (
        ({"from_on": ""}, "This field is required"),
        ({"state": "granted"}, "Only a suspension has a last day"),
        ({"seen": "another"}, "Somebody else changed this paper"),
    ):
        answer = curator.post(look, STATUS | {"seen": seen(paper)} | wrong)
        assert answer.status_code == 422
        assert words in answer.content.decode()
    assert not PaperStatus.objects.exists()


def test_new_version(curator: Client, paper: Paper) -> None:
    """From 1 June another version that ends on 10 June: 17 June is after its end."""
    path = reverse("verdicts:changes-version-new", args=[paper.pk])
    typed = {
        "in_force_from": "2024-06-01", "in_force_to": "2024-06-10", "why": "amendment of May", "seen": seen(paper),
        "places-TOTAL_FORMS": "0", "places-INITIAL_FORMS": "0", "caps-TOTAL_FORMS": "0", "caps-INITIAL_FORMS": "0",
    }  # fmt: skip
    text = curator.post(path, typed).content.decode()
    assert "The verdicts of 12 specimens would change, for the worse." in text
    assert PaperVersion.objects.count() == 1
    saved = curator.post(reverse("papers:version-new", args=[paper.pk]), hidden(text))
    assert saved.status_code == 302
    assert PaperVersion.objects.count() == 2


def test_version_corrected_and_taken_off(curator: Client, paper: Paper) -> None:
    version = PaperVersion.objects.get()
    typed = {
        "in_force_from": "2024-05-01", "in_force_to": "2024-05-04", "why": "misread", "seen": seen(paper),
        "places-TOTAL_FORMS": "0", "places-INITIAL_FORMS": "0", "caps-TOTAL_FORMS": "0", "caps-INITIAL_FORMS": "0",
    }  # fmt: skip
    edited = curator.post(reverse("verdicts:changes-version-edit", args=[paper.pk, version.pk]), typed)
    assert "The verdicts of 13 specimens would change, for the worse." in edited.content.decode()
    removed = curator.post(reverse("verdicts:changes-version-remove", args=[paper.pk, version.pk]), {"why": "twice"})
    assert "The verdicts of 13 specimens would change, for the worse." in removed.content.decode()
    assert PaperVersion.objects.get() == version


def test_links_taken_off(curator: Client, paper: Paper) -> None:
    link = paper.links.get()
    path = reverse("verdicts:changes-unlink", args=[paper.pk])
    text = curator.post(path, {"links": [link.pk], "why": "of another trip"}).content.decode()
    assert "The verdicts of 13 specimens would change, for the worse." in text
    assert hidden(text)["links"] == str(link.pk)
    assert not curator.post(path, {"why": "of another trip"}).context["form"].is_valid()
    link.refresh_from_db()
    assert link.unlinked_at is None


def test_turn_taken_off(curator: Client, paper: Paper) -> None:
    turn = PaperStatus.objects.create(paper=paper, state="revoked", from_on="2024-06-01")
    assess(by=None, why="revoked")
    path = reverse("verdicts:changes-status-remove", args=[paper.pk, turn.pk])
    text = curator.post(path, {"why": "another paper"}).content.decode()
    assert "The verdicts of 12 specimens would change, for the better." in text


def test_nothing_changes(curator: Client, paper: Paper) -> None:
    path = reverse("verdicts:changes-status", args=[paper.pk])
    text = curator.post(path, STATUS | {"from_on": "2024-07-01", "to_on": "", "seen": seen(paper)}).content.decode()
    assert "All 13 specimens that are looked at keep their verdicts." in text
    paper.links.all().delete()
    Standing.objects.all().delete()
    assert preview_change(lambda: None) == Changes()


def test_too_many_are_not_tried(curator: Client, paper: Paper, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(change_preview, "MOST_SPECIMENS", 12)
    path = reverse("verdicts:changes-status", args=[paper.pk])
    text = curator.post(path, STATUS | {"seen": seen(paper)}).content.decode()
    assert "13 specimens would be looked at again: too many to try now." in text
    assert ">Record it</button>" in text


def test_the_worst_comes_first(paper: Paper) -> None:
    """Outside (rank 4) before cannot tell (rank 2), both before what gets better."""
    other = register.paper("LAN-1", (Layer.LAND,), kind="landowner-consent")
    register.link(other, accession=paper.links.get().accession)

    def change() -> None:
        from accessions.material.touches import Scope, touch

        register.version(other)
        PaperVersion.objects.filter(paper=paper).update(in_force_to="2024-05-06")
        touch(Scope.PAPER, [paper.pk, other.pk], by=None, why="test")

    assess(by=None, why="again")
    found = preview_change(change)
    verdicts = [(move.before.verdict.name, move.after.verdict.name) for move in found.moves]
    assert verdicts == [("COVERED", "OUTSIDE"), ("CANNOT_TELL", "COVERED")]
    assert (found.worse, found.better, found.stay) == (12, 1, 0)


def test_waiting_marks_are_said(curator: Client, paper: Paper) -> None:
    Touch.objects.create(scope="paper", key=paper.pk, why="earlier")
    found = preview_change(lambda: Touch.objects.create(scope="paper", key=paper.pk, why="now"))
    assert found.is_behind


def test_who_may_not_save_may_not_look(client: Client, paper: Paper) -> None:
    client.force_login(register.person(Role.VOLUNTEER))
    assert client.post(reverse("verdicts:changes-status", args=[paper.pk]), STATUS).status_code == 403


def test_queries_do_not_grow(curator: Client, paper: Paper, django_assert_max_num_queries: Any) -> None:
    """Most are those of the engine's feed; they do not depend on how many specimens there are."""
    path = reverse("verdicts:changes-status", args=[paper.pk])
    with django_assert_max_num_queries(95):
        curator.post(path, STATUS | {"seen": seen(paper)})


# A consent that is withdrawn ------------------------------------------------------------------------------------------


def test_only_a_consent_can_be_withdrawn(curator: Client, paper: Paper) -> None:
    consent = register.paper("LAN-2", (Layer.LAND,), kind="landowner-consent")
    pages = [curator.get(reverse("papers:paper-status", args=[pk])).content.decode() for pk in (paper.pk, consent.pk)]
    assert ["Consent withdrawn" in page for page in pages] == [False, True]


def test_a_withdrawn_consent_no_longer_holds(curator: Client) -> None:
    """Withdrawn from 10 June: the specimen of 9 June stays covered, that of 10 June does not."""
    consent = register.paper("LAN-2", (Layer.LAND,), kind="landowner-consent")
    register.version(consent)
    for day in ("2024-06-09", "2024-06-10"):
        register.link(consent, specimen=register.specimen(day, event=register.event(day=day)))
    assess(by=None, why="first")
    typed = {"state": "withdrawn", "from_on": "2024-06-10", "why": "letter of the owner", "seen": seen(consent)}
    text = curator.post(reverse("verdicts:changes-status", args=[consent.pk]), typed).content.decode()
    assert "The verdict of 1 specimen would change, for the worse." in text
    assert "2024-06-10</a>" in text
    curator.post(reverse("papers:paper-status", args=[consent.pk]), typed)
    page = curator.get(reverse("papers:paper", args=[consent.pk])).content.decode()
    assert "Consent withdrawn: it no longer holds from 10 June 2024 on." in page
    assert exchange_object(Paper.objects.get(pk=consent.pk))["revoked_on"] == "2024-06-10"
