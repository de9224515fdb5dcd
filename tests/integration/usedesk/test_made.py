"""Uses that were made: recorded with the answer of their day, outside the terms too, corrected, voided.

Which use a deed is, and what counts as outside: common practice, no source. That a use is judged by the terms of its
day: Nagoya Protocol, Art. 6(3)(g)(iv), terms on changes of intent, as the decision record 6 reads it.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.utils import timezone

from accessions.material.models import Specimen
from accessions.people.access import NotAllowedError
from accessions.people.models import Role
from governance.engine.uses import Answer, Said, Use
from governance.papers.actions.restricting import restrict
from governance.papers.models import PaperLink
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.making import Taken, edit_use, newest_seen, record_use, void_use
from governance.usedesk.models import DeskRules, MadeUse, Remedy, RequestDecision, UseItem
from governance.usedesk.queries.judging import ItemAnswer, standing_of
from governance.usedesk.queries.whereabouts import out_of
from tests.factories import register
from tests.factories.usedesk import made_use, recipient, use_request, use_term

pytestmark = pytest.mark.django_db
ON = date(2026, 3, 2)


@pytest.fixture
def by() -> Any:
    return register.person(Role.REGISTRAR)


def specimen_under(use: Use, said: Said, **values: Any) -> Specimen:
    """A specimen of which one paper alone, of 2024, speaks; its verdict does not matter to uses that are not gated."""
    specimen = register.specimen()
    paper = register.paper(f"COL-{specimen.pk}")
    register.link(paper, by=register.person(), specimen=specimen)
    use_term(register.version(paper), use, said, **values)
    return specimen


def recorded(by: Any, *specimens: Specimen, deed: str = "study", on: date = ON, **values: Any) -> MadeUse:
    return record_use(deed=deed, on=on, ids=[one.pk for one in specimens], by=by, why="recorded", **values)


def test_study_within_the_terms(by: Any) -> None:
    """A look on the spot is open to material of any footing, so the clause alone decides."""
    made = recorded(by, specimen_under(Use.STUDY_ON_THE_SPOT, Said.ALLOWED))
    item = made.items.get()
    assert (made.answer, made.is_outside, made.use) == (Answer.ALLOWED, False, Use.STUDY_ON_THE_SPOT)
    assert item.answer == Answer.ALLOWED
    assert item.reasons[0]["clause"] == "Clause on study-on-the-spot."
    assert not made.remedies.exists()


@pytest.mark.parametrize(("said", "outside"), [(Said.NOT_ALLOWED, True), (Said.ASK_FIRST, True), (Said.SILENT, False)])
def test_outside_is_recorded_and_starts_a_remedy(by: Any, said: Said, outside: bool) -> None:
    """What forbids, and what asks for an agreement that nobody has seen. What is silent is not shown to be within."""
    made = recorded(by, specimen_under(Use.STUDY_ON_THE_SPOT, said))
    assert made.is_outside is outside
    remedy = made.remedies.first()
    assert (remedy is not None) is outside
    if remedy is not None:
        assert remedy.due_on == timezone.localdate() + timedelta(30)
        assert "Not within the terms as known" in remedy.what


def test_papers_that_nobody_read_make_no_breach(by: Any) -> None:
    specimen = register.specimen()
    register.link(register.paper("COL-1"), by=register.person(), specimen=specimen)
    made = recorded(by, specimen)
    assert (made.answer, made.is_outside) == (Answer.NOT_KNOWN, False)


@pytest.mark.parametrize(
    ("answer", "asks", "decision", "standing"),
    [
        (Answer.ALLOWED, False, None, "within"), (Answer.WITH_DUTIES, False, None, "within"),
        (Answer.ASK_FIRST, True, None, "outside"), (Answer.ASK_FIRST, True, 1, "approved"),
        (Answer.SILENT, False, None, "open"), (Answer.SILENT, False, 1, "approved"),
        (Answer.SILENT, True, None, "outside"), (Answer.NOT_KNOWN, False, None, "open"),
        (Answer.NOT_KNOWN, False, 1, "approved"), (Answer.NOT_KNOWN, True, None, "outside"),
        (Answer.NOT_KNOWN, True, 1, "approved"), (Answer.NOT_ALLOWED, True, None, "outside"),
        (Answer.NOT_ALLOWED, True, 1, "outside"),
    ],
)  # fmt: skip
def test_table_of_standings(answer: Answer, asks: bool, decision: int | None, standing: str) -> None:
    """Written out by hand: a decision stands in for an agreement, never against a clause that forbids on the day.

    What asks for an agreement is heard also where something unread is stricter.
    """
    one = ItemAnswer(answer, decision=decision, asks=asks)
    assert standing_of(answer, is_outside=one.is_outside, is_approved=decision is not None) == standing


def test_the_strictest_of_the_items_is_kept(by: Any) -> None:
    made = recorded(
        by, specimen_under(Use.STUDY_ON_THE_SPOT, Said.ALLOWED), specimen_under(Use.STUDY_ON_THE_SPOT, Said.NOT_ALLOWED)
    )
    assert made.answer == Answer.NOT_ALLOWED
    assert set(made.items.values_list("answer", flat=True)) == {Answer.ALLOWED, Answer.NOT_ALLOWED}


def approved(specimen: Specimen, by: Any, *, at: Any = None, use: Use = Use.IMAGING, **values: Any) -> Any:
    """A request of which the specimen may go, by a decision of the day before the use."""
    request = use_request(use, specimens=[specimen], **values)
    asked = PaperLink.objects.filter(specimen=specimen).values_list("paper", flat=True)
    decision = RequestDecision.objects.create(
        request=request, is_approved=True, answer=Answer.ASK_FIRST, reason="Asked by telephone.", decided_by=by,
        reasons=[{"code": "ask", "answer": int(Answer.ASK_FIRST), "paper": paper} for paper in asked],
    )  # fmt: skip
    RequestDecision.objects.filter(pk=decision.pk).update(
        decided_at=at or timezone.make_aware(datetime(2026, 3, 1, 12))
    )
    request.items.update(decision=decision)
    return request


def test_a_decision_stands_in_for_the_agreement(by: Any) -> None:
    specimen = specimen_under(Use.IMAGING, Said.ASK_FIRST)
    made = recorded(by, specimen, deed="imaging", request=approved(specimen, by))
    assert made.items.get().decision is not None
    assert made.is_outside is False


@pytest.mark.parametrize("case", ["withdrawn", "later", "other use", "other recipient", "forbidden"])
def test_what_a_decision_does_not_cover(by: Any, case: str) -> None:
    """Withdrawn, made after the use, for another use or recipient, or against a clause that forbids on the day."""
    said = Said.NOT_ALLOWED if case == "forbidden" else Said.ASK_FIRST
    specimen = specimen_under(Use.IMAGING, said)
    later = timezone.make_aware(datetime(2026, 3, 3, 12))
    request = approved(
        specimen, by, at=later if case == "later" else None,
        use=Use.EXHIBITION if case == "other use" else Use.IMAGING, recipient=recipient(),
    )  # fmt: skip
    if case == "withdrawn":
        request.decisions.update(withdrawn_at=timezone.now(), withdrawn_by=by)
    who = recipient() if case == "other recipient" else request.recipient
    made = recorded(by, specimen, deed="imaging", request=request, recipient=who)
    assert made.is_outside is True
    assert made.remedies.count() == 1


@pytest.mark.parametrize(
    ("here", "there", "uses"),
    [
        ("SE", "SE", Use.LOAN_AT_HOME),
        ("SE", "IS", Use.LOAN_ABROAD),
        ("", "IS", Use.LOAN_ABROAD),
        ("SE", "", Use.LOAN_ABROAD),
    ],
)
def test_a_loan_is_at_home_or_abroad_by_the_countries(by: Any, here: str, there: str, uses: Use) -> None:
    """Where one is not known it is answered for both, and kept as the one abroad."""
    DeskRules.objects.create(pk=1, country=here)
    made = recorded(by, register.specimen(), deed="loan", recipient=recipient(country=there))
    assert made.use == uses
    if not here or not there:
        asked = {reason["use"] for item in made.items.all() for reason in item.reasons}
        assert asked == {Use.LOAN_AT_HOME, Use.LOAN_ABROAD}


def test_no_clause_speaks_of_a_loss(by: Any) -> None:
    made = recorded(by, specimen_under(Use.STUDY_ON_THE_SPOT, Said.NOT_ALLOWED), deed="loss")
    assert (made.answer, made.use, made.is_outside) == (None, None, False)


def test_terms_of_the_day_decide(by: Any) -> None:
    """A version of April forbids what that of January allowed; a use of March keeps its answer."""
    specimen = register.specimen()
    paper = register.paper("COL-2024-052")
    register.link(paper, by=register.person(), specimen=specimen)
    use_term(register.version(paper, "2026-01-01", None), Use.STUDY_ON_THE_SPOT, Said.ALLOWED)
    use_term(register.version(paper, "2026-04-01", None), Use.STUDY_ON_THE_SPOT, Said.NOT_ALLOWED)
    assert recorded(by, specimen).answer == Answer.ALLOWED
    assert recorded(by, specimen, on=date(2026, 4, 1)).answer == Answer.NOT_ALLOWED


@pytest.mark.parametrize(("on", "words"), [(timezone.localdate() + timedelta(1), "lies ahead"), (ON, "at least one")])
def test_what_cannot_have_been(by: Any, on: date, words: str) -> None:
    ids = [] if words == "at least one" else [register.specimen().pk]
    with pytest.raises(DeskError, match=words):
        record_use(deed="study", on=on, ids=ids, by=by, why="recorded")


def test_every_item_has_its_history(by: Any) -> None:
    made = recorded(by, register.specimen(), register.specimen())
    rows = UseItem.history.filter(use_id=made.pk)
    assert {(row.history_type, row.history_user_id, row.history_change_reason) for row in rows} == {
        ("+", by.pk, "recorded")
    }
    assert rows.count() == 2


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.AUDITOR, Role.ADMINISTRATOR])
def test_who_may_not_record(role: str) -> None:
    with pytest.raises(NotAllowedError):
        recorded(register.person(role), register.specimen())


def test_correcting_the_day_answers_anew(by: Any) -> None:
    specimen = register.specimen()
    paper = register.paper("COL-2024-052")
    register.link(paper, by=register.person(), specimen=specimen)
    use_term(register.version(paper, "2026-01-01", None), Use.STUDY_ON_THE_SPOT, Said.ALLOWED)
    use_term(register.version(paper, "2026-04-01", None), Use.STUDY_ON_THE_SPOT, Said.NOT_ALLOWED)
    made = recorded(by, specimen)
    assert edit_use(made, by=by, why="typed wrongly", on=date(2026, 4, 2)) == ["on"]
    assert (made.answer, made.is_outside) == (Answer.NOT_ALLOWED, True)
    assert made.items.get().answer == Answer.NOT_ALLOWED
    assert made.remedies.count() == 1
    assert UseItem.history.filter(use_id=made.pk, history_type="~").count() == 1


def test_correcting_the_use_answers_anew_and_starts_one_remedy(by: Any) -> None:
    """Pictures were allowed; their publication, which it was, is what the paper forbids."""
    specimen = register.specimen()
    paper = register.paper("COL-2024-052")
    register.link(paper, by=register.person(), specimen=specimen)
    version = register.version(paper, "2026-01-01", None)
    use_term(version, Use.IMAGING, Said.ALLOWED)
    use_term(version, Use.PUBLISHING_IMAGES, Said.NOT_ALLOWED)
    made = recorded(by, specimen, deed="imaging", use=Use.IMAGING)
    assert made.is_outside is False
    assert edit_use(made, by=by, why="they were printed", use=Use.PUBLISHING_IMAGES) == ["use"]
    assert (made.use, made.answer, made.is_outside) == (Use.PUBLISHING_IMAGES, Answer.NOT_ALLOWED, True)
    assert made.items.get().answer == Answer.NOT_ALLOWED
    assert made.remedies.count() == 1
    edit_use(made, by=by, why="a day earlier", on=ON - timedelta(1))
    assert made.remedies.count() == 1, "it was outside before: no second remedy"


def test_what_the_day_of_a_use_cannot_be(by: Any) -> None:
    specimen = register.specimen()
    loan = recorded(by, specimen, deed="loan", recipient=recipient())
    kept = recorded(by, specimen, deed="retention", on=ON + timedelta(9), parent=loan, recipient=loan.recipient)
    with pytest.raises(DeskError, match="this was before"):
        edit_use(kept, by=by, why="typed wrongly", on=ON - timedelta(1))
    with pytest.raises(DeskError, match="lies ahead"):
        edit_use(kept, by=by, why="typed wrongly", on=timezone.localdate() + timedelta(1))
    assert MadeUse.objects.get(pk=kept.pk).on == ON + timedelta(9)


def test_what_cannot_be_used(by: Any) -> None:
    specimen = register.specimen()
    with pytest.raises(DeskError, match="no longer in the register"):
        record_use(deed="study", on=ON, ids=[specimen.pk, specimen.pk + 999], by=by, why="recorded")
    loan = recorded(by, specimen, deed="loan", recipient=recipient())
    void_use(loan, by=by, why="wrong box")
    with pytest.raises(DeskError, match="was voided"):
        recorded(by, specimen, deed="retention", on=ON, parent=loan, recipient=loan.recipient)
    assert list(MadeUse.objects.all()) == [loan], "nothing is written of what cannot have been"


def test_nobody_overwrites_what_another_changed(by: Any) -> None:
    made = recorded(by, register.specimen())
    seen = newest_seen(made)
    edit_use(made, by=register.person(Role.CURATOR), why="note", note="In tray 4")
    with pytest.raises(DeskError, match="changed this entry meanwhile"):
        edit_use(made, by=by, why="title", title="Visit", seen=seen)


def test_voiding_keeps_the_entry_and_frees_the_specimens(by: Any) -> None:
    specimen = register.specimen()
    made = recorded(by, specimen, deed="loan", recipient=recipient())
    assert specimen.pk in out_of([specimen.pk])
    void_use(made, by=by, why="wrong box")
    assert out_of([specimen.pk]) == {}
    assert MadeUse.objects.get(pk=made.pk).voided_why == "wrong box"
    with pytest.raises(DeskError, match="voided"):
        edit_use(made, by=by, why="again", title="x")
    with pytest.raises(DeskError, match="Say why"):
        void_use(recorded(by, register.specimen()), by=by, why=" ")


def test_extraction_makes_a_child(by: Any) -> None:
    """The extract is a specimen of its own, of the same accession and event, taken from its parent."""
    parent = register.specimen("LMN-FW-0000001")
    made = recorded(
        by, parent, deed="extraction", taken={parent.pk: Taken("one leg", "five legs", extract="LMN-DNA-1")}
    )
    child = Specimen.objects.get(catalog_number="LMN-DNA-1")
    assert (child.parent_id, child.kind, child.preparation) == (parent.pk, "part", "extract")
    assert (child.accession_id, child.event.event_date) == (parent.accession_id, parent.event.event_date)
    assert made.items.get().product == child
    again = recorded(by, parent, deed="extraction", taken={parent.pk: Taken(extract="lmn-dna-1")})
    assert again.items.get().product == child


def test_extract_of_another_is_refused(by: Any) -> None:
    register.specimen("LMN-FW-0000002")
    parent = register.specimen("LMN-FW-0000001")
    with pytest.raises(DeskError, match="not taken from the specimen"):
        recorded(by, parent, deed="extraction", taken={parent.pk: Taken(extract="LMN-FW-0000002")})
    compliance = register.person(Role.COMPLIANCE)
    with pytest.raises(DeskError, match="Your role enters none"):
        recorded(compliance, parent, deed="extraction", taken={parent.pk: Taken(extract="LMN-DNA-7")})
    assert not MadeUse.objects.exists()


def test_used_up_is_gone(by: Any) -> None:
    specimen = register.specimen("LMN-FW-0000001")
    recorded(by, specimen, deed="sampling", taken={specimen.pk: Taken("all of it", "", is_used_up=True)})
    with pytest.raises(DeskError, match="LMN-FW-0000001 is no longer here: Sampled destructively on 2 March 2026"):
        recorded(by, specimen, deed="loan", on=date(2026, 3, 3), recipient=recipient())


def test_publication_needs_a_citation_or_a_doi(by: Any) -> None:
    with pytest.raises(ValidationError, match="Give the citation or the DOI"):
        recorded(by, register.specimen(), deed="publication")
    made = recorded(by, register.specimen(), deed="publication", doi="10.1234/abc")
    assert made.answer is None
    with pytest.raises(ValidationError, match="A DOI begins with"):
        recorded(by, register.specimen(), deed="publication", doi="abc")


# Pages ----------------------------------------------------------------------------------------------------------------


@pytest.fixture
def client_of_registrar(client: Client, by: Any) -> Client:
    client.force_login(by)
    return client


def test_loan_from_a_request(client_of_registrar: Client, by: Any) -> None:
    """The approved specimens of a request leave as one loan."""
    first, second = register.specimen(), register.specimen()
    request = approved(first, by, use=Use.LOAN_ABROAD, recipient=recipient(name="Hafnarvík Institute for Lakes"))
    request.items.create(specimen=second, added_by=by)
    page = client_of_registrar.get(f"/desk/uses/new/loan/?request={request.pk}")
    assert request.reference in page.content.decode()
    data = {
        "on": "2026-03-02", "recipient": request.recipient_id, "request_number": request.reference,
        "of_request": "approved", "reference": "L-2026-07",
    }  # fmt: skip
    looked = client_of_registrar.post(f"/desk/uses/new/loan/?request={request.pk}", data | {"look": "1"})
    assert "nothing saved yet" in looked.content.decode()
    assert not MadeUse.objects.exists()
    answer = client_of_registrar.post("/desk/uses/new/loan/", data)
    made = MadeUse.objects.get()
    assert answer["Location"] == f"/desk/uses/{made.pk}/"
    assert list(made.items.values_list("specimen", flat=True)) == [first.pk]
    assert (made.due_on, made.request) == (date(2027, 3, 2), request)  # 12 months, without rules of the desk
    text = client_of_registrar.get(f"/desk/uses/{made.pk}/").content.decode()
    for words in ("L-2026-07", "1 specimen is out.", "Due on 2 March 2027.", "Hafnarvík Institute for Lakes"):
        assert words in text, words


def test_all_mistakes_at_once(client_of_registrar: Client) -> None:
    data = {"on": "2027-01-01", "accession": "LMN-1900-1", "numbers": "LMN-NO-1\nLMN-NO-2", "doi": "doi.org/x"}
    answer = client_of_registrar.post("/desk/uses/new/publication/", data)
    text = answer.content.decode()
    assert answer.status_code == 422
    for words in ("The day lies ahead", "No accession has the number “LMN-1900-1”", "LMN-NO-1, LMN-NO-2",
                  "has not the form of a DOI"):  # fmt: skip
        assert words in text, words


def test_gone_for_good_is_said_before(client_of_registrar: Client) -> None:
    """The consequence stands on the page, and is not saved without the tick."""
    specimen = register.specimen("LMN-FW-0000001")
    page = client_of_registrar.get("/desk/uses/new/gift/").content.decode()
    assert "What is given away is gone for good" in page
    data = {"on": "2026-03-02", "numbers": specimen.catalog_number, "recipient": recipient().pk}
    assert client_of_registrar.post("/desk/uses/new/gift/", data).status_code == 422
    assert client_of_registrar.post("/desk/uses/new/gift/", data | {"understood": "on"}).status_code == 302


@pytest.mark.parametrize("deed", MadeUse.Deed.values)
def test_every_deed_can_be_recorded(client_of_registrar: Client, deed: str) -> None:
    """By its page, of a specimen named by number; from a loan where it is of one."""
    specimen = register.specimen("LMN-FW-0000001")
    who = recipient()
    data = {
        "on": "2026-03-05", "numbers": specimen.catalog_number, "recipient": who.pk, "citation": "Ek 2026",
        "understood": "on", "of_loan": "none", "use": "10" if deed == "imaging" else "9" if deed == "data" else "",
    }  # fmt: skip
    if deed in ("onward-loan", "retention"):
        data["loan_number"] = f"#{made_use(specimen, recipient=who).pk}"
    answer = client_of_registrar.post(f"/desk/uses/new/{deed}/", data)
    assert answer.status_code == 302, answer.content.decode()[:3000]
    made = MadeUse.objects.get(deed=deed, on=date(2026, 3, 5))
    assert client_of_registrar.get(f"/desk/uses/{made.pk}/").status_code == 200
    assert client_of_registrar.get(f"/desk/uses/{made.pk}/edit/").status_code == 200


def test_300_specimens_of_one_publication(client_of_registrar: Client) -> None:
    accession = register.accession("LMN-2020-001")
    for number in range(300):
        register.specimen(f"LMN-P-{number:04}", accession=accession)
    data = {"on": "2026-03-05", "accession": "LMN-2020-001", "doi": "https://doi.org/10.1234/fw.2026.17"}
    client_of_registrar.post("/desk/uses/new/publication/", data)
    made = MadeUse.objects.get()
    assert (made.items.count(), made.doi) == (300, "10.1234/fw.2026.17")


@pytest.mark.parametrize("role", [Role.CURATOR, Role.AUDITOR])
def test_clauses_of_a_restricted_paper_stay_closed(client: Client, by: Any, role: str) -> None:
    """That it decided, and how, is for all; its words for its readers."""
    specimen = specimen_under(Use.STUDY_ON_THE_SPOT, Said.NOT_ALLOWED, clause="Zzclause forbids.")
    made = recorded(by, specimen)
    paper = specimen.paper_links.get().paper
    client.force_login(by)
    assert "Zzclause" in client.get(f"/desk/uses/{made.pk}/").content.decode()
    restrict(paper=paper, roles=[Role.REGISTRAR], why="secret", by=by)
    Remedy.objects.update(paper=paper, what="Zzremedy")
    client.force_login(register.person(role))
    pages = [f"/desk/uses/{made.pk}/", "/desk/remedies/", "/", f"/desk/uses/{made.pk}/specimens.csv", "/desk/uses/"]
    for path in pages:
        answer = client.get(path)
        text = b"".join(answer).decode() if answer.streaming else answer.content.decode()
        # Whole words: what a page draws by chance, as the token of its forms, holds two letters one time in sixty.
        assert not [word for word in ("Zzclause", "Zzremedy") if word in text], path
    text = client.get(f"/desk/uses/{made.pk}/").content.decode()
    assert paper.reference in text
    assert "Not allowed" in text
    assert "Restricted: open to registrars" in text
    assert client.get(f"/desk/remedies/{made.remedies.get().pk}/").status_code == 403
