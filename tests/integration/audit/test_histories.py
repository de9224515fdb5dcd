"""The history of a record and of a write: what it says, and to whom it says it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from accessions.people.access import is_open_to, role_bits
from accessions.people.history import record, remove
from accessions.people.models import Role, Seal, SealHead, SealShape, Write
from accessions.sites.models import Site
from governance.audit.queries.entries import (
    Entry,
    Stated,
    WritesWanted,
    belonging,
    kinds,
    record_history,
    sealed_rows,
    sizes,
    write_entries,
    writes,
)
from governance.audit.queries.gates import ways_to
from governance.papers.models import Paper, UseTerm
from governance.scans.models import Scan
from governance.usedesk.models import RequestDecision
from tests.factories import register, scans, usedesk

pytestmark = pytest.mark.django_db


def seal(number: int, rows: list[Any], *, origin: str, by: Any = None, state: str = "") -> Write:
    """A write with the entries of some rows, as the seal leaves them; hashes do not matter here."""
    write = Write.objects.create(number=number, at=timezone.now(), by=by, origin=origin)
    for place, row in enumerate(rows, number + 1):
        table = state or row._meta.db_table
        shape, _ = SealShape.objects.get_or_create(table=table, key="id", columns=[])
        Seal.objects.create(number=place, shape=shape, row=row.pk, text_sha256=bytes(32), sha256=bytes(32))
    SealHead.objects.update_or_create(id=1, defaults={"number": number + len(rows)})
    return write


def renamed_site() -> Site:
    """A site that was added, renamed and removed: three entries."""
    by = register.person(Role.REGISTRAR)
    site = Site(code="GE-1", code_key="ge-1", name="Bridge", name_key="bridge", country="GE")
    record(site, by=by, why="Entered from the map sheet.")
    site.name = "Upper bridge"
    record(site, by=by, why="Two bridges there.", fields=["name"])
    key = site.pk
    remove(site, by=by, why="Entered twice.")
    site.pk = key
    return site


def test_a_record_tells_all_that_happened_to_it() -> None:
    site = renamed_site()
    rows = list(Site.history.filter(id=site.pk).order_by("history_id"))
    seal(1, rows[:2], origin="POST /sites/new/")

    found = record_history("sites.site", site.pk, register.person(Role.AUDITOR))

    assert found is not None
    assert found.is_gone
    assert [entry.change.did for entry in found.entries if entry.change] == ["removed", "changed", "added"]
    changed = found.entries[1]
    assert changed.change is not None
    assert [(f.label, f.before, f.after) for f in changed.change.fields] == [("name", "Bridge", "Upper bridge")]
    assert changed.change.why == "Two bridges there."
    assert (changed.number, changed.write.origin if changed.write else "") == (3, "POST /sites/new/")
    assert (found.entries[0].number, found.entries[0].write) == (None, None), "the last one has no seal"


def test_nothing_is_known_of_a_record_that_never_was() -> None:
    assert record_history("sites.site", 99, register.person()) is None


def test_a_write_tells_what_it_changed(django_assert_max_num_queries: Any) -> None:
    site = renamed_site()
    by = register.person(Role.REGISTRAR)
    rows = list(Site.history.filter(id=site.pk).order_by("history_id"))
    write = seal(1, rows[:1], origin="POST /sites/new/", by=by)
    second = seal(3, rows[1:], origin="POST /sites/1/edit/", by=by)
    seal(6, [site], origin="manage.py links", state="papers_paperlink")

    newest = list(writes(WritesWanted()))
    assert [one.number for one in newest] == [6, 3, 1]
    assert sizes(newest, 7) == [1, 2, 1]
    assert list(sealed_rows(write).values_list("number", flat=True)) == [2]
    with django_assert_max_num_queries(8):
        told = write_entries(list(sealed_rows(second)), second, by)
    assert [one.change.did for one in told if isinstance(one, Entry) and one.change] == ["changed", "removed"]
    (stated,) = write_entries(list(sealed_rows(newest[0])), newest[0], by)
    assert isinstance(stated, Stated)
    assert stated.what == "link of a paper"


def test_writes_are_found_by_person_day_and_page() -> None:
    nora, maja = register.person(Role.REGISTRAR), register.person(Role.VOLUNTEER)
    early = seal(1, [], origin="POST /sites/new/", by=nora)
    Write.objects.filter(pk=early.pk).update(at=timezone.now() - timedelta(days=3))
    seal(2, [], origin="manage.py demo", by=maja)
    today = timezone.localdate()

    def found(**wanted: Any) -> list[int]:
        return [one.number for one in writes(WritesWanted(**wanted))]

    assert found(by=nora.pk) == [1]
    assert found(words="demo") == [2]
    assert found(first=today) == [2]
    assert found(last=today - timedelta(days=1)) == [1]
    assert found(first=today - timedelta(days=3), last=today) == [2, 1]
    assert found(only_late=True) == []


def test_a_restricted_paper_keeps_its_history_to_its_readers() -> None:
    """The paper itself and what hangs on it by two steps; a volunteer sees that something changed, and no more."""
    by = register.person(Role.REGISTRAR)
    paper = register.paper("LND-2024-117", restricted_to=role_bits([Role.REGISTRAR]), issuer="Kvist farm",
                           restricted_why="Private land")  # fmt: skip
    record(paper, by=by, why="Owner Kvist asked for silence.")
    version = register.version(paper)
    record(version, by=by, why="As Kvist wrote it.")

    for kind, pk in (("papers.paper", paper.pk), ("papers.paperversion", version.pk)):
        hidden = record_history(kind, pk, register.person(Role.VOLUNTEER))
        shown = record_history(kind, pk, by)
        assert hidden and shown
        assert [entry.change for entry in hidden.entries] == [None, None]
        assert (hidden.closed, hidden.name) == (2, "")
        assert shown.entries[0].change is not None
        assert "Kvist" in shown.entries[0].change.why


def test_of_a_paper_that_is_gone_nobody_can_tell_who_may_read_it() -> None:
    by = register.person(Role.REGISTRAR)
    paper = register.paper("LND-2024-118")
    key = paper.pk
    remove(paper, by=by, why="Entered twice.")

    found = record_history("papers.paper", key, by)

    assert found is not None
    assert [entry.change for entry in found.entries] == [None, None]


def test_a_scan_keeps_its_history_to_those_who_may_open_it() -> None:
    """Its own restriction and that of its papers must both allow: ``Scan.open_to`` of the model tells who may."""
    by = register.person(Role.REGISTRAR)
    scan = scans.scan(stored=False)
    scan.restricted_to = role_bits([Role.REGISTRAR, Role.CURATOR])
    scan.papers_restricted_to = role_bits([Role.REGISTRAR, Role.VOLUNTEER])
    record(scan, by=by, why="Kvist asked for silence.")

    for role in (Role.REGISTRAR, Role.CURATOR, Role.VOLUNTEER):
        found = record_history("scans.scan", scan.pk, register.person(role))
        assert found is not None
        assert (found.closed == 0) == is_open_to(register.person(role), scan.open_to) == (role is Role.REGISTRAR)


def test_ways_to_papers_and_scans() -> None:
    """What hangs on a paper by one, two or three keys is found without a list that somebody would have to keep."""
    assert ways_to(Paper, Paper) == ("",)
    assert ways_to(UseTerm, Paper) == ("version__paper",)
    assert ways_to(Scan, Scan) == ("",)
    assert ways_to(Site, Paper) == ()


def test_pages(client: Client) -> None:
    site = renamed_site()
    by = register.person(Role.REGISTRAR)
    seal(1, list(Site.history.filter(id=site.pk).order_by("history_id")), origin="POST /sites/1/edit/", by=by)
    client.force_login(register.person(Role.AUDITOR))

    listed = client.get(reverse("audit:writes"), {"words": "edit"}).content.decode()
    assert "POST /sites/1/edit/" in listed
    one = client.get(reverse("audit:write", args=[1])).content.decode()
    assert "Two bridges there." in one
    assert reverse("audit:history", args=["sites.site", site.pk]) in one
    history = client.get(reverse("audit:history", args=["sites.site", site.pk])).content.decode()
    assert "Upper bridge" in history
    assert client.get(reverse("audit:history", args=["sites.nothing", 1])).status_code == 404
    rows = b"".join(client.get(reverse("audit:history-csv", args=["sites.site", site.pk])).streaming_content)  # type: ignore[attr-defined]
    assert rows.decode("utf-8-sig").count("Two bridges there.") == 1


def test_every_kind_with_a_history_has_an_address() -> None:
    assert {"papers.paper", "material.specimen", "usedesk.madeuse", "verdicts.override"} <= set(kinds())


def test_what_hangs_on_a_record_leads_to_its_own_history() -> None:
    paper = register.paper()
    versions = [register.version(paper), register.version(paper, "2025-05-01", "2025-06-30")]
    found = {one.kind: list(one.keys) for one in belonging("papers.paper", paper.pk)}
    assert found["papers.paperversion"] == [one.pk for one in versions]


def test_reasons_that_repeat_clauses_are_not_told() -> None:
    """A decision of the desk belongs to no paper, and keeps the words of clauses that decided."""
    by = register.person(Role.REGISTRAR)
    request = usedesk.use_request(specimens=[register.specimen()], recipient=usedesk.recipient())
    decision = RequestDecision(request=request, is_approved=False, answer=4, decided_by=by, reasons=[])
    record(decision, by=by, why="Asked by mail.")
    decision.reasons = [{"clause": "No extract leaves Kvist farm."}]
    record(decision, by=by, why="Reasons added.", fields=["reasons"])

    found = record_history("usedesk.requestdecision", decision.pk, by)

    assert found is not None
    newest = found.entries[0].change
    assert newest is not None
    assert [field.label for field in newest.fields] == ["reasons"]
    assert "Kvist" not in f"{newest.fields}"
