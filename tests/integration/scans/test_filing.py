"""Scans filed with accessions and sites: editions, what is there already, who may, and taking off."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction

from accessions.people.access import NotAllowedError, role_bits
from accessions.people.models import Role
from governance.scans.actions.dropping import Drop
from governance.scans.actions.filing import file_drop, file_scans, sort, take_off
from governance.scans.filed import Outcome
from governance.scans.models import Filing, Scan, Upload
from tests.factories import register, scans

pytestmark = pytest.mark.django_db


def filed(name: str, content: bytes, **target: object) -> Filing:
    """One file that stands, filed by the action."""
    scan = scans.scan(content, original_name=name)
    [done] = file_scans(scans=[scan], by=register.person(), **target)  # type: ignore[arg-type]
    assert isinstance(done.filing, Filing)
    return done.filing


def test_filed_with_who_and_where_from() -> None:
    curator, accession = register.person(), register.accession()
    scan = scans.scan(original_name="consent.pdf")
    [done] = file_scans(scans=[scan], accession=accession, filed_as="permit", by=curator, why="mail of 3 May")
    row = Filing.objects.get()
    assert (row.name, row.filed_as, row.filed_by, row.filed_why) == ("consent.pdf", "permit", curator, "mail of 3 May")
    assert (row.edition, row.replaces, row.taken_off_at) == (1, None, None)
    assert (done.outcome, done.words) == (Outcome.FILED, "Filed.")


@pytest.mark.parametrize("name", ["consent.pdf", "Consent.PDF", " consent.pdf ", "ｃonsent.pdf"])
def test_other_content_under_the_name_is_a_new_edition(name: str) -> None:
    """Case, blanks and full-width letters (Unicode NFKC) tell no names apart."""
    accession = register.accession()
    first = filed("consent.pdf", scans.pdf(1), accession=accession, filed_as="permit")
    second = filed(name, scans.pdf(2), accession=accession)
    third = filed(name, scans.pdf(3), accession=accession)
    assert (second.edition, second.replaces) == (2, first)
    assert (third.edition, third.replaces) == (3, second)
    assert second.filed_as == "permit", "it is what the edition before was"
    assert Filing.objects.filter(taken_off_at=None).count() == 3, "nothing is overwritten"


def test_edition_is_said() -> None:
    accession = register.accession()
    filed("consent.pdf", scans.pdf(1), accession=accession)
    scan = scans.scan(scans.pdf(2), original_name="consent.pdf")
    [done] = file_scans(scans=[scan], accession=accession, by=register.person())
    assert done.outcome is Outcome.EDITION
    assert done.words == "Filed as edition 2 of consent.pdf. Edition 1 stays on record."


def test_names_are_of_one_accession() -> None:
    filed("consent.pdf", scans.pdf(1), accession=register.accession("LMN-2024-038"))
    other = filed("consent.pdf", scans.pdf(2), accession=register.accession("LMN-2024-039"))
    at_site = filed("consent.pdf", scans.pdf(3), site=register.site())
    assert (other.edition, at_site.edition) == (1, 1)


@pytest.mark.parametrize("name", ["consent.pdf", "scan0001.pdf"])
def test_same_content_is_there_already(name: str) -> None:
    """Whatever it is called."""
    accession = register.accession()
    first = filed("consent.pdf", scans.pdf(1), accession=accession)
    [done] = file_scans(scans=[first.scan], accession=accession, names={first.scan_id: name}, by=register.person())
    assert (done.outcome, done.filing) == (Outcome.ALREADY, first)
    assert "filed here already" in done.words
    assert Filing.objects.count() == 1


def test_same_content_twice_in_one_drop() -> None:
    files = [SimpleUploadedFile("a.pdf", scans.pdf(1)), SimpleUploadedFile("b.pdf", scans.pdf(1))]
    done = file_drop(drop=Drop(files=files), accession=register.accession(), by=register.person())
    assert [one.outcome for one in done] == [Outcome.FILED, Outcome.ALREADY]
    assert "as a.pdf" in done[1].words
    assert Scan.objects.count() == 1


def test_known_content_is_linked_and_said() -> None:
    known = scans.scan(scans.pdf(1), original_name="consent.pdf")
    Scan.objects.filter(pk=known.pk).update(received_at="2026-05-03T10:00:00Z")
    drop = Drop(files=[SimpleUploadedFile("again.pdf", scans.pdf(1))])
    [done] = file_drop(drop=drop, accession=register.accession(), by=register.person())
    assert done.words == "Filed. Its content is known already since 3 May 2026, and was not stored again."
    assert (Filing.objects.get().name, Filing.objects.get().scan) == ("again.pdf", known)


def test_one_bad_file_does_not_stop_the_rest() -> None:
    files = [SimpleUploadedFile("a.pdf", scans.pdf(1)), SimpleUploadedFile("empty.pdf", b""),
             SimpleUploadedFile("c.pdf", scans.pdf(2))]  # fmt: skip
    done = file_drop(drop=Drop(files=files), accession=register.accession(), by=register.person())
    assert [(one.name, one.outcome) for one in done] == [
        ("a.pdf", Outcome.FILED), ("empty.pdf", Outcome.REFUSED), ("c.pdf", Outcome.FILED),
    ]  # fmt: skip
    assert done[1].words and done[1].scan is None
    assert list(Filing.objects.order_by("pk").values_list("name", flat=True)) == ["a.pdf", "c.pdf"]


def test_upload_that_is_not_whole_is_not_filed() -> None:
    curator = register.person()
    half = Upload.objects.create(token="a" * 32, name="half.pdf", size_bytes=10, received_bytes=4, started_by=curator)
    [done] = file_drop(drop=Drop(uploads=[half]), accession=register.accession(), by=curator)
    assert done.is_refused and "Only a part of it arrived" in done.words
    assert not Filing.objects.exists()


def test_upload_that_was_refused_says_why() -> None:
    curator = register.person()
    bad = Upload.objects.create(token="a" * 32, name="x.pdf", size_bytes=1, problem="It is torn.", started_by=curator)
    [done] = file_drop(drop=Drop(uploads=[bad]), accession=register.accession(), by=curator)
    assert (done.key, done.words) == ("a" * 32, "It is torn.")


def test_one_target() -> None:
    scan = scans.scan()
    for target in ({}, {"accession": register.accession(), "site": register.site()}):
        with pytest.raises(ValidationError, match="one accession or one site"):
            file_scans(scans=[scan], by=register.person(), **target)  # type: ignore[arg-type]


def test_unknown_kind_names_the_kinds() -> None:
    with pytest.raises(ValidationError, match=r"“treaty” is no kind of file\. The kinds are: permit, title"):
        file_scans(scans=[scans.scan()], accession=register.accession(), filed_as="treaty", by=register.person())
    assert not Filing.objects.exists()


def test_closed_scan_is_not_filed_and_not_taken_off() -> None:
    """A curator cannot file what only registrars may open, nor hide that it is filed."""
    accession = register.accession()
    scan = scans.scan()
    [done] = file_scans(scans=[scan], accession=accession, by=register.person(Role.REGISTRAR))
    Scan.objects.update(restricted_to=role_bits([Role.REGISTRAR]))
    closed = Scan.objects.get()
    filing = done.filing
    assert isinstance(filing, Filing)
    attempts: list[Callable[[], object]] = [
        lambda: file_scans(scans=[closed], site=register.site(), by=register.person()),
        lambda: take_off(filing=filing, by=register.person(), why="not ours"),
    ]
    for attempt in attempts:
        with pytest.raises(NotAllowedError, match="These roles can open it: Registrar"), transaction.atomic():
            attempt()
    assert Filing.objects.get().taken_off_at is None


def test_sorting() -> None:
    filing = filed("letter.pdf", scans.pdf(1), accession=register.accession())
    assert sort(filing=filing, filed_as="letter", by=register.person()).get_filed_as_display() == "Letter or mail"
    with pytest.raises(ValidationError, match="no kind of file"):
        sort(filing=filing, filed_as="parchment", by=register.person())
    take_off(filing=filing, by=register.person(), why="of another accession")
    with pytest.raises(ValidationError, match="taken off meanwhile"):
        sort(filing=filing, filed_as="permit", by=register.person())
    assert Filing.objects.get().filed_as == "letter"


def test_taken_off_with_who_when_why_and_once() -> None:
    registrar = register.person(Role.REGISTRAR)
    filing = filed("letter.pdf", scans.pdf(1), accession=register.accession())
    assert take_off(filing=filing, by=registrar, why=" of another accession ") is True
    assert take_off(filing=filing, by=register.person(), why="again") is False
    row = Filing.objects.get()
    assert (row.taken_off_by, row.taken_off_why) == (registrar, "of another accession")
    assert Scan.objects.count() == 1, "the file stays"


@pytest.mark.parametrize("why", ["", "  "])
def test_taking_off_asks_for_a_reason(why: str) -> None:
    filing = filed("letter.pdf", scans.pdf(1), accession=register.accession())
    with pytest.raises(ValidationError, match="Say why"):
        take_off(filing=filing, by=register.person(), why=why)
    assert Filing.objects.get().taken_off_at is None


def test_what_was_taken_off_can_be_filed_again() -> None:
    accession = register.accession()
    first = filed("letter.pdf", scans.pdf(1), accession=accession)
    take_off(filing=first, by=register.person(), why="by mistake")
    again = filed("letter.pdf", scans.pdf(1), accession=accession)
    assert (again.edition, again.replaces) == (1, None), "what was taken off is no edition before it"
    assert again.pk != first.pk
