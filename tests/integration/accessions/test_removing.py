"""A specimen that was entered by mistake is removed: what refuses it, what goes, what stays, and who counts anew."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any
from unittest import mock

import pytest
from django.db import connection, migrations, models, transaction
from django.db.migrations.loader import MigrationLoader
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.material.actions.removing import RemovalError, remove_specimen
from accessions.material.bonds import bonds
from accessions.material.keys import keep_keys_given
from accessions.material.models import Determination, PoolMember, Removal, Specimen, Touch
from accessions.material.queries.removing import goes_along, in_the_way
from accessions.material.touches import Scope
from accessions.names.models import WrittenName
from accessions.people.access import NotAllowedError
from accessions.people.announcing import announce
from accessions.people.models import Role, User
from governance.audit.clocks import as_known
from governance.audit.queries.changed_names import renamed
from governance.audit.queries.seal_checking import check_seal
from governance.engine.tables import Layer, Verdict
from governance.papers.models import PaperLink, VersionCap
from governance.reports.actions.work import start
from governance.usedesk.models import MadeUse, RequestItem, ScanLine, UseItem
from governance.verdicts.actions import assess, take_up
from governance.verdicts.actions.overrides import withdraw
from governance.verdicts.models import Override, Result, Run, Standing
from governance.verdicts.one_run import RunGoesOnError
from tests.factories import register, usedesk
from tests.factories import reports as reporting
from tests.factories.verdicts import judged, overruled

pytestmark = pytest.mark.django_db

WHY = "Typed twice"
NUMBER = "LMN-FW-0900001"


@pytest.fixture
def registrar() -> User:
    return register.person(Role.REGISTRAR)


@pytest.fixture
def client(registrar: User) -> Client:
    signed_in = Client()
    signed_in.force_login(registrar)
    return signed_in


@pytest.fixture
def specimen() -> Specimen:
    return register.specimen(NUMBER)


def page(specimen: Specimen) -> str:
    return reverse("material:specimen-remove", args=[specimen.pk])


def text_of(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


# What goes, what stays ------------------------------------------------------------------------------------------------


def test_every_key_of_specimens_is_asked_about() -> None:
    """A table that gets a key of specimens must say whether it stands in the way or goes along."""
    asked = {
        "material.Specimen.parent", "material.PoolMember.member", "papers.PaperLink.specimen",
        "usedesk.RequestItem.specimen", "usedesk.ScanLine.specimen", "usedesk.UseItem.specimen",
        "usedesk.UseItem.product", "verdicts.Override.specimen",
    }  # fmt: skip
    goes = {"material.PoolMember.pool", "material.Determination.specimen", "verdicts.Standing.specimen"}
    stays = {"verdicts.Result.specimen"}
    keys = {f"{one.related_model._meta.label}.{one.field.name}" for one in Specimen._meta.related_objects}
    assert keys == asked | goes | stays
    assert sorted(bond.room for bond in bonds()) == ["papers", "reports", "usedesk", "verdicts"]


def test_rows_go_with_their_history_and_results_stay(specimen: Specimen, registrar: User) -> None:
    judged(specimen)
    key, determination = specimen.pk, specimen.determinations.get().pk
    removed = remove_specimen(specimen, by=registrar, why=WHY)
    assert not Specimen.objects.filter(pk=key).exists()
    assert not Determination.objects.filter(pk=determination).exists()
    assert not Standing.objects.filter(pk=key).exists()
    assert Result.objects.filter(specimen_id=key).count() == 1
    for entries in (Specimen.history.filter(id=key), Determination.history.filter(id=determination)):
        newest = entries.latest("history_id")
        told = (newest.history_type, newest.history_user, newest.history_change_reason)
        assert told == ("-", registrar, WHY)
    told_removed = (removed.specimen, removed.catalog_number, removed.accession, removed.why, removed.removed_by)
    assert told_removed == (key, NUMBER, specimen.accession, WHY, registrar)
    assert removed.intake is None
    assert list(Touch.objects.values_list("scope", "key", "by")) == [(Scope.SPECIMEN, key, registrar.pk)]


def test_a_pool_goes_and_its_members_stay(specimen: Specimen, registrar: User) -> None:
    member = register.specimen()
    held = PoolMember.objects.create(pool=specimen, member=member)
    assert goes_along([specimen.pk]) == ["1 determination", "that it was pooled of 1 specimen"]
    assert [one.words for one in in_the_way([member.pk])] == [f"{NUMBER} was pooled of it and others."]
    remove_specimen(specimen, by=registrar, why=WHY)
    assert Specimen.objects.filter(pk=member.pk).exists()
    assert PoolMember.history.filter(id=held.pk).latest("history_id").history_type == "-"


def test_a_decision_that_was_withdrawn_goes_along(specimen: Specimen, registrar: User) -> None:
    judged(specimen, "222222222")
    override = overruled(specimen, Layer.LAND, Verdict.COVERED)
    assert [one.words for one in in_the_way([specimen.pk])] == [
        "A person decided beside its verdict: Land. Withdraw that first."
    ]
    withdraw(override=override, by=registrar, reason="It was of another one.")
    assert in_the_way([specimen.pk]) == []
    assert goes_along([specimen.pk]) == [
        "1 determination", "the verdict that lists show of it", "1 decision that was withdrawn"
    ]  # fmt: skip
    remove_specimen(specimen, by=registrar, why=WHY)
    assert not Override.objects.exists()
    assert Override.history.filter(id=override.pk).latest("history_id").history_type == "-"


def test_the_number_is_free_again_and_still_tells_what_it_was(
    specimen: Specimen, registrar: User, client: Client
) -> None:
    old = specimen.pk
    remove_specimen(specimen, by=registrar, why=WHY)
    gone = client.get(reverse("verdicts:specimen", args=[old]))
    assert gone.status_code == 410
    words = text_of(gone)
    assert WHY in words and "It was removed from the register." in words and registrar.shown_name in words
    assert "No specimen has it now" in words
    assert reverse("audit:history", args=["material.specimen", old]) in words
    assert client.get(reverse("audit:history", args=["material.specimen", old])).status_code == 200
    straight = client.get(reverse("search:search"), {"q": NUMBER.lower()})
    assert straight["Location"] == reverse("verdicts:specimen", args=[old])
    new = register.specimen(NUMBER)
    assert new.pk != old
    assert "Another specimen has it now" in text_of(client.get(reverse("verdicts:specimen", args=[old])))
    assert client.get(reverse("search:search"), {"q": NUMBER})["Location"] == reverse(
        "verdicts:specimen", args=[new.pk]
    )
    both = text_of(client.get(reverse("search:search"), {"q": NUMBER, "all": "1"}))
    assert f"removed on 26 Nov 2026 by {registrar.shown_name}: {WHY}" in both


# What stands in the way -----------------------------------------------------------------------------------------------


def _child(specimen: Specimen) -> None:
    register.specimen("LMN-FW-0900001-leg", parent=specimen, kind="part")


def _pool(specimen: Specimen) -> None:
    PoolMember.objects.create(pool=register.specimen("LMN-FW-0900009"), member=specimen)


def _link(specimen: Specimen) -> None:
    register.link(register.paper("COL-7"), specimen=specimen)


def _link_taken_off(specimen: Specimen) -> None:
    made = register.link(register.paper("COL-7"), specimen=specimen)
    PaperLink.objects.filter(pk=made.pk).update(unlinked_at=datetime(2026, 11, 1, tzinfo=UTC))


def _basket(specimen: Specimen) -> None:
    usedesk.use_request(specimens=[specimen], reference="UR-7")


def _scan_line(specimen: Specimen) -> None:
    ScanLine.objects.create(
        request=usedesk.use_request(reference="UR-7"), key="a", code=NUMBER, specimen=specimen, outcome="taken-out",
        read_by=register.person(),
    )  # fmt: skip


def _use(specimen: Specimen) -> None:
    usedesk.made_use(specimen, reference="L-7")


def _voided_use(specimen: Specimen) -> None:
    made = usedesk.made_use(specimen, reference="L-7")
    MadeUse.objects.filter(pk=made.pk).update(
        voided_at=datetime(2026, 11, 1, tzinfo=UTC), voided_by=register.person(), voided_why="A slip."
    )


def _product(specimen: Specimen) -> None:
    made = usedesk.made_use(register.specimen(), reference="X-7", deed="extraction")
    UseItem.objects.update(product=specimen)
    assert made.items.count() == 1


def _override(specimen: Specimen) -> None:
    judged(specimen, "222222222")
    overruled(specimen, Layer.LAND, Verdict.COVERED)


def _waiting(specimen: Specimen) -> None:
    _override(specimen)
    Override.objects.update(needs_review=True)


def _named_in_report(specimen: Specimen) -> None:
    reporting.issued_report(
        reference="RP-7", paper=register.paper("PIC-7"), rows={"material": [reporting.material(900001)]}
    )


def _counted_by_country(specimen: Specimen) -> None:
    reporting.issued_report(reference="RP-7", country="GE")


def _counted_by_paper(specimen: Specimen) -> None:
    paper = register.paper("COL-7")
    register.link(paper, accession=specimen.accession)
    reporting.issued_report(reference="RP-7", paper=paper, kind="agency")


def _counted_by_site(specimen: Specimen) -> None:
    site, owner = register.site("GE-1"), register.agent("Elin Dahl")
    site.tenures.create(agent=owner)
    specimen.event.site = site
    specimen.event.save()
    reporting.issued_report(reference="RP-7", agent=owner, kind="landowner")


def _take_off(link: PaperLink) -> None:
    link.unlinked_at, link.unlinked_by, link.unlinked_why = timezone.now(), register.person(Role.REGISTRAR), "another"
    link.save()


def _counted_by_link_taken_off(specimen: Specimen) -> None:
    paper = register.paper("COL-8")
    link = register.link(paper, accession=specimen.accession)
    reporting.issued_report(reference="RP-7", paper=paper, kind="agency")
    _take_off(link)


def _counted_before_it_moved(specimen: Specimen) -> None:
    reporting.issued_report(reference="RP-7", accession=specimen.accession, kind="diligence")
    specimen.accession = register.accession("LMN-2030-001")
    specimen.save()


def _counted_by_paper_before_it_moved(specimen: Specimen) -> None:
    paper = register.paper("COL-8")
    register.link(paper, accession=specimen.accession)
    reporting.issued_report(reference="RP-7", paper=paper, kind="agency")
    specimen.accession = register.accession("LMN-2030-001")
    specimen.save()


def _counted_by_country_before_it_changed(specimen: Specimen) -> None:
    reporting.issued_report(reference="RP-7", country="GE")
    specimen.event.country_code = "NA"
    specimen.event.save()


def _counted_by_site_before_it_changed(specimen: Specimen) -> None:
    _counted_by_site(specimen)
    specimen.event.site = None
    specimen.event.save()


def _counted_by_accession(specimen: Specimen) -> None:
    reporting.issued_report(reference="RP-7", accession=specimen.accession, kind="diligence")


WAYS: dict[str, tuple[Callable[[Specimen], None], str]] = {
    "a child": (_child, "LMN-FW-0900001-leg was taken from it."),
    "a pool": (_pool, "LMN-FW-0900009 was pooled of it and others."),
    "a link": (_link, "Paper COL-7 is linked to it."),
    "a link that was taken off": (
        _link_taken_off, "Paper COL-7 was linked to it and taken off; such links are kept for ever."
    ),
    "a request": (_basket, "It is in request UR-7."),
    "a code that was read": (_scan_line, "Its code was read for request UR-7."),
    "a use": (_use, "A use names it: Lent, 2 March 2026, number L-7."),
    "a use that was voided": (_voided_use, "A use names it: Lent, 2 March 2026, number L-7."),
    "the use that made it": (_product, "It was made by a use: DNA extracted, 2 March 2026, number X-7."),
    "a decision": (_override, "A person decided beside its verdict: Land. Withdraw that first."),
    "a decision that waits": (_waiting, "A decision beside its verdict waits for a second person: Land."),
    "a row of a report": (_named_in_report, "Issued report RP-7 names it. Withdraw the report first."),
    "a report on its country": (
        _counted_by_country, "Issued report RP-7 may have counted it. Withdraw the report first."
    ),
    "a report on its paper": (_counted_by_paper, "Issued report RP-7 may have counted it. Withdraw the report first."),
    "a report on its site": (_counted_by_site, "Issued report RP-7 may have counted it. Withdraw the report first."),
    **{
        f"a report on {what}": (make, "Issued report RP-7 may have counted it. Withdraw the report first.")
        for what, make in (
            ("a paper that was taken off", _counted_by_link_taken_off),
            ("the accession of then", _counted_before_it_moved),
            ("a paper of the accession of then", _counted_by_paper_before_it_moved),
            ("the country of then", _counted_by_country_before_it_changed),
            ("the site of then", _counted_by_site_before_it_changed),
        )
    },
    "a report on its accession": (
        _counted_by_accession, "Issued report RP-7 may have counted it. Withdraw the report first."
    ),
}  # fmt: skip


@pytest.mark.parametrize("way", WAYS)
def test_what_was_done_with_it_stands_in_the_way(way: str, specimen: Specimen, registrar: User, client: Client) -> None:
    """It is told with a page that opens, and neither page nor action removes it."""
    make, words = WAYS[way]
    make(specimen)
    (found,) = in_the_way([specimen.pk])
    assert (found.specimen, found.words) == (specimen.pk, words)
    assert client.get(found.address).status_code == 200
    with pytest.raises(RemovalError) as refused:
        remove_specimen(specimen, by=registrar, why=WHY)
    assert refused.value.in_the_way == (found,)
    answer = client.post(page(specimen), {"why": WHY})
    assert answer.status_code == 409
    assert found.address in text_of(answer)
    assert Specimen.objects.filter(pk=specimen.pk).exists()
    assert not Removal.objects.exists()
    assert Determination.objects.filter(specimen=specimen).exists()


def test_all_reasons_are_said_at_once(specimen: Specimen, client: Client) -> None:
    for make in (_child, _link, _basket, _use, _override, _counted_by_country):
        make(specimen)
    words = text_of(client.get(page(specimen)))
    assert f"{NUMBER} cannot be removed" in words
    assert "6 things were done with it, so it stays." in words
    for way in ("a child", "a link", "a request", "a use", "a decision", "a report on its country"):
        assert WAYS[way][1] in words
    assert "Why it should not be there." not in words, "no reason is asked for"


def test_reports_that_know_nothing_of_it_do_not_stand_in_the_way(specimen: Specimen) -> None:
    """One that was withdrawn claims nothing; one of before its entry, or of another country, never counted it."""
    withdrawn = reporting.issued_report(country="GE")
    withdrawn.withdrawn_at, withdrawn.withdrawn_by, withdrawn.withdrawn_why = (
        withdrawn.issued_at, withdrawn.issued_by, "Numbers were wrong."
    )  # fmt: skip
    withdrawn.save()
    earlier = reporting.issued_report(country="GE")
    earlier.issued_at = datetime(2020, 1, 1, tzinfo=UTC)
    earlier.save()
    reporting.issued_report(country="NA", rows={"material": [reporting.material(5)]})
    reporting.draft(country="GE")
    assert in_the_way([specimen.pk]) == []


def test_reports_that_no_longer_meant_it_do_not_stand_in_the_way(specimen: Specimen) -> None:
    """What ended long before a report was issued was not counted in it."""
    old = specimen.accession
    paper = register.paper("COL-8")
    link = register.link(paper, accession=old)
    _take_off(link)
    specimen.accession = register.accession("LMN-2030-001")
    specimen.save()
    for about in ({"paper": paper, "kind": "agency"}, {"accession": old, "kind": "diligence"}):
        later = reporting.issued_report(**about)
        later.issued_at = timezone.now() + timedelta(days=3)
        later.save()
    assert in_the_way([specimen.pk]) == []


def test_nothing_goes_while_a_report_is_composed(specimen: Specimen, registrar: User) -> None:
    """It may have counted what goes already, and be issued with it a moment later; work that was ended stops nobody."""
    draft = reporting.draft(country="GE")
    start(draft, state="running", mark="m")
    with pytest.raises(RemovalError, match="A report is being composed just now"):
        remove_specimen(specimen, by=registrar, why=WHY)
    assert Specimen.objects.filter(pk=specimen.pk).exists()
    assert not Removal.objects.exists()
    type(draft).objects.update(work_sign=timezone.now() - timedelta(hours=1))
    remove_specimen(specimen, by=registrar, why=WHY)


# Who and how ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("role", [role for role in Role if role != Role.REGISTRAR])
def test_others_than_registrars_do_not_remove(role: str, specimen: Specimen) -> None:
    somebody, client = register.person(role), Client()
    client.force_login(somebody)
    assert client.get(page(specimen)).status_code == 403
    assert client.post(page(specimen), {"why": WHY}).status_code == 403
    with pytest.raises(NotAllowedError, match="remove specimens"):
        remove_specimen(specimen, by=somebody, why=WHY)
    edit = client.get(reverse("material:specimen-edit", args=[specimen.pk]))
    assert page(specimen) not in edit.content.decode()


def test_the_page_asks_and_then_removes(specimen: Specimen, client: Client) -> None:
    """The form of the facts leads to it; without a reason nothing goes."""
    assert page(specimen) in client.get(reverse("material:specimen-edit", args=[specimen.pk])).content.decode()
    asked = text_of(client.get(page(specimen)))
    assert f"Remove {NUMBER} from the register?" in asked
    assert "1 determination" in asked
    assert client.post(page(specimen), {"why": "  "}).status_code == 422
    with pytest.raises(RemovalError, match="reason"):
        remove_specimen(specimen, by=register.person(Role.REGISTRAR), why=" ")
    assert Specimen.objects.filter(pk=specimen.pk).exists()
    answer = client.post(page(specimen), {"why": WHY}, follow=True)
    assert answer.redirect_chain[0][0] == reverse("material:accession", args=[specimen.accession_id])
    assert f"{NUMBER} was removed from the register." in text_of(answer)
    assert client.get(page(specimen)).status_code == 404


def test_one_that_is_gone_is_not_removed_again(specimen: Specimen, registrar: User) -> None:
    remove_specimen(specimen, by=registrar, why=WHY)
    with pytest.raises(RemovalError, match="no longer in the register"):
        remove_specimen(Specimen(pk=specimen.pk), by=registrar, why=WHY)
    assert Removal.objects.count() == 1


def test_a_basket_between_the_question_and_the_answer(specimen: Specimen, client: Client) -> None:
    """Whoever pressed the button learns who was quicker."""
    assert client.get(page(specimen)).status_code == 200
    _basket(specimen)
    answer = client.post(page(specimen), {"why": WHY})
    assert answer.status_code == 409
    assert "It is in request UR-7." in text_of(answer)
    assert RequestItem.objects.filter(specimen=specimen).exists()


@pytest.mark.django_db(transaction=True)
def test_what_comes_between_look_and_commit_is_found_by_the_database(registrar: User) -> None:
    """The look finds nothing, as when the other transaction is not committed yet: the key itself refuses, and all of
    the removal is taken back."""
    specimen = register.specimen(NUMBER)
    _basket(specimen)
    with (
        mock.patch("accessions.material.actions.removing.in_the_way", lambda keys: []),
        pytest.raises(RemovalError, match="at the same moment"),
    ):
        remove_specimen(specimen, by=registrar, why=WHY)
    assert Specimen.objects.filter(pk=specimen.pk).exists()
    assert Determination.objects.filter(specimen=specimen).exists()
    assert not Removal.objects.exists() and not Touch.objects.exists()
    assert not Specimen.history.filter(id=specimen.pk, history_type="-").exists()


def test_nothing_goes_while_an_assessment_goes_on(specimen: Specimen, client: Client) -> None:
    """It might write a verdict of what is gone by then; who asks is told when to try again."""
    judged(specimen)
    with mock.patch("governance.verdicts.actions.letting_go.no_run_until_commit", side_effect=RunGoesOnError):
        answer = client.post(page(specimen), {"why": WHY})
    assert answer.status_code == 409
    assert "An assessment goes on just now. Try again when it is done." in text_of(answer)
    assert Specimen.objects.filter(pk=specimen.pk).exists() and Standing.objects.filter(pk=specimen.pk).exists()
    assert not Removal.objects.exists()


def test_queries_do_not_grow(client: Client, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    """Neither with the keys that are asked together, nor with what stands in the way."""
    some = [register.specimen() for _ in range(2)]
    many = [register.specimen() for _ in range(30)]
    for specimen in [*some[:1], *many[:20]]:
        _basket_of(specimen)
    with django_assert_num_queries(10):
        assert len(in_the_way([one.pk for one in some])) == 1
    with django_assert_num_queries(10):
        assert len(in_the_way([one.pk for one in many])) == 20
    with django_assert_num_queries(4):
        goes_along([one.pk for one in many])


def _basket_of(specimen: Specimen) -> None:
    usedesk.use_request(specimens=[specimen])


# What follows ---------------------------------------------------------------------------------------------------------


def test_what_a_limit_counts_is_judged_again(client: Client) -> None:
    """Two of one day under a limit of one may be one too many; without the one that was typed twice the other is
    covered, and a third under another paper is not looked at."""
    accessions = [register.accession(number) for number in "ABC"]
    first, second, apart = (register.specimen(accession=accession) for accession in accessions)
    paper = register.paper("COL-1")
    VersionCap.objects.create(version=register.version(paper), limit=1)
    for accession in accessions[:2]:
        register.link(paper, accession=accession)
    register.rule(register.sheet("GE"))
    assess(by=None, why="first")
    before = Standing.objects.get(specimen=second)
    assert before.ruling.strip[Layer.COLLECTING] == str(int(Verdict.CANNOT_TELL))
    assert client.post(page(first), {"why": WHY}).status_code == 302
    after = Standing.objects.get(specimen=second)
    assert after.ruling.strip[Layer.COLLECTING] == str(int(Verdict.COVERED))
    assert Standing.objects.get(specimen=apart).run_id == before.run_id
    assert not Touch.objects.exists()
    assert Run.objects.latest("pk").why == WHY


def test_a_limit_that_is_still_exceeded_stays_so(client: Client) -> None:
    """A removal covers nobody by itself: two of three are still one too many."""
    accession = register.accession("A")
    first, second, third = (register.specimen(accession=accession) for _ in range(3))
    paper = register.paper("COL-1")
    VersionCap.objects.create(version=register.version(paper), limit=1)
    register.link(paper, accession=accession)
    register.rule(register.sheet("GE"))
    assess(by=None, why="first")
    assert client.post(page(first), {"why": WHY}).status_code == 302
    for left in (second, third):
        strip = Standing.objects.get(specimen=left).ruling.strip
        assert strip[Layer.COLLECTING] == str(int(Verdict.CANNOT_TELL))


def test_the_last_specimen_leaves_an_empty_register(specimen: Specimen, registrar: User) -> None:
    assess(by=None, why="first")
    remove_specimen(specimen, by=registrar, why=WHY)
    take_up(by=None)
    assert not Touch.objects.exists()
    assert not Standing.objects.exists()
    assert assess(by=None, why="all again").judged == 0


def test_the_seal_holds(django_capture_on_commit_callbacks: Any) -> None:
    """After a removal and after the next assessments: the results of what is gone are those that were sealed."""
    with django_capture_on_commit_callbacks(execute=True):
        registrar, specimen, other = register.person(Role.REGISTRAR), register.specimen(NUMBER), register.specimen()
        announce(WrittenName, list(WrittenName.objects.values_list("pk", flat=True)))
        register.rule(register.sheet("GE"))
        assess(by=None, why="first")
    assert check_seal(with_files=False).problems.named == []
    with django_capture_on_commit_callbacks(execute=True):
        remove_specimen(specimen, by=registrar, why=WHY)
    assert Result.objects.filter(specimen_id=specimen.pk).exists()
    assert check_seal(with_files=False).problems.named == []
    with django_capture_on_commit_callbacks(execute=True):
        take_up(by=None)
        assess(by=None, why="all again")
    assert Run.objects.count() == Run.objects.filter(seal__isnull=False).count() == 3
    assert check_seal(with_files=False).problems.named == []
    assert list(Standing.objects.values_list("pk", flat=True)) == [other.pk]


def test_a_removal_past_the_register_is_found(specimen: Specimen) -> None:
    """That results stay hides nobody: a row that is deleted without its history is named as ever."""
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM material_determination WHERE specimen_id = %s", [specimen.pk])
        cursor.execute("DELETE FROM material_specimen WHERE id = %s", [specimen.pk])
    told = {(problem.table, problem.key) for problem in check_seal(with_files=False).problems.named}
    assert ("specimens", specimen.pk) in told


def test_as_known_on_a_day_before_it_is_there_with_its_verdict(registrar: User) -> None:
    days = [datetime(2026, 11, day, 9, tzinfo=UTC) for day in (2, 4, 6, 8)]
    entered, before, removed, after = days
    with _at(entered):
        specimen = register.specimen(NUMBER)
        register.rule(register.sheet("GE"))
        assess(by=None, why="first")
    strip = Standing.objects.get(specimen=specimen).ruling.strip
    with _at(removed), transaction.atomic():
        remove_specimen(specimen, by=registrar, why=WHY)
        take_up(by=None)
    with as_known(before):
        then = Specimen.objects.get(catalog_number=NUMBER)
        assert (then.pk, then.standing.ruling.strip) == (specimen.pk, strip)
        assert then.standing.catalog_number == NUMBER
        assert then.determinations.filter(is_current=True).exists()
        assert not Removal.objects.exists()
    with as_known(after):
        assert not Specimen.objects.exists() and not Standing.objects.exists()
        assert Removal.objects.get().catalog_number == NUMBER


def _at(moment: datetime) -> Any:
    return mock.patch("django.utils.timezone.now", lambda: moment)


def test_a_name_that_changed_its_verdict_is_no_riddle_afterwards(registrar: User) -> None:
    """The question after renamed specimens passes over results of those that are gone."""
    specimen = register.specimen(NUMBER)
    judged(specimen, "222222222")
    again = Run.objects.create(
        state=Run.State.DONE, engine_version="0", scope="all", why="again", started_at=datetime(2026, 1, 1, tzinfo=UTC),
        finished_at=datetime(2026, 1, 1, tzinfo=UTC),
    )  # fmt: skip
    calm = judged(register.specimen()).ruling
    Result.objects.create(
        run=again, specimen=specimen, ruling=calm, event=specimen.event, name=register.written_name("Gomphus vulgatus")
    )
    assert len(renamed()) == 1
    Standing.objects.filter(specimen=specimen).delete()
    remove_specimen(specimen, by=registrar, why=WHY)
    assert len(renamed()) == 0


# Keys -----------------------------------------------------------------------------------------------------------------


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("others", [0, 1])
def test_its_key_is_not_given_again_after_a_migration(others: int) -> None:
    """A migration that writes the table anew leaves nothing of the key to SQLite; what points at it stays."""
    for one in range(others):
        register.specimen(f"LMN-FW-091{one:04d}")
    specimen = register.specimen(NUMBER)
    remove_specimen(specimen, by=register.person(Role.REGISTRAR), why=WHY)
    with connection.schema_editor() as editor:
        if connection.vendor == "sqlite":
            editor._remake_table(Specimen)  # type: ignore[attr-defined]
        keep_keys_given(None, editor)
    assert register.specimen(NUMBER).pk > specimen.pk


def _forgets_keys(operations: Any) -> bool:
    """Whether a migration may write the table of specimens anew, and does not end with what keeps their keys."""
    changes = any(
        getattr(one, "model_name_lower", "") == "specimen"
        or (getattr(one, "name_lower", "") == "specimen" and not isinstance(one, migrations.AlterModelOptions))
        for one in operations
    )
    return changes and getattr(operations[-1], "code", None) is not keep_keys_given


def test_migrations_keep_the_keys_of_specimens() -> None:
    """Of those since specimens can be removed."""
    field = migrations.AddField("Specimen", "weight", models.IntegerField(null=True))
    keeps = migrations.RunPython(keep_keys_given, migrations.RunPython.noop)
    assert _forgets_keys([field])
    assert _forgets_keys([keeps, field])
    assert not _forgets_keys([field, keeps])
    assert not _forgets_keys([migrations.AddField("Accession", "weight", models.IntegerField(null=True))])
    loader = MigrationLoader(connection)
    of_room = {name: one for (room, name), one in loader.disk_migrations.items() if room == "material"}
    assert of_room["0006_removal"].operations
    assert [name for name, one in of_room.items() if name > "0006_removal" and _forgets_keys(one.operations)] == []
