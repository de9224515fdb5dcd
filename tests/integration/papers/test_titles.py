"""Title and custody: who writes it, what it says where nothing is known, and that its history stays."""

from __future__ import annotations

from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from accessions.material.models import Touch
from accessions.people.access import NotAllowedError
from accessions.people.editing import NotEditableError
from accessions.people.models import Role
from governance.papers.actions.title import add_title, change_title, remove_title
from governance.papers.models import TitleRecord
from governance.scans.models import Filing, Scan
from tests.factories import register

pytestmark = pytest.mark.django_db

NOT_KNOWN = "not known: nobody has recorded who held the right to give"


def registrar() -> Client:
    client = Client()
    client.force_login(register.person(Role.REGISTRAR))
    return client


def file_of(client: Client, accession) -> str:
    return " ".join(client.get(reverse("verdicts:legal-file", args=[accession.pk])).content.decode().split())


def a_scan(name: str, **fields) -> Scan:
    digest = f"{abs(hash(name)):064x}"[:64]
    return Scan.objects.create(
        sha256=digest, size_bytes=10, media_type="application/pdf", stored_name=name, original_name=name,
        received_by=register.person(), **fields,
    )  # fmt: skip


def test_a_record_is_added_changed_and_taken_away() -> None:
    accession, by = register.accession(kind="gift"), register.person(Role.REGISTRAR)
    title = add_title(accession=accession, by=by, why="entered", kind="gift", given_by="O. Rask")
    changed = change_title(title=title, by=by, why="letter found", right_held_by="O. Rask", right_basis="will of 1970")
    assert changed == ["right_held_by", "right_basis"]
    history = TitleRecord.history.filter(id=title.pk).order_by("history_id")
    assert [(row.history_type, row.history_change_reason, row.history_user) for row in history] == [
        ("+", "entered", by), ("~", "letter found", by),
    ]  # fmt: skip
    key = title.pk
    remove_title(title=title, by=by, why="entered twice")
    assert not TitleRecord.objects.exists()
    last = TitleRecord.history.filter(id=key).latest("history_id")
    assert (last.history_type, last.history_change_reason) == ("-", "entered twice")
    assert not Touch.objects.exists(), "it makes no verdict"


def test_what_the_register_does_not_hold_is_refused() -> None:
    accession, by = register.accession(), register.person(Role.REGISTRAR)
    other = register.part(register.accession("LMN-X"), "Z")
    with pytest.raises(ValidationError, match="Part Z is of another accession"):
        add_title(accession=accession, by=by, why="x", kind="gift", part=other)
    with pytest.raises(ValidationError, match="Say who held the right to give"):
        add_title(accession=accession, by=by, why="x", kind="gift", right_basis="will of 1970")
    title = add_title(accession=accession, by=by, why="x", kind="gift")
    with pytest.raises(NotEditableError):
        change_title(title=title, by=by, why="x", accession=register.accession("LMN-Y"))
    for role in (Role.VOLUNTEER, Role.CURATOR, Role.AUDITOR, Role.ADMINISTRATOR):
        with pytest.raises(NotAllowedError):
            remove_title(title=title, by=register.person(role), why="x")


def test_the_file_says_who_held_the_right_or_that_nobody_recorded_it() -> None:
    accession, by = register.accession(), register.person(Role.REGISTRAR)
    client = registrar()
    assert "Nobody has recorded by which act the material came" in file_of(client, accession)
    title = add_title(accession=accession, by=by, why="x", kind="purchase", dated_on=date(1998, 3, 4))
    page = file_of(client, accession)
    assert "4 March 1998" in page
    assert NOT_KNOWN in page
    change_title(title=title, by=by, why="x", right_held_by="Estate of E. Sandmark")
    page = file_of(client, accession)
    assert "Estate of E. Sandmark" in page
    assert NOT_KNOWN not in page


def test_the_forms_write_it_with_paper_and_scan() -> None:
    accession = register.accession(kind="gift", source=register.agent("O. Rask"))
    part = register.part(accession, "A")
    deed = register.paper("DEED-1", kind="deed-of-gift")
    scan = a_scan("deed.pdf")
    Filing.objects.create(accession=accession, scan=scan, name="deed.pdf", filed_by=register.person())
    client = registrar()
    address = reverse("papers:title-new", args=[accession.pk])
    page = client.get(address).content.decode()
    assert 'value="gift" selected' in page
    assert 'value="O. Rask"' in page
    told = {"kind": "gift", "part": part.pk, "dated_on": "2020-01-02", "paper": "deed-1", "scan": scan.pk}
    assert client.post(address, told)["Location"] == reverse("verdicts:legal-file", args=[accession.pk])
    title = TitleRecord.objects.get()
    assert (title.part, title.paper, title.scan, title.dated_on) == (part, deed, scan, date(2020, 1, 2))
    address = reverse("papers:title-edit", args=[title.pk])
    assert 'value="DEED-1"' in client.get(address).content.decode()
    told |= {"paper": "", "note": "copy only"}
    assert client.post(address, told).status_code == 422, "a change wants a reason"
    assert client.post(address, told | {"why": "no deed"}).status_code == 302
    title.refresh_from_db()
    assert (title.paper, title.note) == (None, "copy only")
    address = reverse("papers:title-remove", args=[title.pk])
    assert client.post(address, {"why": ""}).status_code == 422
    assert client.post(address, {"why": "entered twice"}).status_code == 302
    assert not TitleRecord.objects.exists()


def test_mistakes_are_all_told_and_nothing_is_saved() -> None:
    accession = register.accession()
    elsewhere = a_scan("other.pdf")
    told = {"kind": "", "paper": "DEED-9", "scan": elsewhere.pk, "dated_on": "2020-13-40"}
    answer = registrar().post(reverse("papers:title-new", args=[accession.pk]), told)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "No paper has the number “DEED-9”" in page
    assert page.count('bad-msg"') >= 4
    assert not TitleRecord.objects.exists()


def test_a_scan_that_is_open_to_others_only_is_named_by_nobody_else() -> None:
    """The file says that there is one, without its name; the form does not offer it."""
    accession = register.accession()
    shut = a_scan("secret.pdf", restricted_to=1 << list(Role).index(Role.COMPLIANCE))
    Filing.objects.create(accession=accession, scan=shut, name="secret.pdf", filed_by=register.person())
    client = registrar()
    assert "secret.pdf" not in client.get(reverse("papers:title-new", args=[accession.pk])).content.decode()
    title = TitleRecord.objects.create(accession=accession, kind="gift", scan=shut)
    form = client.get(reverse("papers:title-edit", args=[title.pk])).content.decode()
    assert "secret.pdf" not in form
    assert "a scan that is open to some roles only</option>" in form
    page = file_of(client, accession)
    assert "a scan that is open to some roles only" in page
