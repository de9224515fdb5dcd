"""What became of material: every use in order of time, of a specimen, an accession, a site, an owner, a country.

Which lines belong to whom follows TRADE 5.5 (common practice, no source): what is taken from material stays its own.
Numbers are counted by hand in each test.
"""

from __future__ import annotations

import csv
import io
from datetime import date, datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from accessions.material.models import PoolMember, Specimen
from accessions.people.models import Role
from accessions.sites.models import SiteTenure
from governance.engine.uses import Answer
from governance.papers.actions.restricting import restrict
from governance.usedesk.models import LoanReturn, MadeUse, Remedy, RequestDecision, Sequence, UseItem
from governance.usedesk.queries.material import (
    Material,
    of_accession,
    of_agent,
    of_country,
    of_owner,
    of_recipient,
    of_site,
    of_specimen,
    undated,
)
from governance.usedesk.queries.trail import DECLINED, Entry, Narrowed, entries, read_entries, years_of
from governance.usedesk.queries.trail_counts import TrailCounts, head_words, trail_counts
from tests.factories import register
from tests.factories.usedesk import made_use, recipient, use_request

pytestmark = pytest.mark.django_db


def client_of(role: Role = Role.AUDITOR) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def trail(material: Material, **narrowed: Any) -> list[Entry]:
    return read_entries(material, list(entries(material, Narrowed(**narrowed))), register.person())


def made_of(material: Material, **narrowed: Any) -> list[MadeUse]:
    return [entry.made for entry in trail(material, **narrowed) if entry.made]


def reason(paper: Any, answer: Answer = Answer.ALLOWED, **values: Any) -> dict[str, Any]:
    """A reason as ``words.snapshot`` keeps it."""
    return {
        "code": "allowed", "answer": int(answer), "is_silent": False, "use": 1, "paper": paper.pk,
        "reference": paper.reference, "clause": "Otter and heron may be lent.", "clause_number": "7.2", "page": 3,
        "sentence": f"{paper.reference} speaks.", **values,
    }  # fmt: skip


def judged(made: MadeUse, answer: Answer, reasons: list[dict[str, Any]], **values: Any) -> MadeUse:
    made.items.update(answer=int(answer), reasons=reasons, **values)
    MadeUse.objects.filter(pk=made.pk).update(answer=int(answer))
    return made


# Whose material -------------------------------------------------------------------------------------------------------


def test_what_is_taken_from_a_specimen_is_its_own() -> None:
    """A leg, an extract of the leg, and a pool with the extract: four keys; a sibling's use is another's."""
    other = register.accession("LMN-2025-001")
    specimen, sibling = register.specimen(), register.specimen()
    leg = register.specimen(parent=specimen, kind="part")
    extract = register.specimen(parent=leg, kind="part", accession=other)
    pool = register.specimen(kind="bulk", accession=other)
    PoolMember.objects.create(pool=pool, member=extract)
    uses = [made_use(one, deed="imaging") for one in (specimen, leg, extract, pool)]
    made_use(sibling, deed="imaging")
    assert {made.pk for made in made_of(of_specimen(specimen))} == {made.pk for made in uses}
    assert {made.pk for made in made_of(of_specimen(extract))} == {uses[2].pk, uses[3].pk}
    assert [made.pk for made in made_of(of_specimen(pool))] == [uses[3].pk]
    assert of_specimen(specimen).total == 4


def test_an_accession_has_what_was_taken_from_it_and_lies_elsewhere() -> None:
    """Two of its own; an extract and its dilution in another accession: four. The other accession has its own two."""
    here, there = register.accession("LMN-1"), register.accession("LMN-2")
    first, _second = (register.specimen(accession=here) for _ in range(2))
    extract = register.specimen(accession=there, parent=first, kind="part")
    dilution = register.specimen(accession=there, parent=extract, kind="part")
    made = made_use(dilution, deed="sequencing")
    assert made_of(of_accession(here)) == [made] == made_of(of_accession(there))
    assert (of_accession(here).total, of_accession(there).total) == (4, 2)
    assert made_of(of_accession(register.accession("LMN-3"))) == []


def test_a_pool_that_comes_back_into_the_accession_counts_once() -> None:
    here, there = register.accession("LMN-1"), register.accession("LMN-2")
    member = register.specimen(accession=here)
    pool = register.specimen(accession=there)
    PoolMember.objects.create(pool=pool, member=member)
    register.specimen(accession=here, parent=pool, kind="part")
    assert of_accession(here).total == 3


def test_of_a_site_and_a_country() -> None:
    site = register.site("GE-NAZ-1")
    here = register.specimen(event=register.event(site=site))
    there = register.specimen(event=register.event(country="PE"))
    of_here, of_there = made_use(here), made_use(there)
    assert made_of(of_site(site)) == [of_here] == made_of(of_country("GE"))
    assert made_of(of_country("PE")) == [of_there]
    assert made_of(of_country("SE")) == []


@pytest.mark.parametrize(
    ("held_from", "held_to", "is_theirs"),
    [
        (None, None, True), ("2024-06-17", "2024-06-17", True), ("2024-06-18", None, False),
        (None, "2024-06-16", False), ("2020-01-01", None, True), (None, "2030-01-01", True),
    ],
)  # fmt: skip
def test_of_an_owner_on_the_days_of_the_tenure(held_from: str | None, held_to: str | None, is_theirs: bool) -> None:
    """Taken on 17 June 2024: both ends of a tenure count."""
    site, owner = register.site(), register.agent("Owner")
    SiteTenure.objects.create(site=site, agent=owner, held_from=held_from, held_to=held_to)
    made = made_use(register.specimen(event=register.event(site=site)))
    assert made_of(of_owner(owner)) == ([made] if is_theirs else [])


def test_of_an_owner_a_day_that_is_not_known_is_left_out_and_told() -> None:
    site, owner = register.site(), register.agent("Owner")
    tenure = SiteTenure.objects.create(site=site, agent=owner, held_from="2020-01-01")
    made = made_use(register.specimen(event=register.event(site=site, day="")))
    assert made_of(of_owner(owner)) == []
    assert undated(owner) == 1
    text = client_of().get(reverse("usedesk:trail-agent", args=[owner.pk])).content.decode()
    assert "1 specimen of these sites is left out" in text
    tenure.held_from = None
    tenure.save()
    assert made_of(of_owner(owner)) == [made]
    assert undated(owner) == 0


def test_of_a_recipient_whosever_the_material_is() -> None:
    agent = register.agent("Borrower")
    made = made_use(register.specimen(), recipient=recipient(agent=agent))
    made_use(register.specimen(), recipient=recipient())
    assert made_of(of_recipient(agent)) == [made]
    assert of_agent(agent, "").is_recipient
    assert made_of(of_agent(agent, "owner").material) == []
    assert of_recipient(agent).total is None


# Entries --------------------------------------------------------------------------------------------------------------


def test_a_publication_is_one_line_with_how_many_of_this_material() -> None:
    """It cites five, of which two are of the accession."""
    here = register.accession("LMN-1")
    ours = [register.specimen(accession=here) for _ in range(2)]
    theirs = [register.specimen(accession=register.accession(f"LMN-{n}")) for n in (2, 3, 4)]
    made_use(*ours, *theirs, deed="publication", doi="10.1234/abc", citation="Ek 2026, Caddisflies")
    (entry,) = trail(of_accession(here))
    assert entry.count == 2


def test_order_both_ways_and_declined_among_them() -> None:
    specimen = register.specimen()
    early, late = made_use(specimen, on=date(2020, 1, 1)), made_use(specimen, on=date(2026, 1, 1))
    decision = declined(specimen, on=date(2023, 5, 5))
    newest = trail(of_specimen(specimen))
    assert [(one.on, one.kind) for one in newest] == [
        (date(2026, 1, 1), "use"), (date(2023, 5, 5), "declined"), (date(2020, 1, 1), "use"),
    ]  # fmt: skip
    assert (newest[0].made, newest[1].decision, newest[2].made) == (late, decision, early)
    assert [one.on for one in trail(of_specimen(specimen), oldest=True)] == [one.on for one in reversed(newest)]
    assert years_of(of_specimen(specimen)) == [2026, 2023, 2020]


def declined(*specimens: Specimen, on: date, **values: Any) -> RequestDecision:
    request = use_request(specimens=specimens)
    made = RequestDecision.objects.create(
        request=request, is_approved=False, answer=Answer.NOT_ALLOWED, reason="Too few are left.",
        decided_by=register.person(), **values,
    )  # fmt: skip
    at = timezone.make_aware(datetime(on.year, on.month, on.day, 12))
    RequestDecision.objects.filter(pk=made.pk).update(decided_at=at)
    request.items.update(decision=made)
    return made


def test_declined_decisions_that_were_withdrawn_or_let_it_go_are_none() -> None:
    specimen = register.specimen()
    person = register.person()
    declined(specimen, on=date(2023, 5, 5), withdrawn_at=timezone.now(), withdrawn_by=person)
    request = use_request(specimens=[specimen])
    may_go = RequestDecision.objects.create(request=request, is_approved=True, answer=0, decided_by=person)
    request.items.update(decision=may_go)
    assert trail(of_specimen(specimen)) == []


def test_narrowed_by_deed_year_outside_and_voided() -> None:
    specimen, person = register.specimen(), register.person()
    study = made_use(specimen, deed="study", on=date(2024, 1, 1))
    outside = made_use(specimen, deed="imaging", on=date(2025, 1, 1))
    outside.items.update(answer=int(Answer.NOT_ALLOWED), is_outside=True)
    voided = made_use(
        specimen, deed="loss", on=date(2024, 2, 2), voided_at=timezone.now(), voided_by=person, voided_why="Found."
    )
    declined(specimen, on=date(2024, 5, 5))
    material = of_specimen(specimen)
    assert len(trail(material)) == 3
    assert made_of(material, deed="study") == [study]
    assert [one.kind for one in trail(material, deed=DECLINED)] == ["declined"]
    assert [one.on for one in trail(material, year="2024")] == [date(2024, 5, 5), date(2024, 1, 1)]
    assert made_of(material, outside=True) == [outside]
    assert made_of(material, voided=True) == [outside, voided, study]


def test_what_an_entry_says() -> None:
    """A loan of five, of which one is another's: of four here two are out, one is back, one was kept."""
    here = register.accession("LMN-1")
    ours = [register.specimen(accession=here) for _ in range(4)]
    theirs = register.specimen(accession=register.accession("LMN-2"))
    paper, other = register.paper("ABS-2"), register.paper("COL-1")
    loan = judged(made_use(*ours, theirs), Answer.ALLOWED, [reason(paper)])
    items = list(loan.items.order_by("pk"))
    UseItem.objects.filter(pk=items[0].pk).update(
        answer=int(Answer.NOT_ALLOWED), reasons=[reason(other, Answer.NOT_ALLOWED, clause_number="4")], is_outside=True
    )
    back = LoanReturn.objects.create(use=loan, on=date(2026, 5, 1), recorded_by=register.person())
    UseItem.objects.filter(pk=items[1].pk).update(returned=back)
    made_use(ours[2], deed="retention", parent=loan, on=date(2026, 6, 1))
    Remedy.objects.create(use=loan, what="Tell them.", opened_by=register.person())
    (entry,) = trail(of_accession(here), deed="loan")
    assert entry.loan is not None
    assert (entry.count, entry.loan.out, entry.loan.back, entry.loan.away) == (4, 2, 1, 1)
    assert [(one.sign.answer, one.standing, one.count) for one in entry.said] == [
        (Answer.NOT_ALLOWED, "outside", 1), (Answer.ALLOWED, "within", 3),
    ]  # fmt: skip
    assert [(read.reference, read.numbers, read.hidden) for read in entry.papers] == [
        ("COL-1", ["4"], ""), ("ABS-2", ["7.2"], ""),
    ]  # fmt: skip
    assert (entry.remedies, entry.is_outside) == (1, True)


def test_what_came_home_is_back_from_the_second_borrower_too() -> None:
    specimen = register.specimen()
    loan = made_use(specimen)
    made_use(specimen, deed="onward-loan", parent=loan, on=date(2026, 4, 1))
    back = LoanReturn.objects.create(use=loan, on=date(2026, 5, 1), recorded_by=register.person())
    loan.items.update(returned=back)
    for entry in trail(of_specimen(specimen)):
        assert entry.loan is not None
        assert (entry.loan.out, entry.loan.back, entry.loan.away) == (0, 1, 0)


def test_sequences_of_this_material_alone_and_the_first_of_many() -> None:
    ours, theirs = register.specimen(), register.specimen()
    made = made_use(ours, theirs, deed="sequencing")
    for item in made.items.all():
        for n in range(8):
            start = "OR" if item.specimen_id == ours.pk else "MZ"
            Sequence.objects.create(item=item, accession_number=f"{start}12345{n}")
    (entry,) = trail(of_specimen(ours))
    assert entry.sequences == tuple(f"OR12345{n}" for n in range(6))
    assert entry.more_sequences == 2


# The sentence ---------------------------------------------------------------------------------------------------------


def test_the_sentence() -> None:
    """Of 12: eight sequenced; five lent, of which three are out; two of these lost, one cited: ten have a use.

    Keys 0 to 7 sequenced, 5 to 9 lent, 8 and 9 back; 4 and 0 lost: used are 0 to 9, out are 5, 6, 7.
    """
    here = register.accession("LMN-1")
    rows = [register.specimen(accession=here) for _ in range(12)]
    made_use(*rows[:8], deed="sequencing")
    loan = made_use(*rows[5:10])
    back = LoanReturn.objects.create(use=loan, on=date(2026, 5, 1), recorded_by=register.person())
    loan.items.filter(specimen__in=rows[8:10]).update(returned=back)
    made_use(rows[4], rows[0], deed="loss")
    made_use(rows[0], rows[1], deed="publication", doi="10.1234/abc")
    made_use(rows[11], deed="study", voided_at=timezone.now(), voided_by=register.person(), voided_why="Wrong box.")
    counts = trail_counts(of_accession(here))
    assert head_words(counts) == "10 of 12 specimens were used."
    assert counts.parts == "8 sequenced, 1 publication, 5 lent, 3 out on loan, 2 lost or damaged"
    text = client_of().get(reverse("usedesk:trail-accession", args=[here.pk])).content.decode()
    assert "10 of 12 specimens were used." in text


def test_loans_that_are_all_out_are_told_once() -> None:
    specimen = register.specimen()
    made_use(specimen)
    assert trail_counts(of_specimen(specimen)).parts == "1 out on loan"


@pytest.mark.parametrize(
    ("total", "used", "words"),
    [
        (1, 0, "No use of it is recorded."), (1, 1, "It was used."), (2640, 60, "60 of 2,640 specimens were used."),
        (3, 1, "1 of 3 specimens was used."), (3, 0, "No use of these 3 specimens is recorded."),
        (None, 1, "1 specimen went there."), (None, 1200, "1,200 specimens went there."),
    ],
)  # fmt: skip
def test_the_words_of_the_numbers(total: int | None, used: int, words: str) -> None:
    assert head_words(TrailCounts(total, used, {}, 0, 0, 0, 0)) == words


def test_nothing_recorded_does_not_show_that_nothing_was_made() -> None:
    accession = register.accession("LMN-9")
    text = client_of().get(reverse("usedesk:trail-accession", args=[accession.pk])).content.decode()
    assert "No use of these 0 specimens is recorded." in text
    assert "does not show that none was made" in text


# Pages and files ------------------------------------------------------------------------------------------------------


def everything() -> dict[str, Any]:
    """A specimen of a site with an owner, lent under a paper that only registrars read."""
    site, owner = register.site("GE-NAZ-1"), register.agent("Owner")
    SiteTenure.objects.create(site=site, agent=owner)
    specimen = register.specimen("LMN-FW-1", event=register.event(site=site))
    paper = register.paper("ABS-2")
    made = judged(made_use(specimen, reference="L-7"), Answer.ALLOWED, [reason(paper)])
    return {
        "specimen": specimen.pk, "accession": specimen.accession_id, "site": site.pk, "agent": owner.pk,
        "country": "GE", "paper": paper, "made": made,
    }  # fmt: skip


KINDS = ("specimen", "accession", "site", "agent", "country")


@pytest.mark.parametrize("kind", KINDS)
def test_clauses_are_for_readers_of_the_paper_and_the_answer_for_all(kind: str) -> None:
    rows = everything()
    kept = [reason(rows["paper"], Answer.NOT_ALLOWED, clause="Otter and heron stay.", clause_number="7.2")]
    declined(Specimen.objects.get(pk=rows["specimen"]), on=date(2023, 5, 5), reasons=kept)
    restrict(paper=rows["paper"], roles=[Role.REGISTRAR], by=register.person(Role.REGISTRAR), why="asked for")
    address = reverse(f"usedesk:trail-{kind}", args=[rows[kind]])
    read = client_of(Role.REGISTRAR).get(address).content.decode()
    assert "Otter and heron may be lent." in read and "Otter and heron stay." in read and "clause 7.2" in read
    hidden = client_of(Role.CURATOR).get(address).content.decode()
    assert "L-7" in hidden and "ABS-2" in hidden and "Allowed" in hidden and "Restricted: open to registrars" in hidden
    assert "Otter" not in hidden and "7.2" not in hidden
    for query in ("", "?rows=specimens"):
        file = b"".join(client_of(Role.CURATOR).get(f"{address}export.csv{query}")).decode()  # type: ignore[call-overload]
        assert "ABS-2" in file and "Otter" not in file and "7.2" not in file


@pytest.mark.parametrize("kind", KINDS)
def test_the_files(kind: str) -> None:
    rows = everything()
    declined(Specimen.objects.get(pk=rows["specimen"]), on=date(2023, 5, 5))
    address = reverse(f"usedesk:trail-{kind}-csv", args=[rows[kind]])
    by_entry, by_specimen = file_of(address), file_of(f"{address}?rows=specimens")
    assert [(row["on"], row["what"], row["specimens of this material"]) for row in by_entry] == [
        ("2026-03-02", "Lent", "1"), ("2023-05-05", "Asked for and declined", "1"),
    ]  # fmt: skip
    assert (by_entry[0]["clauses"], by_entry[0]["still out"]) == ("ABS-2: 7.2", "1")
    assert [(row["catalogue number"], row["what"], row["where it is"]) for row in by_specimen] == [
        ("LMN-FW-1", "Lent", "Out"), ("LMN-FW-1", "Asked for and declined", ""),
    ]  # fmt: skip


def file_of(address: str) -> list[dict[str, str]]:
    text = b"".join(client_of().get(address)).decode("utf-8-sig")  # type: ignore[call-overload]
    return list(csv.DictReader(io.StringIO(text)))


@pytest.mark.parametrize(("count", "uses"), [(1, 1), (12, 9)])
def test_queries_do_not_grow(count: int, uses: int, django_assert_num_queries: Any) -> None:
    """Session and person; see the lists of ``read_entries`` and ``trail_counts``."""
    accession = register.accession("LMN-1")
    rows = [register.specimen(accession=accession) for _ in range(count)]
    papers = [register.paper(f"P-{n}") for n in range(count)]
    for n in range(uses):
        made = made_use(*rows, on=date(2026, 1, 1 + n), recipient=recipient(), request=use_request())
        for item, paper in zip(made.items.all(), papers, strict=True):
            UseItem.objects.filter(pk=item.pk).update(answer=0, reasons=[reason(paper)])
        declined(*rows, on=date(2025, 1, 1 + n))
    client, address = client_of(), reverse("usedesk:trail-accession", args=[accession.pk])
    with django_assert_num_queries(PAGE_QUERIES):
        assert client.get(address).status_code == 200


PAGE_QUERIES = 27
"""Session, person, row, 2 what was taken, 2 walks, 2 years, count, page, 5 numbers with the total, 11 of the lines."""


def test_a_country_that_is_none_and_rows_that_are_none() -> None:
    client = client_of()
    assert client.get(reverse("usedesk:trail-country", args=["QQ"])).status_code == 404
    for kind in KINDS[:4]:
        assert client.get(reverse(f"usedesk:trail-{kind}", args=[10**9])).status_code == 404
    specimen = register.specimen()
    odd = reverse("usedesk:trail-specimen", args=[specimen.pk]) + "?deed=nonsense&year=x&order=y&page=z"
    assert client.get(odd).status_code == 200


def test_a_child_leads_to_its_parent_and_a_pool_to_its_members() -> None:
    parent, client = register.specimen("LMN-A"), client_of()
    child, pool = register.specimen("LMN-B", parent=parent, kind="part"), register.specimen("LMN-P")
    PoolMember.objects.create(pool=pool, member=child)
    text = client.get(reverse("usedesk:trail-specimen", args=[child.pk])).content.decode()
    assert reverse("usedesk:trail-specimen", args=[parent.pk]) in text
    text = client.get(reverse("usedesk:trail-specimen", args=[pool.pk])).content.decode()
    assert reverse("usedesk:trail-specimen", args=[child.pk]) in text


@pytest.mark.parametrize(("words", "kind"), [
    ("lmn-fw-1", "specimen"), ("LMN-2024", "accession"), ("naz", "site"), ("own", "agent"), ("georg", "country"),
])  # fmt: skip
def test_choosing_of_what(words: str, kind: str) -> None:
    rows = everything()
    text = client_of().get(reverse("usedesk:what-became"), {"q": words}).content.decode()
    assert reverse(f"usedesk:trail-{kind}", args=[rows[kind]]) in text


def test_choosing_finds_nothing() -> None:
    text = client_of().get(reverse("usedesk:what-became"), {"q": "<b>zz"}).content.decode()
    assert "Nothing on file is called" in text and "<b>zz" not in text


@pytest.mark.parametrize(("name", "key"), [
    ("verdicts:specimen", "specimen"), ("material:accession", "accession"), ("sites:site", "site"),
    ("people:agent", "agent"),
])  # fmt: skip
def test_the_panel_on_other_pages(name: str, key: str) -> None:
    rows = everything()
    text = client_of().get(reverse(name, args=[rows[key]])).content.decode()
    assert "What became of " in text and "2 Mar 2026" in text
    assert reverse(f"usedesk:trail-{key}", args=[rows[key]]) in text


@pytest.mark.parametrize("has_sheet", [True, False])
def test_the_panel_of_a_country(has_sheet: bool) -> None:
    everything()
    address = reverse("verdicts:country", args=[register.sheet("GE").pk]) if has_sheet else None
    address = address or reverse("verdicts:country-without-sheet", args=["GE"])
    assert reverse("usedesk:trail-country", args=["GE"]) in client_of().get(address).content.decode()
