"""The field pack: what it says first, what it says of each stop, what it never says, and its file."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

import docx
import pytest
from django.test import Client
from django.urls import reverse
from docx.oxml.ns import qn

from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.papers.models import PaperScan, PaperVersion
from governance.papers.printed.blocks import Alert, Cell, Facts, PageCopy, Para, Printed, Section, Table, Ticks
from governance.plans.actions.versions import keep_version
from governance.plans.models import PlanLanguage, PlanNotice, PlanPaper, PlanSignOff
from governance.plans.pack import copies
from governance.plans.pack.contents import make_pack
from governance.plans.pack.docx_file import docx_file
from governance.plans.pack.language import language
from governance.plans.pack.sources import InForce
from governance.plans.queries.check import check_plan
from tests.factories import packs, plans, register, scans
from tests.factories.packs import TODAY, Trip

pytestmark = pytest.mark.django_db
SEALED = re.compile(r"Zz(?:issuer|remarks|place|person|method|taxon|condition|scan)")
"""The words of ``packs``, whole: the token of a form may begin by chance as they do."""


@pytest.fixture
def trip() -> Trip:
    return packs.trip()


def pack_of(trip: Trip, role: str = Role.CURATOR, **choices: Any) -> Printed:
    return make_pack(check_plan(trip.plan, today=TODAY), reader=register.person(role), **choices)


def sections(of: Printed | Section) -> Iterator[Section]:
    for section in of.sections:
        yield section
        yield from sections(section)


def section(pack: Printed, title: str) -> Section:
    return next(one for one in sections(pack) if one.title.startswith(title))


def words(of: Any) -> str:
    """All that a section says, without those below it for a single block."""
    if isinstance(of, Printed):
        return "\n".join([of.title, of.footer, *(words(one) for one in of.sections)])
    if isinstance(of, Section):
        return "\n".join([of.title, *map(words, of.blocks), *map(words, of.sections)])
    if isinstance(of, Para):
        return line(of.line)
    if isinstance(of, Alert):
        return "\n".join([of.title, *map(line, of.lines)])
    if isinstance(of, Ticks):
        return "\n".join(map(line, of.lines))
    if isinstance(of, Facts):
        return "\n".join(f"{name}: {' / '.join(map(line, lines))}" for name, lines in of.rows)
    if isinstance(of, Table):
        return "\n".join([" | ".join(of.head), *(" | ".join(map(words, row)) for row in of.rows)])
    if isinstance(of, Cell):
        return " / ".join(map(line, of.lines))
    return getattr(of, "caption", getattr(of, "alt", ""))


def line(runs: Any) -> str:
    return "".join(run.text for run in runs)


def document(pack: Printed) -> Any:
    made = docx_file(pack, dict.fromkeys(pages_of(pack)), made_at=datetime(2026, 11, 26, 12))
    return docx.Document(io.BytesIO(made))


def pages_of(pack: Printed) -> list[PageCopy]:
    return [block for one in pack.sections for block in one.blocks if isinstance(block, PageCopy)]


def text_of_file(data: bytes) -> str:
    """Every part of the file as text."""
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return "\n".join(packed.read(name).decode("utf-8", "replace") for name in packed.namelist())


# What is said first


def test_the_cover_says_what_must_not_be_done_before_anything_is_calm(trip: Trip) -> None:
    """No land sheet of Georgia exists in the test, so a layer cannot be told: never shown as fine."""
    first = pack_of(trip).sections[0]
    state = first.sections[0]
    assert isinstance(state.blocks[0], Alert)
    told = words(state)
    assert "Stops with something to settle: 1 of 1." in told
    assert "Stop 1, At the weir (3 June 2027 to 5 June 2027). Do not collect here before this is settled." in told
    assert "Cannot tell" in told
    assert "Every layer of every stop in this pack is covered" not in words(first)


def test_a_stop_begins_with_its_warning(trip: Trip) -> None:
    sheet = section(pack_of(trip), "Stop 1.")
    assert isinstance(sheet.blocks[0], Alert)
    assert sheet.blocks[0].title.startswith("Do not collect here before this is settled.")
    assert sheet.new_page


def test_a_calm_stop_has_no_warning(trip: Trip) -> None:
    """Decisions that nothing is required leave a stop calm; then the pack says so, and only then."""
    for layer in Layer:
        trip.plan.decisions.create(layer=layer, reason="private land", evidence="letter", decided_by=trip.curator)
    pack = pack_of(trip)
    assert "Do not collect here" not in words(pack)
    assert "Every layer of every stop in this pack is covered or not required." in words(pack.sections[0])


def test_only_a_border_that_is_not_settled_forbids_sending_not_collecting(trip: Trip) -> None:
    for layer in Layer:
        if layer < Layer.EXPORT:
            trip.plan.decisions.create(layer=layer, reason="private land", evidence="letter", decided_by=trip.curator)
    told = words(pack_of(trip).sections[0])
    assert "Do not send or carry material from here across a border before this is settled." in told
    assert "Do not collect here" not in told


def test_the_cover_names_version_and_sign_off(trip: Trip) -> None:
    version = keep_version(trip.plan, by=trip.curator, why="planned")
    assert "Made on 26 November 2026 from version 1 of the plan." in words(pack_of(trip).sections[0])
    assert "This plan has not been signed off." in words(pack_of(trip).sections[0])
    officer = register.person(Role.COMPLIANCE)
    PlanSignOff.objects.create(version=version, signed_by=officer, remark="Export is still open.")
    assert "Version 1 was signed off on" in words(pack_of(trip).sections[0])
    assert "Export is still open." in words(pack_of(trip).sections[0])
    plans.stop(trip.plan, name="Another stop")
    keep_version(trip.plan, by=trip.curator, why="one more")
    assert "The plan has changed since" in words(pack_of(trip).sections[0])


def test_a_closed_plan_says_so_before_everything(trip: Trip) -> None:
    trip.plan.closed_at, trip.plan.closed_by, trip.plan.closed_why = "2026-11-20T12:00:00Z", trip.curator, "given up"
    trip.plan.save()
    trip.plan.refresh_from_db()
    first = pack_of(trip).sections[0].blocks[0]
    assert isinstance(first, Alert)
    assert "may no longer be used" in first.title


# What the papers say


def test_terms_are_told_in_plain_words(trip: Trip) -> None:
    told = words(section(pack_of(trip), "What the papers say"))
    assert "1 May 2027 to 18 June 2027, both days count" in told
    assert "mapped area, boundary known to ±20\u00a0m" in told
    assert "Methods | hand net | dredge" in told
    assert "Life stages | No limit stated" not in told.replace("Life stages |  | larva", "")
    assert "larva" in told
    assert "J. Ek / Others only under supervision of a named person" in told
    assert "1 August to 30 September, every year" in told
    assert "at most 12,500 of Odonata, of each species, under the paper" in told


def test_the_distance_to_an_excluded_area_is_that_of_the_ellipsoid(trip: Trip) -> None:
    """From 43.903 E 42.084 N east to the edge at 43.93 E: 0.027 degrees on the parallel of 42.084 N.

    Radius of the parallel on WGS84 at 42.084: a cos(f) / sqrt(1 - e2 sin2 f) = 6378137 x 0.742157 /
    sqrt(1 - 0.00669438 x 0.449203) = 4740693 m; x 0.027 x pi / 180 = 2234 m.
    """
    assert "keep out; its edge is 2234\u00a0m from the middle of the stop" in words(pack_of(trip))


def test_a_paper_that_does_not_cover_says_so_above_its_terms(trip: Trip) -> None:
    """A dredge is forbidden: what the permit allows must not read as what the team may do."""
    register.rule(register.sheet("GE"))
    trip.stop.methods = "dredge"
    trip.stop.save()
    rules = section(pack_of(trip), "COL-2027-011, Collecting permit")
    assert isinstance(rules.blocks[0], Alert)
    assert "With this paper the stop is not settled" in rules.blocks[0].title
    assert "Method not allowed" in rules.blocks[0].title


def test_an_unread_paper_says_nothing_of_what_is_allowed(trip: Trip) -> None:
    PaperVersion.objects.filter(paper=trip.permit).delete()
    told = words(section(pack_of(trip), "COL-2027-011, Collecting permit"))
    assert "has not been read into the register" in told
    assert "No limit stated" not in told


def test_a_paper_that_ends_before_the_stop_says_so_instead_of_its_terms(trip: Trip) -> None:
    """No rule asks for the paper here, so that the engine did not look at it: still nothing of it holds."""
    trip.stop.first_on, trip.stop.last_on = date(2027, 6, 19), date(2027, 6, 20)  # the paper ends on the 18th
    trip.stop.save()
    told = words(section(pack_of(trip), "COL-2027-011, Collecting permit"))
    assert "It is not in force on the days of this stop." in told
    assert "hand net" not in told


def test_an_application_is_not_carried_as_a_permit(trip: Trip) -> None:
    trip.permit.statuses.create(state="applied", from_on=date(2026, 11, 1))
    pack = pack_of(trip)
    assert "COL-2027-011, Collecting permit (not granted: it allows nothing yet)" in words(section(pack, "Papers to"))
    assert [one for one in sections(pack) if one.title.startswith("COL-2027-011, Collecting")] == []


def test_a_later_version_speaks_on_later_days(trip: Trip) -> None:
    """The version in force on the days of the stop, not the newest: an amendment of July says nothing of June."""
    register.version(trip.permit, "2027-07-01", "2027-12-31", note="amended")
    told = words(section(pack_of(trip), "COL-2027-011, Collecting permit"))
    assert "18 June 2027" in told
    assert "31 December 2027" not in told


def test_conditions_are_in_the_words_and_the_language_of_the_paper(trip: Trip) -> None:
    quoted = [run for one in sections(pack_of(trip)) for block in one.blocks if isinstance(block, Para)
              for run in block.line if run.text == "Portez cette autorisation."]  # fmt: skip
    assert [(run.role, run.lang) for run in quoted] == [("paper", "fr")]
    assert "Portez cette autorisation. (page 2)" in words(section(pack_of(trip), "Conditions to carry"))


def test_a_notice_has_its_day_and_whether_it_was_given(trip: Trip) -> None:
    """Seven days before 3 June is 27 May."""
    told = words(section(pack_of(trip), "Notices to give"))
    assert "To Nazvri Directorate, under COL-2027-011: 7 days before the first day, so by 27 May 2027." in told
    assert "Not recorded as given." in told
    PlanNotice.objects.create(plan=trip.plan, paper=trip.permit, given_on=date(2027, 5, 20), note="by letter")
    told = words(section(pack_of(trip), "Notices to give"))
    assert "Given on 20 May 2027: by letter" in told
    assert "Not recorded as given." not in told


def test_a_tally_has_the_days_and_the_groups(trip: Trip) -> None:
    tally = section(pack_of(trip), "Tally, stop 1").blocks[0]
    assert isinstance(tally, Table)
    assert list(tally.head) == ["Day", "Odonata", "Others"]
    assert [words(row[0]) for row in tally.rows] == ["3 June 2027", "4 June 2027", "5 June 2027", "Total"]


def test_a_long_run_says_that_its_sheet_ends(trip: Trip) -> None:
    trip.stop.last_on = date(2027, 7, 4)  # 32 days
    trip.stop.save()
    assert "longer than 31 days" in words(section(pack_of(trip), "Tally, stop 1"))


def test_whom_to_tell_is_asked_for_if_the_plan_names_nobody(trip: Trip) -> None:
    assert "Duty desk, channel 4" in words(section(pack_of(trip), "Whom to tell"))
    trip.plan.contacts = ""
    trip.plan.save()
    assert "Write a name and a number here" in words(section(pack_of(trip), "Whom to tell"))


def test_a_stop_without_place_and_days_says_so(trip: Trip) -> None:
    plans.stop(trip.plan, name="Somewhere", country="", longitude_deg=None, latitude_deg=None, radius_m=None,
               first_on=None, last_on=None)  # fmt: skip
    told = words(section(pack_of(trip), "Stop 2."))
    assert "No coordinates are recorded for this stop." in told
    assert "Days: days not fixed" in told
    assert "Stop 2: days not fixed" in words(pack_of(trip).sections[0])


def test_chosen_stops_keep_their_numbers(trip: Trip) -> None:
    other = plans.stop(trip.plan, name="Second", position=1)
    pack = pack_of(trip, stops=[other.pk])
    assert [one.title for one in pack.sections if one.key.startswith("stop-")] == ["Stop 2. Second"]
    assert "This pack holds stops 2 of 2." in words(pack.sections[0])


def test_days_in_force_are_the_first_run_within_the_stop(trip: Trip) -> None:
    """Valid to 18 June: of 17 to 20 June two days; of days after it none; a suspension on the 18th leaves one."""
    found = InForce().days(trip.permit, trip.version, date(2027, 6, 17), date(2027, 6, 20))
    assert found == (date(2027, 6, 17), date(2027, 6, 18))
    assert InForce().days(trip.permit, trip.version, date(2027, 6, 19), date(2027, 6, 20)) is None
    trip.permit.statuses.create(state="suspended", from_on=date(2027, 6, 18))
    found = InForce().days(trip.permit, trip.version, date(2027, 6, 17), date(2027, 6, 20))
    assert found == (date(2027, 6, 17), date(2027, 6, 17))


# Languages


@pytest.mark.parametrize("code", PlanLanguage.values)
def test_every_language_makes_a_whole_pack(trip: Trip, code: str) -> None:
    told = words(pack_of(trip, code=code))
    assert language(code)("do_not_collect") in told
    assert language(code)("cautions") in told
    assert "{" not in told


def test_english_sentences_are_marked_in_another_language(trip: Trip) -> None:
    register.rule(register.sheet("GE"))
    trip.stop.methods = "dredge"
    trip.stop.save()
    alert = section(pack_of(trip, code="es"), "Parada 1.").blocks[0]
    assert isinstance(alert, Alert)
    assert "Método no permitido" in words(alert)
    english = [run for runs in alert.lines for run in runs if run.lang == "en"]
    assert any("dredge" in run.text for run in english)


def test_the_plan_says_the_language(client: Client) -> None:
    trip = packs.trip("pt")
    client.force_login(trip.curator)
    page = client.get(reverse("plans:plan-pack", args=[trip.plan.pk])).content.decode()
    assert '<article class="pack" lang="pt"' in page
    assert "Pasta de campo" in page


# Restricted papers


@pytest.mark.parametrize("code", ["en", "es"])
def test_who_may_not_read_a_paper_meets_none_of_its_words(trip: Trip, code: str) -> None:
    pack = pack_of(trip, code=code)
    assert SEALED.findall(words(pack)) == []
    made = docx_file(pack, dict.fromkeys(pages_of(pack)), made_at=datetime(2026, 11, 26))
    assert SEALED.findall(text_of_file(made)) == []
    assert "LND-2027-003" in words(pack)
    kept = {"en": "kept with registrars and compliance officers", "es": "responsables del registro y responsables de"}
    assert kept[code] in words(pack)


def test_its_readers_meet_them(trip: Trip) -> None:
    """Else the test above would prove nothing."""
    told = set(SEALED.findall(words(pack_of(trip, Role.REGISTRAR))))
    assert {"Zzissuer", "Zzperson", "Zzmethod", "Zztaxon", "Zzcondition"} <= told


@pytest.mark.parametrize("role", [role for role in Role if role not in (Role.REGISTRAR, Role.COMPLIANCE)])
@pytest.mark.parametrize("address", ["plan-pack", "plan-pack-docx", "plan-areas-gpx", "plan-areas-geojson"])
def test_no_address_of_the_pack_tells_others(client: Client, trip: Trip, address: str, role: Role) -> None:
    client.force_login(register.person(role))
    answer = client.get(reverse(f"plans:{address}", args=[trip.plan.pk]))
    body = text_of_file(answer.content) if answer.content.startswith(b"PK") else answer.content.decode()
    assert SEALED.findall(body) == []
    expected = 403 if role == Role.VOLUNTEER and address != "plan-pack" else 200
    assert answer.status_code == expected


# Copies


def test_copies_stop_at_the_limit_and_say_what_is_left_out(trip: Trip, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(copies, "MOST_PAGES", 3)
    for number, pages in enumerate((2, 4), 1):
        scan = scans.scan(scans.pdf(pages, f"part {number}"), page_count=pages, received_by=trip.curator)
        PaperScan.objects.create(paper=trip.permit, scan=scan, name=f"part {number}.pdf", filed_by=trip.curator)
    pack = pack_of(trip)
    assert [page.caption for page in pages_of(pack)] == ["COL-2027-011, page 1 of 2", "COL-2027-011, page 2 of 2"]
    told = words(section(pack, "Left out"))
    assert "COL-2027-011, 4 pages: the pack takes at most 3 pages" in told
    assert "LND-2027-003: open to other roles only" in told


def test_a_range_of_a_scan_is_copied_not_its_other_pages(trip: Trip) -> None:
    scan = scans.scan(scans.pdf(9), page_count=9, received_by=trip.curator)
    PaperScan.objects.create(
        paper=trip.permit, scan=scan, name="all.pdf", filed_by=trip.curator, first_page=4, last_page=5
    )
    assert [page.number for page in pages_of(pack_of(trip))] == [4, 5]


def test_without_copies_none_are_drawn(trip: Trip) -> None:
    scan = scans.scan(scans.pdf(1), page_count=1, received_by=trip.curator)
    PaperScan.objects.create(paper=trip.permit, scan=scan, name="one.pdf", filed_by=trip.curator)
    pack = pack_of(trip, with_scans=False)
    assert pages_of(pack) == []
    assert "Copies were left out as chosen." in words(pack)
    assert "(no copy in this pack)" in words(pack)


def test_pages_that_come_too_late_are_left_out_not_waited_for(trip: Trip) -> None:
    """No time at all: nothing is drawn, and the file says so."""
    scan = scans.scan(scans.pdf(2, "late"), page_count=2, received_by=trip.curator)
    PaperScan.objects.create(paper=trip.permit, scan=scan, name="late.pdf", filed_by=trip.curator)
    pages = pages_of(pack_of(trip))
    assert copies.pictures(pages, within_s=-1) == dict.fromkeys(pages)
    told = "\n".join(p.text for p in document(pack_of(trip)).paragraphs)
    assert "COL-2027-011, page 1: not drawn in time; make the pack again in a minute" in told


# The file


def test_the_file_has_headings_heads_that_repeat_and_its_language(trip: Trip) -> None:
    made = document(pack_of(trip, code="es"))
    styles = {p.style.name for p in made.paragraphs}
    assert {"Title", "Heading 1", "Heading 2", "Heading 3"} <= styles
    headed = [table for table in made.tables if table.rows[0]._tr.find(f".//{qn('w:tblHeader')}") is not None]
    assert len(headed) >= 4
    language_of = made.styles.element.find(f".//{qn('w:rPrDefault')}//{qn('w:lang')}")
    assert language_of.get(qn("w:val")) == "es"
    assert made.core_properties.language == "es"
    page = made.sections[0]
    assert (round(page.page_width.mm), round(page.page_height.mm)) == (210, 297)  # ISO 216, A4


def test_head_and_foot_name_the_plan_and_count_pages(trip: Trip) -> None:
    page = document(pack_of(trip)).sections[0]
    assert trip.plan.reference in page.header.paragraphs[0].text
    foot = page.footer._element.xml
    assert "Made on 26 November 2026" in page.footer.paragraphs[0].text
    assert " PAGE " in foot
    assert " NUMPAGES " in foot


def test_pictures_say_what_they_show(trip: Trip) -> None:
    """ECMA-376, 20.4.2.5: descr of docPr. A map and the two pages of the permit."""
    scan = scans.scan(scans.pdf(2, "Invented permit"), page_count=2, received_by=trip.curator)
    PaperScan.objects.create(paper=trip.permit, scan=scan, name="permit.pdf", filed_by=trip.curator)
    pack = pack_of(trip)
    made = docx_file(pack, copies.pictures(pages_of(pack)), made_at=datetime(2026, 11, 26))
    body = docx.Document(io.BytesIO(made)).element.body
    told = [inline.get("descr") for inline in body.iter(qn("wp:docPr"))]
    assert told == ["Map of stop 1: At the weir.", "COL-2027-011, page 1 of 2", "COL-2027-011, page 2 of 2"]


def test_the_same_pack_makes_the_same_parts(trip: Trip) -> None:
    """With the clock as an argument, nothing in the file changes by itself."""
    pack = pack_of(trip)
    one, two = (docx_file(pack, {}, made_at=datetime(2026, 11, 26)) for _ in range(2))
    assert text_of_file(one) == text_of_file(two)


def test_a_title_that_markup_could_take_for_its_own_comes_through(trip: Trip, client: Client) -> None:
    trip.plan.title = 'Rivers & <b>"lakes"</b> {0}'
    trip.plan.save()
    assert document(pack_of(trip)).paragraphs[1].text == trip.plan.title
    client.force_login(trip.curator)
    page = client.get(reverse("plans:plan-pack", args=[trip.plan.pk])).content.decode()
    assert "Rivers &amp; &lt;b&gt;" in page
    assert "<b>&quot;lakes" not in page


# Pages


def test_a_wrong_choice_is_told_and_breaks_nothing(client: Client, trip: Trip) -> None:
    client.force_login(trip.curator)
    for address in ("plan-pack", "plan-pack-docx"):
        answer = client.get(reverse(f"plans:{address}", args=[trip.plan.pk]), {"language": "xx", "stops": "99999"})
        assert answer.status_code == 400
        assert b"xx" in answer.content
    assert client.get(reverse("plans:plan-pack", args=[99_999])).status_code == 404


def test_a_plan_without_stops_has_a_pack(client: Client) -> None:
    client.force_login(register.person(Role.CURATOR))
    plan = plans.field_plan()
    assert client.get(reverse("plans:plan-pack", args=[plan.pk])).status_code == 200
    for address in ("plan-pack-docx", "plan-areas-gpx", "plan-areas-geojson"):
        assert client.get(reverse(f"plans:{address}", args=[plan.pk])).status_code == 200


def test_the_number_of_queries_does_not_grow_with_stops(trip: Trip, django_assert_max_num_queries: Any) -> None:
    check = check_plan(trip.plan, today=TODAY)
    with django_assert_max_num_queries(24):
        make_pack(check, reader=trip.curator)
    for number in range(8):
        plans.stop(trip.plan, name=f"More {number}", country="GE", position=number + 2)
    check = check_plan(trip.plan, today=TODAY)
    with django_assert_max_num_queries(24):
        make_pack(check, reader=trip.curator)


def test_a_paper_taken_off_the_plan_is_not_carried(trip: Trip) -> None:
    PlanPaper.objects.filter(paper=trip.permit).update(unlinked_at="2026-11-20T12:00:00Z", unlinked_by=trip.curator)
    assert "COL-2027-011" not in words(section(pack_of(trip), "Papers to carry"))


def test_a_paper_of_the_site_is_carried_if_it_covers(trip: Trip) -> None:
    """Linked to the site, not to the plan: a consent of 2024 stays at home, one of 2027 goes along."""
    site = register.site("GE-Z-1")
    trip.plan.stops.update(site=site)
    register.rule(register.sheet("GE"), Layer.LAND)
    for reference, first, last in (("LND-OLD", "2024-01-01", "2024-12-31"), ("LND-NEW", "2027-01-01", "2027-12-31")):
        paper = register.paper(reference, (Layer.LAND,), jurisdiction="GE")
        register.version(paper, first, last)
        register.link(paper, site=site)
    told = words(section(pack_of(trip), "Papers to carry"))
    assert "LND-NEW" in told
    assert "LND-OLD" not in told
