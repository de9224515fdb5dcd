"""The pages of accessions and single specimens through the client, with verdicts and papers on them."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client
from django.urls import reverse

from accessions.material.actions.accessions import change_accession
from accessions.material.models import Accession, Specimen, Touch
from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.papers.models import Paper, PaperLink
from governance.verdicts.actions import assess
from governance.verdicts.actions.accession_papers import cover_parts
from governance.verdicts.queries.accession_papers import WHOLE
from governance.verdicts.queries.accession_verdicts import accession_verdicts, distribution, listed_verdicts
from tests.factories import register, scans

pytestmark = pytest.mark.django_db


def client_of(role: str = Role.CURATOR) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def text_of(client: Client, name: str, *args: object, **query: str) -> str:
    answer = client.get(reverse(name, args=args), query)
    assert answer.status_code == 200, answer
    return " ".join(answer.content.decode().split())


def only_export_is_required() -> None:
    everywhere = register.sheet("")
    for layer in Layer:
        register.rule(everywhere, layer=layer, required=layer == Layer.EXPORT)


def standing(target: object) -> list[str]:
    links = PaperLink.objects.filter(unlinked_at__isnull=True)
    kind = "accession" if isinstance(target, Accession) else "part"
    return list(links.filter(**{kind: target}).values_list("paper__reference", flat=True))


def test_a_bar_has_the_shares_of_the_verdicts() -> None:
    """Three of four are 75 %, and the next bar begins where they end."""
    bar = distribution({int(Verdict.COVERED): 3, int(Verdict.OUTSIDE): 1})
    assert [(share.cell.verdict, share.first, share.width) for share in bar.shares] == [
        (Verdict.COVERED, 0, 75),
        (Verdict.OUTSIDE, 75, 25),
    ]
    assert bar.words == "Covered: 3, Outside terms: 1"
    assert distribution({}).checked == 0


def test_an_accession_tells_what_needs_a_look() -> None:
    """Only export is required, and no paper is on file: two specimens miss it, eight layers are not required."""
    only_export_is_required()
    accession = register.accession(title="Nazvri")
    part = register.part(accession, "A")
    register.specimen("S-1", accession=accession, part=part)
    register.specimen("S-2", accession=accession)
    assess(by=register.person(Role.COMPLIANCE), why="first")
    verdicts = accession_verdicts(accession)
    assert verdicts.counts[Layer.EXPORT] == {Verdict.MISSING: 2}
    assert verdicts.counts[Layer.LAND] == {Verdict.NOT_REQUIRED: 2}
    assert verdicts.open_layers == [(Layer.EXPORT, 2)]
    page = text_of(client_of(Role.AUDITOR), "material:accession", accession.pk)
    assert "0 papers, 1 part, 2 specimens." in page
    assert "Needs a look: Export for 2." in page
    assert f"?accession={accession.number}&amp;layer=export&amp;verdict=missing" in page


def test_specimens_that_were_not_checked_are_told() -> None:
    accession = register.accession()
    register.specimen(accession=accession)
    assert "None was checked yet." in text_of(client_of(), "material:accession", accession.pk)


def test_material_in_quarantine_is_told_until_it_is_out() -> None:
    accession = register.accession()
    delivery = register.delivery(accession, quarantine_in_on=date(2024, 7, 12))
    client = client_of(Role.AUDITOR)
    words = "Delivery 1 is in quarantine since 12 July 2024."
    assert words in text_of(client, "material:accession", accession.pk)
    assert "LMN-2024-038" in text_of(client, "material:accessions", quarantine="on")
    delivery.quarantine_out_on = date(2024, 7, 18)
    delivery.save()
    assert words not in text_of(client, "material:accession", accession.pk)
    assert "LMN-2024-038" not in text_of(client, "material:accessions", quarantine="on")


@pytest.mark.parametrize("number", [1, 8])
def test_one_accession_costs_the_same_whatever_it_holds(number: int, django_assert_num_queries: object) -> None:
    accession = register.accession()
    for n in range(number):
        part = register.part(accession, str(n))
        register.delivery(accession, n + 1)
        specimen = register.specimen(f"S-{n}", accession=accession, part=part)
        register.link(register.paper(f"P-{n}"), part=part)
        register.link(register.paper(f"Q-{n}"), specimen=specimen)
        scans.filing(scans.scan(f"letter {n}".encode(), stored=False), accession=accession)
    assess(by=register.person(Role.COMPLIANCE), why="first")
    client = client_of(Role.AUDITOR)
    with django_assert_num_queries(28):  # type: ignore[operator]
        client.get(reverse("material:accession", args=[accession.pk]))


@pytest.mark.parametrize("number", [1, 8])
def test_the_list_costs_the_same_whatever_its_length(number: int, django_assert_num_queries: object) -> None:
    """Session, person, years, all, count, page, standings, links of accessions, parts, specimens, events."""
    for n in range(number):
        register.specimen(f"S-{n}", accession=register.accession(f"LMN-{n}", received_on=date(2020 + n, 1, 1)))
    assess(by=register.person(Role.COMPLIANCE), why="first")
    client = client_of(Role.AUDITOR)
    with django_assert_num_queries(11):  # type: ignore[operator]
        client.get(reverse("material:accessions"))


def test_the_list_counts_papers_as_the_page_of_the_accession_does() -> None:
    """One each of the whole, a part, an event and a specimen; one of them twice, and one of another accession."""
    accession = register.accession("LMN-1")
    part, event = register.part(accession), register.event()
    specimen = register.specimen("A-1", accession=accession, part=part, event=event)
    register.specimen("A-2", accession=accession, event=event)
    targets: dict[str, Any] = {"accession": accession, "part": part, "event": event, "specimen": specimen}
    for n, (way, target) in enumerate(targets.items()):
        register.link(register.paper(f"P-{n}"), **{way: target})
    register.link(Paper.objects.get(reference="P-0"), part=part)
    register.link(register.paper("Q-1"), accession=register.accession("LMN-2"))
    client = client_of(Role.AUDITOR)
    assert "4 papers, 1 part, 2 specimens." in text_of(client, "material:accession", accession.pk)
    listed = listed_verdicts(client.get(reverse("material:accessions")).context["page"].object_list)
    assert listed[accession.pk].papers == 4


def test_the_list_is_narrowed_and_ordered() -> None:
    only_export_is_required()
    old = register.accession("LMN-1", title="Old gift", kind="gift", received_on=date(1990, 1, 1))
    register.accession("LMN-2", received_on=date(2020, 1, 1))
    register.specimen(accession=old)
    assess(by=register.person(Role.COMPLIANCE), why="first")
    client = client_of(Role.AUDITOR)

    def shown(**query: str) -> list[str]:
        page = text_of(client, "material:accessions", **query)
        return sorted((n for n in ("LMN-1", "LMN-2") if f">{n}<" in page), key=lambda n: page.index(f">{n}<"))

    assert shown() == ["LMN-2", "LMN-1"]  # received last first
    assert shown(sort="received") == ["LMN-1", "LMN-2"]
    assert shown(sort="nonsense") == ["LMN-1", "LMN-2"]
    assert shown(q="old g") == ["LMN-1"]
    assert shown(kind="gift") == ["LMN-1"]
    assert shown(year="2020") == ["LMN-2"]
    assert shown(year="nonsense") == ["LMN-2", "LMN-1"]
    assert shown(verdict="5") == ["LMN-1"]
    assert shown(verdict="4") == []


def test_the_list_is_exported() -> None:
    register.specimen(accession=register.accession("LMN-1", title="Gift", received_on=date(1990, 1, 1)))
    answer = client_of(Role.AUDITOR).get(reverse("material:accessions-export"))
    lines = answer.getvalue().decode("utf-8-sig").splitlines()
    assert lines[1] == "LMN-1,Gift,unknown,,1990-01-01,,1,,actual,no"


def test_ticks_link_and_take_off_papers() -> None:
    accession = register.accession()
    part = register.part(accession, "A")
    land, collecting = register.paper("LND-1"), register.paper("COL-1")
    register.link(land, part=part)
    saved = cover_parts(
        accession, ticked=[(collecting.pk, WHOLE)], were_ticked=[(land.pk, part.pk)], by=register.person(), why="deed"
    )
    assert saved.linked == (("COL-1", ""),)
    assert saved.unlinked == (("LND-1", "A"),)
    assert (standing(accession), standing(part)) == (["COL-1"], [])
    ended = PaperLink.objects.get(paper=land)
    assert ended.unlinked_by == register.person() and ended.unlinked_at is not None
    assert set(Touch.objects.values_list("scope", "key")) == {("paper", land.pk), ("paper", collecting.pk)}


def test_what_somebody_else_linked_meanwhile_stays() -> None:
    accession = register.accession()
    part, paper = register.part(accession, "A"), register.paper("LND-1")
    register.link(paper, part=part)  # after the page was read: it was not ticked there
    cover_parts(accession, ticked=[], were_ticked=[], by=register.person(), why="x")
    assert standing(part) == ["LND-1"]


def test_boxes_of_another_accession_are_passed_over() -> None:
    accession, other = register.accession("LMN-1"), register.accession("LMN-2")
    stranger, paper = register.part(other, "A"), register.paper("LND-1")
    saved = cover_parts(
        accession, ticked=[(paper.pk, stranger.pk), (10**9, WHOLE)], were_ticked=[], by=register.person(), why="x"
    )
    assert (saved.linked, standing(stranger)) == ((), [])


def test_a_volunteer_links_nothing() -> None:
    with pytest.raises(PermissionDenied):
        cover_parts(register.accession(), ticked=[], were_ticked=[], by=register.person(Role.VOLUNTEER), why="x")


def test_the_matrix_is_saved_and_says_what_changed() -> None:
    client, accession = client_of(), register.accession()
    part, paper = register.part(accession, "A"), register.paper("LND-1")
    register.paper("COL-9")
    address = reverse("verdicts:accession-papers", args=[accession.pk])
    posted = {"box": [f"{paper.pk}:{part.pk}", "x:y", ""], "reference": "col-9", "reference_for": "0"}
    told = client.post(address, posted, follow=True).content.decode()
    assert "COL-9 for the whole accession" in told and "LND-1 for part A" in told
    unticked = client.post(address, {"was": f"{paper.pk}:{part.pk}"}, follow=True).content.decode()
    assert "Taken off: LND-1 for part A." in unticked
    nothing = client.post(address, {"reference": "NONE-1"}, follow=True).content.decode()
    assert "No paper has the reference “NONE-1”. Nothing was saved." in nothing


def test_an_accession_is_entered_and_a_taken_number_is_told() -> None:
    client = client_of()
    fields = {"number": "LMN-1", "kind": "gift", "total_kind": "actual"}
    assert client.post(reverse("material:accession-new"), fields).status_code == 302
    assert Accession.objects.get().history.get().history_user == register.person()
    told = client.post(reverse("material:accession-new"), fields).content.decode()
    assert "Nothing was saved yet" in told and "already exists" in told


def test_specimens_move_after_the_question() -> None:
    client, accession = client_of(), register.accession()
    part, event = register.part(accession, "A"), register.event("NAZ-1")
    specimen = register.specimen("S-1", accession=accession, event=event)
    address = reverse("material:specimens-move", args=[accession.pk])
    chosen = {"target": str(part.pk), "events": [str(event.pk)], "why": "by site"}
    assert "1 specimen is chosen." in client.post(address, chosen).content.decode()
    specimen.refresh_from_db()
    assert specimen.part is None
    client.post(address, chosen | {"confirmed": "1"})
    specimen.refresh_from_db()
    assert specimen.part == part


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({}, "Choose events, or give a first and a last number."),
        ({"first": "A-1", "last": "B-2"}, "begin or end differently"),
        ({"first": "A", "last": "B"}, "need digits"),
        ({"first": "A-2", "last": "A-1"}, "below the first"),
    ],
)
def test_a_choice_of_specimens_that_is_none_is_told(given: dict[str, str], words: str) -> None:
    accession = register.accession()
    address = reverse("material:specimens-move", args=[accession.pk])
    assert words in client_of().post(address, {"target": "0", "why": "x", **given}).content.decode()


def test_a_written_day_of_a_delivery_must_be_readable() -> None:
    accession = register.accession()
    address = reverse("material:delivery-new", args=[accession.pk])
    client = client_of()
    assert (
        "cannot be read as a date" in client.post(address, {"number": "1", "exported_on": "last June"}).content.decode()
    )
    assert client.post(address, {"number": "1", "exported_on": "2024-06"}).status_code == 302


def test_a_label_is_typed_and_the_next_one_starts_with_its_event() -> None:
    client, accession = client_of(Role.VOLUNTEER), register.accession()
    address = reverse("material:label-new", args=[accession.pk])
    label = {"catalog_number": "S-1", "kind": "specimen", "eventDate": "2024-06-17", "recordedBy": "J. Ek"}
    assert client.post(address, label).status_code == 302
    page = text_of(client, "material:label-new", accession.pk)
    assert "copied from S-1" in page
    assert 'value="2024-06-17"' in page and 'value="J. Ek"' in page
    assert 'value="S-1"' not in page  # a number is never copied
    entered = Specimen.objects.get(catalog_number="S-1")
    link = reverse("material:specimen-edit", args=[entered.pk])
    assert f'<a href="{link}">S-1</a> was entered.' in page  # what was typed may want correcting at once
    told = client.post(address, label).content.decode()
    assert "Another specimen has this catalogue number." in told


def test_a_leg_takes_over_the_event_of_its_wasp() -> None:
    client, accession = client_of(), register.accession()
    register.specimen("S-1", accession=accession, event=register.event("NAZ-1"))
    page = text_of(client, "material:label-new", accession.pk, **{"from": "S-1"})
    assert 'value="S-1"' in page and 'value="2024-06-17"' in page
    address = reverse("material:label-new", args=[accession.pk])
    told = client.post(address, {"catalog_number": "S-1-L", "kind": "part"}).content.decode()
    assert "which specimen this part was taken from" in told
    client.post(address, {"catalog_number": "S-1-L", "kind": "part", "taken_from": "S-1"})
    assert Specimen.objects.get(catalog_number="S-1-L").parent == Specimen.objects.get(catalog_number="S-1")
    told = client.post(address, {"catalog_number": "S-2", "kind": "part", "taken_from": "S-99"}).content.decode()
    assert "No specimen has the number “S-99”" in told


def test_facts_of_a_specimen_are_changed_with_a_reason() -> None:
    client, specimen = client_of(), register.specimen("S-1", individual_count="1")
    address = reverse("material:specimen-edit", args=[specimen.pk])
    fields = {"catalog_number": "S-1", "kind": "specimen", "individual_count": "3"}
    assert "This field is required" in client.post(address, fields).content.decode()
    assert client.post(address, fields | {"why": "counted again"}).status_code == 302
    specimen.refresh_from_db()
    assert (specimen.count_low, specimen.count_high) == (3, 3)


def test_the_event_is_changed_for_all_and_odd_facts_are_told() -> None:
    client = client_of()
    accession, event = register.accession(received_on=date(2024, 6, 28)), register.event("NAZ-1")
    one, other = (register.specimen(f"S-{n}", accession=accession, event=event) for n in (1, 2))
    page = text_of(client, "material:specimen-event", one.pk)
    assert "1 other specimen shares this event." in page
    fields = {"eventID": "NAZ-1", "eventDate": "2024-07-01", "everyone": "all", "why": "field book"}
    told = client.post(reverse("material:specimen-event", args=[one.pk]), fields, follow=True).content.decode()
    assert "The event of 2 specimens was changed." in told
    assert "after the accession was received on 28 June 2024" in told
    other.refresh_from_db()
    assert other.event.earliest_on == date(2024, 7, 1)


def test_a_new_name_is_entered_on_its_page() -> None:
    client, specimen = client_of(), register.specimen("S-1")
    address = reverse("material:specimen-determine", args=[specimen.pk])
    assert "Write the name" in client.post(address, {"why": "x"}).content.decode()
    fields = {"scientificName": "Calopteryx virgo", "identified_by": "N. G.", "why": "genitalia"}
    assert "Now determined as Calopteryx virgo" in client.post(address, fields, follow=True).content.decode()
    assert specimen.determinations.count() == 2


def test_a_specimen_that_is_not_there_is_not_found() -> None:
    assert client_of().get(reverse("material:specimen-edit", args=[10**9])).status_code == 404


def test_words_of_the_accession_are_offered_while_typing() -> None:
    accession = register.accession()
    register.specimen(accession=accession, sex="female")
    page = text_of(client_of(Role.VOLUNTEER), "material:label-new", accession.pk)
    assert '<datalist id="words-sex"><option value="female"></option></datalist>' in page
    assert '<option value="hand net"></option>' in page


def test_the_history_tells_what_stood_before() -> None:
    accession = register.accession(title="Old title")
    change_accession(accession, by=register.person(), why="typo in the book", title="New title")
    page = text_of(client_of(Role.AUDITOR), "material:accession", accession.pk)
    assert "Accession LMN-2024-038 changed" in page and "typo in the book" in page
    assert "<del>Old title</del>" in page and "<ins>New title</ins>" in page


def test_links_that_ended_are_told_with_both_days() -> None:
    accession, paper = register.accession(), register.paper("LND-1")
    register.link(paper, by=register.person(), accession=accession)
    cover_parts(accession, ticked=[], were_ticked=[(paper.pk, WHOLE)], by=register.person(), why="withdrawn")
    page = text_of(client_of(Role.AUDITOR), "material:accession", accession.pk)
    assert "No paper is linked to this accession." in page
    assert "taken off" in page and "withdrawn" in page


@pytest.mark.parametrize("page", ["0", "-1", "99", "x", "1" * 40])
def test_a_page_that_makes_no_sense_shows_the_nearest(page: str) -> None:
    register.accession("LMN-1")
    assert "1 to 1 of 1" in text_of(client_of(Role.AUDITOR), "material:accessions", page=page, size="7")


def test_the_summary_for_print_names_what_each_paper_speaks_for() -> None:
    accession = register.accession()
    part, other = register.part(accession, "A"), register.part(accession, "B")
    paper = register.paper("LND-1")
    register.link(paper, part=part)
    register.link(paper, part=other)
    page = text_of(client_of(Role.AUDITOR), "material:accession-summary", accession.pk)
    assert "<td>part A, part B</td>" in page
