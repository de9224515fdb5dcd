"""The terms sheet: what is on it, what must never be, whoever makes it; as a page and as a DOCX.

What a sheet of a loan says to the borrower (terms, due day, duties, list): common practice, no source. That terms go
with the material to third parties: Nagoya Protocol, Art. 6(3)(g)(iii).
"""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import date
from typing import Any

import docx
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import role_bits
from accessions.people.models import Role, User
from governance.engine.tables import Layer
from governance.engine.uses import Answer, Said, Use
from governance.papers.models import TermsReading
from governance.usedesk.actions.deciding import decide, withdraw_decision
from governance.usedesk.models import DeskRules, ProviderQuestion, UseItem, WayDecision
from governance.usedesk.sheet.gathering import sheet_of_request
from tests.factories import register, usedesk
from tests.integration.usedesk.desk_scene import CANARY, Scene, scene, version_of

pytestmark = pytest.mark.django_db

WHY = "The director told us so on the telephone."


@pytest.fixture
def registrar() -> User:
    return register.person(Role.REGISTRAR)


@pytest.fixture
def three() -> Scene:
    return scene()


def ids(specimens: Any) -> list[int]:
    return [one.pk for one in specimens]


def approve(three: Scene, specimens: Any, by: User, reason: str = "") -> Any:
    return decide(request=three.request, ids=ids(specimens), is_approved=True, reason=reason, by=by)


def signed_in(role: str) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def page(three: Scene, role: str = Role.CURATOR, query: str = "") -> str:
    answer = signed_in(role).get(reverse("usedesk:request-sheet", args=[three.request.pk]) + query)
    assert answer.status_code == 200
    return str(answer.content.decode())


def file(three: Scene, role: str = Role.CURATOR, query: str = "") -> str:
    """All words of the DOCX, in the order of the document, with head and foot, read by the library for such files."""
    answer = signed_in(role).get(reverse("usedesk:request-sheet-docx", args=[three.request.pk]) + query)
    assert answer.status_code == 200
    return words_of(answer.content)


def words_of(content: bytes) -> str:
    document = docx.Document(io.BytesIO(content))
    margins = [part for section in document.sections for part in (section.header, section.footer)]
    nodes = [node for part in (*margins, document) for node in part._element.iter()]
    return "\n".join(node.text or "" for node in nodes if node.tag.endswith("}t"))


both = pytest.mark.parametrize("made", [page, file], ids=["page", "docx"])


# What is on it


@both
def test_only_what_was_approved_is_on_it(made: Callable[..., str], three: Scene, registrar: User) -> None:
    """Approved, declined, not decided: three specimens of each."""
    approve(three, three.allowing, registrar)
    decide(request=three.request, ids=ids(three.forbidding), is_approved=False, by=registrar)
    told = made(three)
    for specimen in three.allowing:
        assert specimen.catalog_number in told
    for specimen in (*three.asking, *three.forbidding):
        assert specimen.catalog_number not in told
    assert "Group A: 3 specimens" in told
    assert f"“{CANARY} COL-1”" in told
    assert "ABS-2" not in told
    assert "DEP-3" not in told


@both
def test_nothing_approved_is_a_draft(made: Callable[..., str], three: Scene) -> None:
    told = made(three)
    assert "Draft: nothing is approved" in told
    assert "LMN-" not in told
    assert "Signatures" not in told


@both
def test_a_withdrawn_decision_takes_its_specimens_off(made: Callable[..., str], three: Scene, registrar: User) -> None:
    decision = approve(three, three.allowing, registrar)
    withdraw_decision(decision=decision, reason="It was the wrong request altogether.", by=registrar)
    assert "LMN-" not in made(three)


@both
def test_reasons_of_the_house_stay_in_the_house(made: Callable[..., str], three: Scene, registrar: User) -> None:
    """A decision beyond the terms has a reason; the recipient is told what may be done, not why."""
    approve(three, three.asking, registrar, reason=WHY)
    told = made(three)
    assert three.asking[0].catalog_number in told
    assert WHY not in told


@both
def test_exact_places_are_not_on_it(made: Callable[..., str], three: Scene, registrar: User) -> None:
    """Country and day alone, whatever the terms say of localities."""
    specimen = three.allowing[0]
    specimen.event.locality, specimen.event.site_name = "Zzlocality by the weir", "Zzsite"
    specimen.event.save()
    approve(three, three.allowing, registrar)
    told = made(three)
    assert "Zzlocality" not in told and "Zzsite" not in told
    assert "42.08" not in told
    assert "Georgia" in told
    assert "2024-06-17" in told


@both
def test_duties_acknowledgement_and_what_is_forbidden(made: Callable[..., str], three: Scene, registrar: User) -> None:
    """Of approved uses the duties; of others the clauses that forbid or ask, never those that allow."""
    version = version_of(three.allows)
    version.use_terms.update(said=int(Said.WITH_DUTIES), duties="Send two copies within six months.")
    usedesk.use_term(version, Use.SEQUENCING, Said.NOT_ALLOWED, clause="No sequencing at all.", page=4)
    usedesk.use_term(version, Use.ONWARD_LOAN, Said.ASK_FIRST, clause="Ask before lending on.")
    usedesk.use_term(version, Use.TEACHING, Said.ALLOWED, clause="Teaching is welcome.")
    usedesk.use_term(version, Use.LOAN_ABROAD, Said.WITH_DUTIES, clause="Loans abroad.", duties="Not this duty.")
    TermsReading.objects.filter(version=version).update(acknowledgement="With thanks to the Directorate.")
    approve(three, three.allowing, registrar)
    told = made(three)
    for words in ("Send two copies within six months.", "“No sequencing at all.”", "p. 4", "“Ask before lending on.”",
                  "“With thanks to the Directorate.”", "Directorate of COL-1"):  # fmt: skip
        assert words in told
    assert "Teaching is welcome." not in told
    assert "Not this duty." not in told
    assert told.index("Not allowed") < told.index("No sequencing at all.") < told.index("Ask before lending on.")


@both
def test_a_paper_not_read_for_all_uses_says_so(made: Callable[..., str], three: Scene, registrar: User) -> None:
    """One of eighteen uses was read: what the paper says of the others is not known, and is not left to silence."""
    approve(three, three.allowing, registrar)
    assert "COL-1: what this paper says of the uses has not been read in full." in made(three)
    version = version_of(three.allows)
    for use in Use:
        if use != Use.IMAGING:
            usedesk.use_term(version, use, Said.SILENT)
    assert "has not been read in full" not in made(three)


@both
def test_conditions_are_in_words(made: Callable[..., str], three: Scene, registrar: User) -> None:
    version_of(three.allows).use_terms.update(
        recipients=0b11, only_countries="IS SE", non_commercial_only=True, most_specimens=12, amount="one leg",
        not_before=date(2020, 2, 29), other_condition="Only by daylight.",
    )  # fmt: skip
    three.request.recipient, three.request.country = usedesk.recipient(), "IS"
    three.request.save()
    approve(three, three.allowing, registrar, reason=WHY)  # the way to Iceland is not known
    told = made(three)
    for words in (
        "Only to public research institutions and private research institutions that make no profit.",
        "Only in Iceland and Sweden.", "For non-commercial purposes only.", "At most 12 specimens under this paper.",
        "Amount: one leg.", "Not before 29 February 2020.", "“Only by daylight.”",
    ):  # fmt: skip
        assert words in told


# Terms of the day


@both
def test_terms_are_those_of_the_day_of_the_request(made: Callable[..., str], three: Scene, registrar: User) -> None:
    """An amendment that starts the day after 20 November 2026 does not reach the sheet; one of that very day does."""
    later = register.version(three.allows, "2026-11-21", None)
    usedesk.use_term(later, Use.IMAGING, Said.ALLOWED, clause="Words of the next day.")
    approve(three, three.allowing, registrar)
    assert "Words of the next day." not in made(three)
    later.in_force_from = date(2026, 11, 20)
    later.save()
    assert "Words of the next day." in made(three)


@both
def test_stricter_papers_hold_approved_specimens_back(made: Callable[..., str], three: Scene, registrar: User) -> None:
    """A paper that was found after the approval forbids one of three: it stays off until somebody decides again."""
    approve(three, three.allowing, registrar)
    register.link(three.forbids, specimen=three.allowing[0])
    told = made(three)
    assert "Group A: 2 specimens" in told
    assert three.allowing[1].catalog_number in told


def test_who_makes_the_sheet_is_told_what_stays(three: Scene, registrar: User) -> None:
    """On the page of the house, not on what travels."""
    approve(three, three.allowing, registrar)
    register.link(three.forbids, specimen=three.allowing[0])
    told = page(three)
    assert "1 approved specimen is not on the sheet." in told
    assert f"Keep here: {three.allowing[0].catalog_number}." in told
    assert three.allowing[0].catalog_number not in told[told.index("<article") :]
    assert three.allowing[0].catalog_number not in file(three)


def test_the_agreement_of_a_provider_in_its_words(three: Scene, registrar: User) -> None:
    """It may hold a condition that stands nowhere else. It is of the paper: for its readers alone."""
    ProviderQuestion.objects.create(
        request=three.request, paper=three.asks, uses=usedesk.use_bits(Use.IMAGING), asked_of="Directorate",
        asked_on=date(2026, 11, 10), reply="agreed", replied_on=date(2026, 11, 18), recorded_by=registrar,
        reply_words="Agreed, in black and white.",
    )  # fmt: skip
    approve(three, three.asking, registrar)
    assert "Directorate agreed on 18 November 2026, for this request:" in page(three)
    assert "Agreed, in black and white." in page(three)
    _close(three)
    assert "Agreed, in black and white." not in page(three)


# Restricted papers


def _close(three: Scene) -> None:
    for paper in (three.allows, three.asks):
        paper.restricted_to, paper.restricted_why = role_bits([Role.REGISTRAR, Role.COMPLIANCE]), "Sacred site"
        paper.save()


@both
def test_words_of_a_restricted_paper_are_for_readers(made: Callable[..., str], three: Scene, registrar: User) -> None:
    """For others a line says that terms bind which are not printed; the clause is on the sheet of a reader."""
    version = version_of(three.allows)
    version.use_terms.update(duties=f"{CANARY} duty")
    TermsReading.objects.filter(version=version).update(acknowledgement=f"{CANARY} thanks", ownership=2,
                                                        ownership_clause=f"{CANARY} title")  # fmt: skip
    approve(three, three.allowing, registrar)
    _close(three)
    told = made(three, Role.CURATOR)
    assert CANARY not in told
    assert "Directorate of COL-1" not in told
    assert "COL-1: terms of this paper bind as well and are not printed here." in told
    assert "These papers bind as well and may ask for more; ask us: COL-1." in told
    read = made(three, Role.REGISTRAR)
    for words in ("COL-1", "duty", "thanks", "title"):
        assert f"{CANARY} {words}" in read


def test_files_are_for_who_may_export(three: Scene, registrar: User) -> None:
    approve(three, three.allowing, registrar)
    path = reverse("usedesk:request-sheet-docx", args=[three.request.pk])
    assert signed_in(Role.VOLUNTEER).get(path).status_code == 403
    assert "sheet.docx" not in page(three, Role.VOLUNTEER)
    assert "sheet.docx" in page(three, Role.AUDITOR)
    answer = signed_in(Role.AUDITOR).get(path)
    today = timezone.localdate().isoformat()
    assert answer["Content-Disposition"] == f'attachment; filename="ur-2026-064-terms-en-{today}.docx"'
    assert answer["Cache-Control"] == "private, no-store"


# Parties, way, language


@both
def test_parties_days_and_papers_of_the_way(made: Callable[..., str], three: Scene, registrar: User) -> None:
    DeskRules.objects.update_or_create(
        pk=1, defaults={"institution": "Lindmark Museum", "address": "Hill 1", "country": "SE", "cites_code": "SE 007"}
    )
    approve(three, three.allowing, registrar)
    three.request.recipient = usedesk.recipient(name="Institute for Lakes", address="Quay 2", cites_code="IS 002")
    three.request.asked_by, three.request.purpose = "Dr S.", "A revision"
    three.request.starts_on, three.request.ends_on = date(2026, 12, 1), date(2027, 11, 30)
    three.request.save()
    WayDecision.objects.create(
        request=three.request, layer=int(Layer.EXPORT), paper=three.forbids, reason="held", evidence="on file",
        decided_by=registrar,
    )  # fmt: skip
    told = made(three)
    for words in ("Lindmark Museum", "Hill 1", "SE 007", "Institute for Lakes", "Quay 2", "IS 002", "Dr S.",
                  "A revision", "1 December 2026 to 30 November 2027", "Export: DEP-3"):  # fmt: skip
        assert words in told


@pytest.mark.parametrize(
    ("country", "query", "heading"),
    [
        ("", "", "What may be done, and what not"),
        ("PT", "", "O que se pode fazer e o que não se pode"),
        ("PT", "?language=fr", "Ce qui est permis, et ce qui ne l’est pas"),
        ("", "?language=es", "Qué se puede hacer y qué no"),
    ],
)
def test_the_language_is_the_recipients_unless_chosen(
    three: Scene, registrar: User, country: str, query: str, heading: str
) -> None:
    DeskRules.objects.update_or_create(pk=1, defaults={"country": country})  # so that nothing crosses a border
    approve(three, three.allowing, registrar)
    three.request.recipient = usedesk.recipient(country=country)
    three.request.save()
    assert heading in page(three, query=query)
    assert heading in file(three, query=query)


def test_a_language_without_words_is_said(three: Scene) -> None:
    for name in ("request-sheet", "request-sheet-docx"):
        answer = signed_in(Role.CURATOR).get(reverse(f"usedesk:{name}", args=[three.request.pk]) + "?language=xx")
        assert answer.status_code == 400
        assert "Nothing is shown yet" in answer.content.decode()


def test_without_codes_the_list_has_no_pictures(three: Scene, registrar: User) -> None:
    approve(three, three.allowing, registrar)
    assert page(three).count('class="pack-picture"') == 4  # of the sheet, and of three specimens
    assert page(three, query="?codes=without").count('class="pack-picture"') == 1


# A use that was made


def test_the_sheet_of_a_loan(three: Scene, registrar: User) -> None:
    """Of a loan of four specimens the three that were approved are on it, with the day on which they are due."""
    decision = approve(three, three.allowing, registrar)
    made = usedesk.made_use(
        *three.allowing, three.forbidding[0], request=three.request, use=int(Use.IMAGING), reference="L-2026-031",
        on=date(2026, 11, 22), due_on=date(2027, 11, 21), recipient=usedesk.recipient(name="Institute for Lakes"),
    )  # fmt: skip
    UseItem.objects.filter(use=made, specimen__in=three.allowing).update(decision=decision, answer=int(Answer.ALLOWED))
    UseItem.objects.filter(use=made, specimen=three.forbidding[0]).update(answer=int(Answer.NOT_ALLOWED))
    answer = signed_in(Role.CURATOR).get(reverse("usedesk:use-sheet", args=[made.pk]))
    told = answer.content.decode()
    assert "Terms of loan L-2026-031" in told
    assert "All 3 specimens come back by 21 November 2027." in told
    assert "1 more is not approved and is not on it." in told
    assert three.forbidding[0].catalog_number not in told
    assert f"“{CANARY} COL-1”" in told
    content = signed_in(Role.CURATOR).get(reverse("usedesk:use-sheet-docx", args=[made.pk])).content
    assert "All 3 specimens come back by 21 November 2027." in words_of(content)
    made.voided_at, made.voided_by, made.voided_why = timezone.now(), registrar, "typed twice"
    made.save()
    assert "Draft: nothing is approved" in signed_in(Role.CURATOR).get(
        reverse("usedesk:use-sheet", args=[made.pk])
    ).content.decode()  # fmt: skip


# Groups, and what it costs


def test_groups_are_by_papers_the_largest_first(three: Scene, registrar: User) -> None:
    """Two of three lie under a second paper, too: the two are group A, the third is B."""
    second = register.paper("LND-9", issuer="Owner")
    usedesk.use_term(register.version(second, "2019-01-01", None), Use.IMAGING, Said.ALLOWED)
    for specimen in three.allowing[:2]:
        register.link(second, specimen=specimen)
    approve(three, three.allowing, registrar)
    sheet = sheet_of_request(three.request, registrar)
    assert [(one.letter, one.count, [paper.reference for paper in one.papers]) for one in sheet.groups] == [
        ("A", 2, ["COL-1", "LND-9"]), ("B", 1, ["COL-1"]),
    ]  # fmt: skip
    assert {one.number: one.letter for one in sheet.specimens} == {
        "LMN-COL-1-0": "A", "LMN-COL-1-1": "A", "LMN-COL-1-2": "B",
    }  # fmt: skip


@pytest.mark.parametrize("count", [2, 12])
def test_queries_do_not_grow(count: int, registrar: User, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    """Most are of the answer of the desk, which is worked out anew; as many for two specimens as for twelve."""
    many = scene(count=count)
    approve(many, many.allowing, registrar)
    client = signed_in(Role.CURATOR)
    with django_assert_num_queries(29):
        client.get(reverse("usedesk:request-sheet", args=[many.request.pk]))
