"""Rows changed, added, removed and swapped by SQL, past the register: each is found and named, nothing else is.

The same on SQLite and on PostgreSQL: the statements are the plain SQL that somebody with the password could type.
"""

from __future__ import annotations

import hashlib
from typing import Any

import pytest
from django.db import connection

from accessions.people.announcing import announce
from accessions.people.history import record
from accessions.people.models import PersonalSalt, Role, Seal, SealHead, SealShape, Write
from accessions.people.sealing import head
from governance.audit.actions.errors import AuditError
from governance.audit.actions.sealing import keep_check, note_head, seal_late
from governance.audit.models import KeptHead, Minimisation, SealCheck
from governance.audit.queries.seal.heads import Head
from governance.audit.queries.seal.problems import Problem, ProblemKind
from governance.audit.queries.seal_checking import SealReport, check_seal
from governance.engine.tables import Layer, Verdict
from governance.verdicts.actions import assess
from governance.verdicts.models import Run, RunSeal
from governance.verdicts.storing.run_seals import keep_run_seal
from tests.factories import register
from tests.factories.verdicts import judged, overruled

pytestmark = pytest.mark.django_db


@pytest.fixture
def sealed(django_capture_on_commit_callbacks: Any) -> dict[str, Any]:
    """A small register, every row of which has its entry."""
    with django_capture_on_commit_callbacks(execute=True):
        by = register.person(Role.REGISTRAR)
        site = register.site("GE-1")
        papers = [register.paper(f"COL-{number}") for number in (1, 2, 3)]
        version = register.version(papers[0])
        link = register.link(papers[0], by=by, site=site)
        specimen = register.specimen("LMN-1", name=sealed_name())
        judged(specimen)
        run = Run.objects.get()
        announce(Run, [run.pk])
        agent = register.agent("J. Ek", contact="Mill Lane 3")
        record(papers[2], by=by, why="Looked at again.")
    with django_capture_on_commit_callbacks(execute=True):
        keep_run_seal(run.pk)
    return {"by": by, "site": site, "papers": papers, "version": version, "link": link, "specimen": specimen,
            "agent": agent, "run": run}  # fmt: skip


def sealed_name() -> Any:
    name = register.written_name()
    announce(type(name), [name.pk])
    return name


def checked(**how: Any) -> SealReport:
    return check_seal(with_files=False, **how)


def found(**how: Any) -> list[tuple[ProblemKind, str, int | None]]:
    return [(one.kind, one.table, one.key) for one in checked(**how).problems.named]


def sql(statement: str, *values: Any) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)
        assert cursor.rowcount > 0


def copy_row(model: Any, own: str, key: int) -> None:
    """Another row like one that is there, by SQL."""
    names = [field.column for field in model._meta.concrete_fields if field.column != own]
    columns = ", ".join(f'"{name}"' for name in names)
    table = model._meta.db_table
    sql(f"INSERT INTO {table} ({columns}) SELECT {columns} FROM {table} WHERE {own} = %s", key)


def history_key(row: Any) -> int:
    return int(row.history.first().pk)


def test_all_is_as_it_was_sealed(sealed: dict[str, Any]) -> None:
    report = checked()
    assert [str(one) for one in report.problems.named] == []
    assert report.is_whole
    assert (report.entries, report.sha256) == head()
    assert report.since == Write.objects.first().at  # type: ignore[union-attr]


class TestHistory:
    def test_changed(self, sealed: dict[str, Any]) -> None:
        """An old version rewritten: the row by its number, and no other row."""
        key = history_key(sealed["papers"][1])
        sql("UPDATE papers_historicalpaper SET history_change_reason = 'Signed' WHERE history_id = %s", key)
        [one] = checked().problems.named
        assert (one.kind, one.key) == (ProblemKind.ALTERED, key)
        assert "COL-2" in one.record
        assert one.todo

    def test_deleted(self, sealed: dict[str, Any]) -> None:
        key = history_key(sealed["version"])
        sql("DELETE FROM papers_historicalpaperversion WHERE history_id = %s", key)
        assert found() == [
            (ProblemKind.GONE, "history of versions of papers", key),
            (ProblemKind.RECORD, "versions of papers", sealed["version"].pk),
        ]

    def test_inserted(self, sealed: dict[str, Any]) -> None:
        model = sealed["papers"][0].history.model
        key = history_key(sealed["papers"][0])
        copy_row(model, "history_id", key)
        added = history_key(sealed["papers"][0])
        assert found() == [(ProblemKind.UNSEALED, "history of papers", added)]

    def test_swapped(self, sealed: dict[str, Any]) -> None:
        """Two rows of a history take each other's place: both are named."""
        one, other = (history_key(paper) for paper in sealed["papers"][:2])
        for before, after in ((one, -1), (other, one), (-1, other)):
            sql("UPDATE papers_historicalpaper SET history_id = %s WHERE history_id = %s", after, before)
        altered = {key for kind, _table, key in found() if kind == ProblemKind.ALTERED}
        assert altered == {one, other}


class TestRecords:
    def test_changed(self, sealed: dict[str, Any]) -> None:
        sql("UPDATE papers_paper SET issuer = 'Somebody else' WHERE id = %s", sealed["papers"][0].pk)
        [one] = checked().problems.named
        assert (one.kind, one.key) == (ProblemKind.RECORD, sealed["papers"][0].pk)
        assert "COL-1" in str(one)

    def test_deleted(self, sealed: dict[str, Any]) -> None:
        sql("DELETE FROM papers_paper WHERE id = %s", sealed["papers"][1].pk)
        [one] = checked().problems.named
        assert (one.kind, one.key, "COL-2" in one.record) == (ProblemKind.RECORD, sealed["papers"][1].pk, True)

    def test_a_link_is_moved_and_another_is_added(self, sealed: dict[str, Any]) -> None:
        link, other = sealed["link"], sealed["papers"][1].pk
        sql("UPDATE papers_paperlink SET paper_id = %s WHERE id = %s", other, link.pk)
        sql("UPDATE papers_paperlink SET unlinked_at = linked_at, unlinked_by_id = linked_by_id")
        copy_row(type(link), "id", link.pk)
        assert [one[:2] for one in found()] == [
            (ProblemKind.ALTERED, "links of papers"), (ProblemKind.UNSEALED, "links of papers"),
        ]  # fmt: skip

    def test_a_link_is_deleted(self, sealed: dict[str, Any]) -> None:
        sql("DELETE FROM papers_paperlink WHERE id = %s", sealed["link"].pk)
        assert found() == [(ProblemKind.GONE, "links of papers", sealed["link"].pk)]


class TestVerdicts:
    def test_a_result(self, sealed: dict[str, Any]) -> None:
        """The result says what another ruling says, and what stands follows it: the set does not come out."""
        specimen = sealed["specimen"]
        other = judged_otherwise()
        sql("UPDATE verdicts_result SET ruling_id = %s WHERE specimen_id = %s", other, specimen.pk)
        sql("UPDATE verdicts_standing SET ruling_id = %s WHERE specimen_id = %s", other, specimen.pk)
        kinds = found()
        assert (ProblemKind.VERDICT, "assessments", sealed["run"].pk) in kinds

    def test_what_stands(self, sealed: dict[str, Any]) -> None:
        sql("UPDATE verdicts_standing SET worst = 5 WHERE specimen_id = %s", sealed["specimen"].pk)
        [one] = checked().problems.named
        assert (one.kind, one.key, "LMN-1" in one.record) == (ProblemKind.VERDICT, sealed["specimen"].pk, True)

    def test_a_sentence_of_an_outcome(self, sealed: dict[str, Any]) -> None:
        sql("UPDATE verdicts_ruling SET worst = 0, strip = '000000000'")
        assert {kind for kind, _table, _key in found()} == {ProblemKind.VERDICT}

    def test_a_decision_beside_it_is_taken_over(
        self, sealed: dict[str, Any], django_capture_on_commit_callbacks: Any
    ) -> None:
        with django_capture_on_commit_callbacks(execute=True):
            overruled(sealed["specimen"], Layer.CITES, Verdict.COVERED)
        assert found() == []
        sql("UPDATE verdicts_standing SET is_overruled = %s", False)
        assert {kind for kind, _table, _key in found()} == {ProblemKind.VERDICT}


def judged_otherwise() -> int:
    from governance.verdicts.models import Ruling

    return Ruling.objects.create(digest="f" * 64, strip="500000000", worst=5).pk


class TestChain:
    def test_an_entry_is_changed(self, sealed: dict[str, Any]) -> None:
        """It does not come out, nor the one that rests on it."""
        number = head()[0] - 3
        sql("UPDATE people_seal SET sha256 = %s WHERE number = %s", b"\1" * 32, number)
        rows = dict(Seal.objects.filter(number__in=[number, number + 1]).values_list("number", "row"))
        assert {key for kind, _table, key in found() if kind == ProblemKind.ALTERED} <= set(rows.values())
        assert found()

    def test_an_entry_is_forged_and_the_next_one_made_old(self, sealed: dict[str, Any]) -> None:
        """Who changes a row with its entry breaks the next one; a new entry at the end for the row of the next one does
        not hide that, although a row that is sealed by its state is looked at in its newest entry alone."""
        number, told = head()
        shape = {one.pk for one in SealShape.objects.filter(table=Write._meta.db_table)}
        following = Seal.objects.filter(shape__in=shape, number__gt=2).order_by("number").first()
        assert following is not None
        forged = Seal.objects.get(number=following.number - 1)
        before = bytes(Seal.objects.get(number=forged.number - 1).sha256)
        text = hashlib.sha256(b"another text").digest()
        new = hashlib.sha256(before + text).digest()
        Seal.objects.filter(pk=forged.pk).update(text_sha256=text, sha256=new)
        end = hashlib.sha256(bytes.fromhex(told) + bytes(following.text_sha256)).digest()
        Seal.objects.create(
            number=number + 1, shape_id=following.shape_id, row=following.row, text_sha256=following.text_sha256,
            sha256=end,
        )  # fmt: skip
        SealHead.objects.update(number=number + 1, sha256=end)
        said = [str(one) for one in checked(told=[Head(number, told, "the ledger")]).problems.named]
        assert any("does not follow from the one before it" in one for one in said)
        assert any("is written once" in one for one in said)

    def test_a_shape_is_taken_away(self, sealed: dict[str, Any]) -> None:
        """Rows whose shape is not known cannot be checked, and that is said."""
        shape = SealShape.objects.get(table="papers_historicalpaper")
        Seal.objects.filter(shape=shape).update(shape_id=shape.pk + 1_000)
        assert any("is not there any more" in str(one) for one in checked().problems.named)
        Seal.objects.filter(shape_id=shape.pk + 1_000).update(shape_id=shape.pk)

    def test_entries_are_removed(self, sealed: dict[str, Any]) -> None:
        sql("DELETE FROM people_seal WHERE number IN (3, 4)")
        report = checked()
        assert "3 to 4" in str(report.problems.named[0])
        assert report.problems.named[0].kind == ProblemKind.CHAIN

    def test_the_end_is_cut_off(self, sealed: dict[str, Any]) -> None:
        last = head()[0]
        sql("DELETE FROM people_seal WHERE number >= %s", last - 1)
        assert ProblemKind.CHAIN in {kind for kind, _table, _key in found()}

    def test_an_older_copy_is_put_back(self, sealed: dict[str, Any]) -> None:
        """Only a head that is kept elsewhere tells; without one the report says that none is kept."""
        told = Head(head()[0] + 5, "0" * 64, "the ledger, p. 212")
        assert checked().is_whole
        assert checked().heads == 0
        [one] = checked(told=[told]).problems.named
        assert (one.kind, "older copy" in one.what, one.record) == (ProblemKind.HEAD, True, "the ledger, p. 212")

    def test_the_chain_is_written_anew(self, sealed: dict[str, Any]) -> None:
        number, sha256 = head()
        assert checked(told=[Head(number, sha256, "x")]).is_whole
        other = sha256[:-1] + ("0" if sha256[-1] != "0" else "1")
        assert found(told=[Head(number, other, "x")]) == [(ProblemKind.HEAD, "kept head", number)]

    def test_a_write_is_changed(self, sealed: dict[str, Any]) -> None:
        sql("UPDATE people_write SET origin = 'POST /elsewhere/' WHERE number = 1")
        assert found() == [(ProblemKind.ALTERED, "writes", 1)]


class TestPersons:
    def take_out(self, agent: Any) -> None:
        """What minimising a person does to the history: value and salt go, the hash stays."""
        name = f"Person {agent.pk}"
        agent.history.update(name=name, contact="", remarks="")
        PersonalSalt.objects.filter(shape__table="people_historicalagent").update(salt=None)
        PersonalSalt.objects.filter(shape__table="people_historicalagentname").update(salt=None)
        type(agent.names.first()).history.update(form="", key="")
        type(agent).objects.filter(pk=agent.pk).update(name=name, contact="", remarks="")
        agent.names.update(form="", key="")

    def test_minimised(self, sealed: dict[str, Any], django_capture_on_commit_callbacks: Any) -> None:
        with django_capture_on_commit_callbacks(execute=True):
            Minimisation.objects.create(agent=sealed["agent"], rule="ten years", why="due", minimised_by=sealed["by"])
        self.take_out(sealed["agent"])
        assert found() == []

    def test_something_else_in_the_place_of_what_was_minimised(
        self, sealed: dict[str, Any], django_capture_on_commit_callbacks: Any
    ) -> None:
        """Where the salt is gone nothing of a person stands; a forger cannot use the gap."""
        with django_capture_on_commit_callbacks(execute=True):
            Minimisation.objects.create(agent=sealed["agent"], rule="ten years", why="due", minimised_by=sealed["by"])
        self.take_out(sealed["agent"])
        sealed["agent"].history.update(contact="Mill Lane 4")
        assert ProblemKind.PERSON in {kind for kind, _table, _key in found()}

    def test_taken_out_without_a_record_of_it(self, sealed: dict[str, Any]) -> None:
        self.take_out(sealed["agent"])
        assert {kind for kind, _table, _key in found()} == {ProblemKind.PERSON}

    def test_another_value(self, sealed: dict[str, Any]) -> None:
        sealed["agent"].history.update(contact="Mill Lane 4")
        type(sealed["agent"]).objects.update(contact="Mill Lane 4")
        assert [kind for kind, _table, _key in found()] == [ProblemKind.ALTERED]


class TestLate:
    def test_rows_that_the_seal_missed(self, sealed: dict[str, Any]) -> None:
        """The register stopped between commit and seal: found, sealed with a reason, listed for ever."""
        made = register.site("GE-2")
        assert found() == [(ProblemKind.UNSEALED, "history of sites", history_key(made))]
        assert seal_late(by=sealed["by"], why="Power cut on 3 May.") == 1
        report = checked()
        assert report.is_whole
        assert [(one.why, one.by) for one in report.late] == [("Power cut on 3 May.", sealed["by"])]
        assert seal_late(by=sealed["by"], why="Again.") == 0

    def test_a_run_that_the_seal_missed(self, sealed: dict[str, Any]) -> None:
        """Its verdicts are in force, so they are sealed too, late as it is; without a reason nothing is."""
        assess(by=None, why="first")
        RunSeal.objects.all().delete()
        with pytest.raises(AuditError, match="Say why they are sealed late"):
            seal_late(by=sealed["by"], why=" ")
        assert not RunSeal.objects.exists()
        assert seal_late(by=sealed["by"], why="Power cut on 3 May.") >= 1
        sealed_runs, runs = RunSeal.objects.values_list("run", flat=True), Run.objects.values_list("pk", flat=True)
        assert set(sealed_runs) == set(runs)

    def test_a_register_that_is_older_than_its_seal(self) -> None:
        by, paper = register.person(Role.REGISTRAR), register.paper()
        problems = checked().problems.named
        assert {one.key for one in problems if "before the seal began" in one.what} >= {history_key(paper)}
        seal_late(by=by, why="The seal began with this release.")
        assert checked().is_whole


class TestKept:
    def test_a_noted_head_is_compared(self, sealed: dict[str, Any]) -> None:
        number, sha256 = head()
        note_head(number=number, sha256=sha256, where="ledger p. 212", by=sealed["by"])
        assert checked().agreeing == 1
        KeptHead.objects.update(sha256="0" * 64)
        assert (ProblemKind.HEAD, "kept head", number) in found()

    def test_a_check_is_kept(self, sealed: dict[str, Any]) -> None:
        sql("UPDATE papers_paper SET issuer = 'Somebody else' WHERE id = %s", sealed["papers"][0].pk)
        kept = keep_check(checked(), by=None)
        assert SealCheck.objects.get() == kept
        assert kept.problem_count == len(kept.problems) == 1
        assert "COL-1" in kept.problems[0]["what"]


def test_more_than_a_hundred_are_counted() -> None:
    from governance.audit.queries.seal.problems import Problems

    problems = Problems()
    for key in range(130):
        problems.add(Problem(ProblemKind.RECORD, "papers", str(key), "changed", key))
    assert (len(problems.named), problems.count) == (100, 130)
    assert problems.unnamed == {(ProblemKind.RECORD, "papers"): 30}
