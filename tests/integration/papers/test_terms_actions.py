"""Terms of use saved, kept through corrections and imports of the paper, taken in from files and written out."""

from __future__ import annotations

import copy
import json
from datetime import date
from typing import Any

import pytest

from accessions.intake.problems import FileProblems
from accessions.people.access import NotAllowedError, role_bits
from accessions.people.models import Role, User
from governance.engine.uses import Said, Use
from governance.papers import actions, queries
from governance.papers.actions import ChangedMeanwhileError
from governance.papers.actions.restricting import restrict
from governance.papers.actions.terms import save_terms
from governance.papers.models import Paper, PaperVersion, TermsReading, UseTerm
from governance.papers.queries.terms_on_pages import terms_object, terms_stamp
from tests.factories import register as r
from tests.factories.paper_objects import full_object, full_terms, paper_object

pytestmark = pytest.mark.django_db


@pytest.fixture
def by() -> User:
    return r.person(Role.REGISTRAR)


@pytest.fixture
def paper(by: User) -> Paper:
    return actions.register(data=paper_object(), by=by, why="from the scan")


@pytest.fixture
def version(paper: Paper) -> PaperVersion:
    return paper.versions.get()


def history_of_terms() -> list[tuple[str, str, str]]:
    rows = UseTerm.history.order_by("history_id").values_list("use", "history_type", "history_change_reason")
    return [(Use(use).code, kind, why) for use, kind, why in rows]


def test_a_reading_is_saved_whole_with_its_history(version: PaperVersion, by: User) -> None:
    saved = save_terms(version=version, data=full_terms(), by=by, why="read today")

    assert saved == 4, "the reading and three uses"
    assert terms_object(version) == full_terms()
    reading = TermsReading.objects.get()
    assert (reading.read_by, reading.history.get().history_user) == (by, by)
    assert history_of_terms() == [(code, "+", "read today") for code in ("loan-abroad", "sequencing", "exhibition")]


def test_only_what_changed_is_written(version: PaperVersion, by: User) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read today")
    other = r.person(Role.COMPLIANCE)
    after = copy.deepcopy(full_terms())
    after["uses"][1]["said"] = "ask-first"
    after["uses"][2] = {"use": "teaching", "said": "silent"}

    assert save_terms(version=version, data=after, by=other, why="read again") == 3
    assert history_of_terms()[3:] == [
        ("exhibition", "-", "read again"), ("sequencing", "~", "read again"), ("teaching", "+", "read again"),
    ]  # fmt: skip
    assert TermsReading.history.count() == 1, "of the version as a whole nothing changed"
    assert TermsReading.objects.get().read_by == by
    assert save_terms(version=version, data=after, by=other, why="once more") == 0


def test_all_or_nothing(version: PaperVersion, by: User) -> None:
    bad = full_terms(uses=[{"use": "imaging", "said": "silent"}, {"use": "teaching", "said": "allowed"}])
    with pytest.raises(FileProblems, match="Quote it"):
        save_terms(version=version, data=bad, by=by, why="read")
    assert not TermsReading.objects.exists()
    assert not UseTerm.objects.exists()


def test_texts_longer_than_their_columns_are_told(version: PaperVersion, by: User) -> None:
    bad = full_terms(ask_whom="x" * 301)
    bad["uses"][0] |= {"amount": "y" * 201}
    with pytest.raises(FileProblems) as refused:
        save_terms(version=version, data=bad, by=by, why="read")
    told = str(refused.value)
    assert "terms_of_use.ask_whom" in told
    assert "terms_of_use.uses[0].amount" in told


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.AUDITOR])
def test_who_may_not_register_papers(role: Role, version: PaperVersion) -> None:
    with pytest.raises(NotAllowedError):
        save_terms(version=version, data=full_terms(), by=r.person(role), why="read")
    assert not TermsReading.objects.exists()


def test_who_may_not_read_the_paper(version: PaperVersion, by: User) -> None:
    restrict(paper=version.paper, roles=[Role.COMPLIANCE], why="secret", by=r.person(Role.COMPLIANCE))
    assert version.paper.restricted_to != role_bits([Role.COMPLIANCE]), "the row at hand is from before"
    with pytest.raises(NotAllowedError, match="compliance officers"):
        save_terms(version=version, data=full_terms(), by=by, why="read")


def test_two_at_once(version: PaperVersion, by: User) -> None:
    """The second save was made from a page of before the first."""
    seen = terms_stamp(terms_object(version))
    save_terms(version=version, data=full_terms(), by=by, why="first", seen=seen)
    with pytest.raises(ChangedMeanwhileError):
        save_terms(version=version, data={"uses": []}, by=by, why="second", seen=seen)
    assert terms_object(version) == full_terms()
    save_terms(version=version, data={"uses": []}, by=by, why="second", seen=terms_stamp(full_terms()))
    assert not UseTerm.objects.exists()


def test_a_version_that_was_taken_off_meanwhile(version: PaperVersion, by: User) -> None:
    actions.remove_version(paper=version.paper, start=version.in_force_from, by=by, why="by mistake")
    with pytest.raises(ChangedMeanwhileError):
        save_terms(version=version, data=full_terms(), by=by, why="read")


# Corrections of the paper


def test_no_correction_of_the_paper_touches_its_terms(paper: Paper, version: PaperVersion, by: User) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    entered = history_of_terms()

    actions.edit_face(paper=paper, data={"remarks": "Original in box 14."}, by=by, why="found")
    actions.add_version(paper=paper, data={"in_force_from": "2024-07-01"}, by=by, why="amended")
    actions.amend_version(
        paper=paper, start=date(2024, 5, 1), by=by, why="misread",
        data={"in_force_from": "2024-05-02", "in_force_to": "2024-06-29", "note": "signed later"},
    )  # fmt: skip
    actions.add_status(paper=paper, data={"state": "suspended", "from": "2024-05-10"}, by=by, why="letter")

    assert terms_object(PaperVersion.objects.get(pk=version.pk)) == full_terms()
    assert history_of_terms() == entered


def test_the_terms_go_with_a_version_that_was_entered_by_mistake(version: PaperVersion, by: User) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    actions.remove_version(paper=version.paper, start=version.in_force_from, by=by, why="by mistake")
    assert not TermsReading.objects.exists()
    assert [kind for _, kind, _ in history_of_terms()] == ["+"] * 3 + ["-"] * 3, "the history keeps them"


# Files


def import_(value: dict[str, Any], by: User, **more: Any) -> actions.ImportOutcome:
    data = json.dumps({"papers": [value]}).encode()
    return actions.import_papers(data, "papers.json", by=by, why="list", on_change="take", **more)


def told(paper: Paper) -> dict[str, Any]:
    return queries.exchange_object(Paper.objects.get(pk=paper.pk), with_uses=True)


def test_terms_go_round(by: User) -> None:
    written = full_object() | {"versions": [full_object()["versions"][0] | {"terms_of_use": full_terms()}]}
    outcome = import_(written, by, on_unknown="leave-out")
    assert outcome.added == (written["reference"],)

    (back,) = json.loads(queries.exchange_file(Paper.objects.all()))["papers"]
    assert back["versions"][0]["terms_of_use"] == full_terms()

    plan = actions.preview_import(queries.exchange_file(Paper.objects.all()), "back.json", by=by)
    assert [(one.reference, one.differences) for one in plan.changed] == []


def test_the_form_of_the_contract_leaves_them_out(version: PaperVersion, by: User) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    (plain,) = json.loads(queries.exchange_file(Paper.objects.all(), contract_only=True))["papers"]
    assert "terms_of_use" not in plain["versions"][0]


def test_a_file_that_says_nothing_of_uses_leaves_them(version: PaperVersion, by: User) -> None:
    """Also where it changes other lines of the version."""
    save_terms(version=version, data=full_terms(), by=by, why="read")
    value = paper_object(versions=[{"in_force_from": "2024-05-01", "in_force_to": "2024-06-01", "note": "shorter"}])
    assert import_(value, by).taken == ("COL-2024-052",)
    assert PaperVersion.objects.get().in_force_to == date(2024, 6, 1)
    assert terms_object(version) == full_terms()
    assert len(history_of_terms()) == 3


def test_a_file_that_tells_of_uses_is_taken_after_an_answer(version: PaperVersion, by: User) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    after = copy.deepcopy(full_terms())
    after["uses"][1]["said"] = "ask-first"
    value = paper_object(versions=[{"in_force_from": "2024-05-01", "in_force_to": "2024-06-30", "terms_of_use": after}])
    data = json.dumps({"papers": [value]}).encode()

    asked = actions.import_papers(data, "papers.json", by=by, why="list")
    assert asked.unanswered == ("COL-2024-052",)
    assert [one.where for one in asked.plan.changed[0].differences] == ["version from 2024-05-01, Sequencing"]
    assert terms_object(version) == full_terms()

    import_(value, by)
    assert terms_object(version) == after
    assert history_of_terms()[3:] == [("sequencing", "~", "list")]


def test_a_file_that_corrects_the_start_of_a_version_keeps_it_and_its_terms(version: PaperVersion, by: User) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    value = paper_object(versions=[{"in_force_from": "2024-05-03", "in_force_to": "2024-06-30"}])

    import_(value, by)

    kept = PaperVersion.objects.get()
    assert (kept.pk, kept.in_force_from) == (version.pk, date(2024, 5, 3))
    assert [row.history_type for row in PaperVersion.history.filter(id=kept.pk)] == ["~", "+"]
    assert PaperVersion.history.filter(id=kept.pk).latest().history_change_reason == "list"
    assert terms_object(kept) == full_terms()
    assert len(history_of_terms()) == 3


def test_a_version_in_the_place_of_another_in_the_order_is_the_same(paper: Paper, by: User) -> None:
    """The second of two moves its start; a version that goes and one that comes later are two."""
    actions.add_version(paper=paper, data={"in_force_from": "2024-07-01"}, by=by, why="amended")
    first, second = paper.versions.order_by("in_force_from")
    save_terms(version=second, data=full_terms(), by=by, why="read")
    versions = [{"in_force_from": "2024-05-01", "in_force_to": "2024-06-30"}, {"in_force_from": "2024-08-01"}]

    import_(paper_object(versions=versions), by)
    assert PaperVersion.objects.get(in_force_from=date(2024, 8, 1)).pk == second.pk

    versions = [{"in_force_from": "2024-08-01"}, {"in_force_from": "2025-01-01"}]
    import_(paper_object(versions=versions), by)
    assert not PaperVersion.objects.filter(pk=first.pk).exists()
    assert terms_object(PaperVersion.objects.get(in_force_from=date(2024, 8, 1))) == full_terms()
    assert terms_object(PaperVersion.objects.get(in_force_from=date(2025, 1, 1))) == {}, "never of another version"


def test_the_preview_tells_which_terms_go_with_a_version(paper: Paper, version: PaperVersion, by: User) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    data = json.dumps({"papers": [paper_object(versions=[])]}).encode()
    (plan,) = actions.preview_import(data, "papers.json", by=by).changed
    assert "Sequencing: Not allowed" in next(one.before for one in plan.differences if one.where.endswith("of use"))


def test_what_is_silent_stands_in_the_register_as_said(version: PaperVersion, by: User) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    assert UseTerm.objects.get(use=int(Use.EXHIBITION)).said == Said.SILENT
    assert not UseTerm.objects.filter(use=int(Use.DISPOSAL)).exists(), "not read is no row"
