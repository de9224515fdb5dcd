"""Changes become entries of the chain right after their commit, whatever wrote them."""

from __future__ import annotations

import hashlib
import json
import logging
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any

import pytest
from django.contrib.auth.models import AnonymousUser
from django.db import DEFAULT_DB_ALIAS, connection, connections, transaction
from django.http import HttpRequest, HttpResponse
from django.test import RequestFactory
from django.test.utils import CaptureQueriesContext
from django.urls import resolve

from accessions.people.history import CHANGED, copy_to_history, record, remove
from accessions.people.models import PersonalSalt, Role, Seal, SealHead, SealShape, Write
from accessions.people.origins import OriginMiddleware, coming_from, origin, writer
from accessions.people.sealing import head, origin_of
from accessions.sites.models import Site
from governance.papers.actions.linking import Targets, add_links, end_links
from governance.papers.actions.rows import create_rows
from governance.papers.models import Paper, PaperLink
from governance.plans.models import PlanPaper
from tests.factories import register
from tests.factories.plans import field_plan

pytestmark = pytest.mark.django_db

Committed = Callable[[], AbstractContextManager[Any]]


@pytest.fixture
def committed(django_capture_on_commit_callbacks: Any) -> Committed:
    """What is written within it is sealed at its end, as after a commit; what came before it waits for ever."""

    def begin() -> AbstractContextManager[Any]:
        vars(connections[DEFAULT_DB_ALIAS]).pop("announced_to_seal", None)
        context: AbstractContextManager[Any] = django_capture_on_commit_callbacks(execute=True)
        return context

    return begin


def new_site(code: str = "GE-1", **values: Any) -> Site:
    return Site(code=code, code_key=code.casefold(), name="Bridge", name_key="bridge", country="GE", **values)


def rows_sealed() -> list[tuple[str, int]]:
    """Table and key of each entry but the writes', in order."""
    rows = Seal.objects.exclude(shape__table="people_write").order_by("number")
    return list(rows.values_list("shape__table", "row"))


class TestOneWrite:
    def test_the_hash_by_hand(self, committed: Committed) -> None:
        """Entry 1 is the write, entry 2 the row: SHA-256 (FIPS 180-4) over the hash before and the text that
        governance/docs/seal.md describes, written here by hand."""
        by = register.person(Role.REGISTRAR)
        with committed():
            record(new_site(), by=by, why="Entered from the map sheet.")
        write, row = Write.objects.get(), Site.history.get()
        at = write.at.strftime("%Y-%m-%d %H:%M:%S.%f")
        first = {
            "table": "people_write", "key": 1,
            "row": {"at": at, "by_id": by.pk, "is_late": False, "origin": write.origin, "why": ""},
        }  # fmt: skip
        values = {
            "id": row.id, "code": "GE-1", "code_key": "ge-1", "name": "Bridge", "name_key": "bridge", "country": "GE",
            "history_change_reason": "Entered from the map sheet.", "history_type": "+", "history_user_id": by.pk,
            "history_date": row.history_date.strftime("%Y-%m-%d %H:%M:%S.%f"),
        }  # fmt: skip
        rest = {
            field.column: getattr(row, field.attname)
            for field in row._meta.concrete_fields
            if field.column not in {"history_id", *values}
        }
        second = {"table": "sites_historicalsite", "key": row.pk, "row": values | rest}
        sha256 = bytes(32)
        for text in (first, second):
            plain = json.dumps(text, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
            sha256 = hashlib.sha256(sha256 + hashlib.sha256(plain.encode()).digest()).digest()
        assert head() == (2, sha256.hex())
        assert origin_of(row) == write

    def test_nothing_is_asked_before_the_commit(self, committed: Committed) -> None:
        by = register.person()
        with committed():
            with CaptureQueriesContext(connection, ) as asked:  # fmt: skip
                record(new_site(), by=by, why="")
            assert not [query for query in asked if "people_seal" in query["sql"]]
            assert not Write.objects.exists()
        assert Write.objects.count() == 1

    def test_one_write_a_transaction(self, committed: Committed) -> None:
        by = register.person()
        with committed():
            for code in ("GE-1", "GE-2", "GE-3"):
                record(new_site(code), by=by, why="")
        keys = list(Site.history.order_by("pk").values_list("pk", flat=True))
        assert Write.objects.count() == 1
        assert rows_sealed() == [("sites_historicalsite", key) for key in keys]

    def test_what_is_taken_back_has_no_entry(self, committed: Committed) -> None:
        """In a part of a transaction, before and after what stays: nothing that stays is forgotten."""
        by = register.person()
        with committed():
            with pytest.raises(ZeroDivisionError), transaction.atomic():
                record(new_site("GE-1"), by=by, why="")
                raise ZeroDivisionError
            record(new_site("GE-2"), by=by, why="")
            with pytest.raises(ZeroDivisionError), transaction.atomic():
                record(new_site("GE-3"), by=by, why="")
                raise ZeroDivisionError
            record(new_site("GE-4"), by=by, why="")
        keys = list(Site.history.order_by("pk").values_list("pk", flat=True))
        assert [row for _table, row in rows_sealed()] == keys
        assert len(keys) == 2

    def test_a_failure_is_no_error_of_the_person(
        self, committed: Committed, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
    ) -> None:
        def fail(*_args: Any, **_more: Any) -> None:
            raise OSError("the disk is full")

        monkeypatch.setattr("accessions.people.sealing.seal", fail)
        with caplog.at_level(logging.ERROR), committed():
            record(new_site(), by=register.person(), why="")
        assert Site.objects.exists()
        assert "verify_seal" in caplog.text
        assert "the disk is full" in caplog.text

    def test_where_it_came_from(self, rf: RequestFactory) -> None:
        """The page without its query; of who is not signed in the pattern alone: the address may be a secret."""
        by, answers = register.person(), []

        def answer(request: HttpRequest) -> HttpResponse:
            request.resolver_match = resolve(request.path)
            answers.append((origin(), writer()))
            return HttpResponse()

        for path, user in (("/papers/12/edit/?secret=1", by), ("/reports/shared/s3cret/", AnonymousUser())):
            request = rf.post(path)
            request.user = user
            OriginMiddleware(answer)(request)
        shared = resolve("/reports/shared/s3cret/").route
        assert answers == [("POST /papers/12/edit/", by), (f"POST /{shared}", None)]
        assert "s3cret" not in shared
        with coming_from("background"):
            assert origin() == "background"


class TestManyAtOnce:
    def test_copied_histories(self, committed: Committed) -> None:
        by = register.person()
        sites = [register.site(f"GE-{number}") for number in range(3)]
        with committed():
            copy_to_history(Site, "id > %s", [sites[0].pk - 1], by=by, why="Checked.", kind=CHANGED)
        assert len(rows_sealed()) == 3
        assert Write.objects.get().by == by

    def test_created_rows(self, committed: Committed) -> None:
        by = register.person()
        with committed():
            made = create_rows(Site, [new_site("GE-1"), new_site("GE-2")], by=by, why="")
        assert [one.code for one in made] == ["GE-1", "GE-2"]
        assert {row for _table, row in rows_sealed()} == set(Site.history.values_list("pk", flat=True))

    def test_a_new_column_makes_a_new_shape(self, committed: Committed) -> None:
        """Entries of the time before keep theirs."""
        by = register.person()
        with committed():
            record(new_site("GE-1"), by=by, why="")
        old = SealShape.objects.get(table="sites_historicalsite")
        SealShape.objects.filter(pk=old.pk).update(columns=[one for one in old.columns if one[0] != "remarks"])
        with committed():
            record(new_site("GE-2"), by=by, why="")
        assert SealShape.objects.filter(table="sites_historicalsite").count() == 2


class TestByState:
    def test_links_made_and_ended(self, committed: Committed) -> None:
        """Two sets of one paper: the row that was ended has a newer entry."""
        by, paper = register.person(Role.REGISTRAR), register.paper()
        accession = register.accession()
        with committed():
            assert add_links(paper, Targets(accessions=frozenset({accession.pk})), by=by, why="") == 1
        link = PaperLink.objects.get()
        with committed():
            assert end_links(paper, [link.pk], by=by, why="Another paper.") == 1
        assert rows_sealed().count(("papers_paperlink", link.pk)) == 2

    def test_what_goes_is_sealed_as_gone(self, committed: Committed) -> None:
        """{"key":..,"row":null,"table":..} over the entry before."""
        with committed():
            attached = PlanPaper.objects.create(plan=field_plan(), paper=register.paper(), linked_by=register.person())
        key = attached.pk
        with committed():
            attached.delete()
        last, before = Seal.objects.order_by("-number")[:2]
        text = json.dumps({"key": key, "row": None, "table": "plans_planpaper"}, separators=(",", ":"))
        told = hashlib.sha256(text.encode()).digest()
        assert bytes(last.sha256) == hashlib.sha256(bytes(before.sha256) + told).digest()


def test_a_person_is_sealed_by_salt_and_hash(committed: Committed) -> None:
    by = register.person()
    with committed():
        agent = register.agent("J. Ek", contact="Mill Lane 3", remarks="Landowner")
        record(agent, by=by, why="")
    row = agent.history.first()
    salts = {one.column: one for one in PersonalSalt.objects.filter(row=row.pk, shape__table=row._meta.db_table)}
    assert set(salts) == {"name", "contact", "remarks"}
    contact = salts["contact"]
    assert bytes(contact.sha256) == hashlib.sha256(bytes(contact.salt or b"") + b"Mill Lane 3").digest()
    assert len({bytes(one.salt or b"") for one in PersonalSalt.objects.all()}) == PersonalSalt.objects.count() >= 8


def test_removed_rows_are_sealed_too(committed: Committed) -> None:
    with committed():
        site = register.site()
        remove(site, by=register.person(), why="Entered twice.")
    assert len(rows_sealed()) == 3  # added, removed, and the person who did it
    assert SealHead.objects.get().number == 4


def test_papers_are_known_by_their_write(committed: Committed) -> None:
    assert Paper.history.count() == 0
    with committed():
        paper = register.paper()
    other = register.paper("COL-2")
    assert origin_of(paper.history.get()) == Write.objects.get()
    assert origin_of(other.history.get()) is None
