"""The legal file of an accession: what its table says of a small register that was counted by hand."""

from __future__ import annotations

from datetime import date
from io import BytesIO
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from openpyxl import load_workbook

from accessions.material.models import Part
from accessions.people.models import Role
from governance.engine.tables import Layer, SearchState, Verdict
from governance.papers.models import PaperLink, TitleRecord
from governance.verdicts.models import LayerDecision, Search
from governance.verdicts.queries.file_answer import answer_of
from governance.verdicts.queries.file_material import WHOLE, RowKey
from governance.verdicts.queries.legal_file import FileRow, LegalFile, legal_file
from tests.factories import register, verdicts

pytestmark = pytest.mark.django_db


def client_of(role: str = Role.CURATOR) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def text_of(client: Client, name: str, *args: object, **query: str) -> str:
    answer = client.get(reverse(name, args=args), query)
    assert answer.status_code == 200, answer
    return " ".join(answer.content.decode().split())


def strip(**layers: Verdict) -> str:
    """Nine digits: not required, but for what is named."""
    digits = [str(int(Verdict.NOT_REQUIRED))] * len(Layer)
    for name, verdict in layers.items():
        digits[Layer[name.upper()]] = str(int(verdict))
    return "".join(digits)


def cell_of(row: FileRow, layer: Layer) -> Any:
    """The cell of a layer, which is there."""
    found = row.cell_of(layer)
    assert found is not None
    return found


def part_of(row: FileRow) -> Part:
    """The part of a row that is one."""
    assert row.part is not None
    return row.part


def search(accession, layer=Layer.ACCESS, state=SearchState.NONE_FOUND, day=date(2025, 3, 4), part=None) -> Search:
    return Search.objects.create(
        accession=accession, part=part, layer=layer, state=state, searched_on=day, searched_by="N. Lind",
        note="Cupboard 3",
    )  # fmt: skip


@pytest.fixture
def file() -> LegalFile:
    """Two specimens in part A (of 1990 and without a day), one in B (of 2024), one in no part; B came in delivery 1.

    Access has no paper for B and for what is in no part; collecting is covered for all; export straddles for B.
    """
    accession = register.accession(title="Nazvri")
    a, b = register.part(accession, "A"), register.part(accession, "B", title="Upper bridge")
    delivery = register.delivery(accession, exported_on="2024-07-01", imported_on="2024-07-03")
    old, undated = register.event("E-1", "1990-05-01"), register.event("E-2", "")
    made = [
        register.specimen("S-1", accession=accession, part=a, event=old),
        register.specimen("S-2", accession=accession, part=a, event=undated),
        register.specimen("S-3", accession=accession, part=b, delivery=delivery),
        register.specimen("S-4", accession=accession),
    ]
    covered = {"collecting": Verdict.COVERED}
    for specimen in made[:2]:
        verdicts.judged(specimen, strip(**covered))
    verdicts.judged(made[2], strip(**covered, access=Verdict.MISSING, export=Verdict.STRADDLES))
    verdicts.judged(made[3], strip(**covered, access=Verdict.MISSING))
    return legal_file(accession, register.person())


def test_rows_stand_in_their_order_with_their_specimens(file: LegalFile) -> None:
    assert [(row.label, row.material.specimens) for row in file.rows] == [
        ("Whole accession", 4), ("Part A", 2), ("Part B", 1), ("In no part", 1), ("Delivery 1", 1),
    ]  # fmt: skip
    whole = file.whole.material
    assert (whole.first_on, whole.last_on, whole.undated) == (date(1990, 5, 1), date(2024, 6, 17), 1)


def test_cells_count_the_worst_and_all_that_need_a_look(file: LegalFile) -> None:
    """By hand: access is missing for S-3 and S-4, two of four; export straddles for S-3 alone."""
    access, export, land = (cell_of(file.whole, layer) for layer in (Layer.ACCESS, Layer.EXPORT, Layer.LAND))
    assert (access.cell.verdict, access.worst, access.open, access.specimens) == (Verdict.MISSING, 2, 2, 4)
    assert (export.cell.verdict, export.worst, export.open) == (Verdict.STRADDLES, 1, 1)
    assert land.is_complete
    assert land.fill == ""
    of_a, of_b = (cell_of(row, Layer.ACCESS) for row in file.rows[1:3])
    assert (of_a.cell.verdict, of_a.open, of_a.is_complete) == (Verdict.NOT_REQUIRED, 0, True)
    assert (of_b.cell.verdict, of_b.open, of_b.specimens) == (Verdict.MISSING, 1, 1)


def test_a_delivery_has_the_layers_of_its_way_and_their_days(file: LegalFile) -> None:
    way = file.rows[-1]
    assert [cell.layer for cell in way.cells] == [Layer.EXPORT, Layer.IMPORT, Layer.CITES, Layer.TRANSFER]
    assert [cell.day for cell in way.cells] == ["2024-07-01", "2024-07-03", "2024-07-01", ""]
    assert cell_of(way, Layer.EXPORT).cell.verdict == Verdict.STRADDLES


def test_the_answer_says_what_is_complete_and_what_is_not(file: LegalFile) -> None:
    complete, still_open = answer_of(file)
    assert complete == (
        "Land, collecting, species, protected site, import, CITES and transfer are complete for all 4 specimens."
    )
    assert still_open == (
        "Access (ABS) has no paper for part B and what is in no part, 2 specimens (not searched yet); "
        "export needs a look for part B, 1 specimen."
    )


def test_an_accession_without_specimens_or_verdicts_says_so() -> None:
    accession = register.accession()
    reader = register.person()
    assert answer_of(legal_file(accession, reader))[0].startswith("No specimen is recorded yet")
    register.specimen(accession=accession)
    file = legal_file(accession, reader)
    assert answer_of(file)[0] == "None of the specimens was checked yet."
    assert cell_of(file.whole, Layer.LAND).cell is None
    assert not cell_of(file.whole, Layer.LAND).is_complete
    assert len(file.rows) == 1, "without parts, what is in no part is the whole"


def test_the_latest_search_of_the_row_counts(file: LegalFile) -> None:
    """A later search of a part is not one of the whole; one of the whole is one of each part."""
    b = part_of(file.rows[2])
    search(file.accession, state=SearchState.KNOWN_NOT_LOCATED)
    search(file.accession, part=b, day=date(2025, 3, 5))
    search(file.accession, layer=Layer.LAND)
    again = legal_file(file.accession, register.person())
    states = [cell_of(row, Layer.ACCESS).search.state for row in again.rows[:4]]
    assert states == [SearchState.KNOWN_NOT_LOCATED, SearchState.KNOWN_NOT_LOCATED, SearchState.NONE_FOUND,
                      SearchState.KNOWN_NOT_LOCATED]  # fmt: skip
    assert "(searched in part)" in answer_of(again)[1]
    assert cell_of(again.whole, Layer.EXPORT).search is None


def test_what_it_takes_names_whom_to_ask(file: LegalFile) -> None:
    """From the country sheet: the authority, and the longest lead time of a rule that requires the layer."""
    wanted = cell_of(file.whole, Layer.ACCESS)
    assert wanted.fill == "Search the files of J. Ek, or ask the authority (no name is on the country sheet)."
    sheet = register.sheet("GE", authority="Ministry of Nazvri")
    register.rule(sheet, layer=Layer.ACCESS, lead_days=60)
    register.rule(sheet, layer=Layer.LAND, lead_days=400)
    fill = cell_of(legal_file(file.accession, register.person()).whole, Layer.ACCESS).fill
    assert fill == "Search the files of J. Ek, or ask Ministry of Nazvri, Georgia (lead time 60 days)."
    search(file.accession)
    fill = cell_of(legal_file(file.accession, register.person()).whole, Layer.ACCESS).fill
    assert fill == (
        "Ask Ministry of Nazvri, Georgia (lead time 60 days); or decide, on evidence, that none was needed."
    )


def test_papers_stand_in_the_cells_for_which_they_speak(file: LegalFile) -> None:
    """One of all, one of the whole, one of part A, one of an event with one specimen, one of a site, one specimen's."""
    accession, a = file.accession, part_of(file.rows[1])
    access = (Layer.ACCESS,)
    site = register.site()
    event = register.event("E-9", site=site)
    one = register.specimen("S-5", accession=accession, event=event)
    register.link(register.paper("P-all", access), all_accessions=True)
    register.link(register.paper("P-whole", access), accession=accession)
    register.link(register.paper("P-a", access), part=a)
    register.link(register.paper("P-event", access), event=event)
    register.link(register.paper("P-site", access), site=site)
    register.link(register.paper("P-one", access), specimen=one)
    register.link(register.paper("P-land", (Layer.LAND,)), accession=accession)
    off = register.link(register.paper("P-off", access), accession=accession)
    off.unlinked_at = timezone.now()
    off.unlinked_by = register.person()
    off.save()
    rows = legal_file(accession, register.person()).rows
    shown = {row.label: {p.paper.reference: p.through for p in cell_of(row, Layer.ACCESS).papers} for row in rows[:4]}
    everywhere = {"P-all": "linked to every accession", "P-whole": "linked to the whole accession"}
    narrow = {
        "P-event": "linked to 1 event (1 of {} specimens)", "P-site": "linked to 1 site (1 of {} specimens)",
        "P-one": "linked to 1 specimen of {}",
    }  # fmt: skip
    assert shown["Part B"] == everywhere
    assert shown["Part A"] == everywhere | {"P-a": "linked to this part"}
    assert shown["In no part"] == everywhere | {key: words.format(2) for key, words in narrow.items()}
    assert shown["Whole accession"] == (
        everywhere | {"P-a": "linked to part A"} | {key: words.format(5) for key, words in narrow.items()}
    )


def test_a_restricted_paper_is_there_without_its_content(file: LegalFile) -> None:
    """Its number and what it covers show to all; the days of its version only to whom it is open."""
    paper = register.paper("C-1", (Layer.ACCESS,), restricted_to=1 << list(Role).index(Role.COMPLIANCE),
                           restricted_why="community")  # fmt: skip
    register.version(paper)
    register.link(paper, accession=file.accession)
    shut = cell_of(legal_file(file.accession, register.person(Role.CURATOR)).whole, Layer.ACCESS).papers[0]
    shown = cell_of(legal_file(file.accession, register.person(Role.COMPLIANCE)).whole, Layer.ACCESS).papers[0]
    assert (shut.paper.reference, shut.is_open, shut.period) == ("C-1", False, "")
    assert (shown.is_open, shown.period) == (True, "1 May – 30 Jun 2024")
    page = text_of(client_of(Role.CURATOR), "verdicts:legal-file", file.accession.pk)
    assert "C-1" in page
    assert "30 Jun 2024" not in page


def test_a_decision_stands_in_its_row_until_it_is_withdrawn(file: LegalFile) -> None:
    b = part_of(file.rows[2])
    decided = LayerDecision.objects.create(
        accession=file.accession, part=b, layer=Layer.ACCESS, reason="of 1950", evidence="letter",
        decided_by=register.person(Role.REGISTRAR),
    )  # fmt: skip
    rows = legal_file(file.accession, register.person()).rows
    assert [cell_of(row, Layer.ACCESS).decision for row in rows[:4]] == [None, None, decided, None]
    page = text_of(client_of(Role.AUDITOR), "verdicts:legal-file", file.accession.pk)
    assert "Not required because</b> of 1950" in page
    decided.withdrawn_at, decided.withdrawn_by = timezone.now(), register.person(Role.REGISTRAR)
    decided.save()
    again = legal_file(file.accession, register.person())
    assert cell_of(again.rows[2], Layer.ACCESS).decision is None
    assert again.decisions == (decided,)


@pytest.mark.parametrize("role", list(Role))
def test_every_role_reads_the_page_and_is_offered_what_it_may(file: LegalFile, role: str) -> None:
    page = text_of(client_of(role), "verdicts:legal-file", file.accession.pk)
    may_attach = role in (Role.CURATOR, Role.REGISTRAR, Role.COMPLIANCE)
    assert ("Link a paper" in page) == may_attach
    assert ("Record a search" in page) == may_attach
    assert ("Record title" in page) == (role in (Role.REGISTRAR, Role.COMPLIANCE))
    assert ("XLSX</a>" in page) == (role != Role.VOLUNTEER)


@pytest.mark.parametrize("number", [1, 8])
def test_a_file_costs_the_same_whatever_it_holds(number: int, django_assert_num_queries: object) -> None:
    accession = register.accession()
    for n in range(number):
        part, delivery = register.part(accession, str(n)), register.delivery(accession, n + 1)
        site = register.site(f"GE-{n}", name=f"Site {n}")
        event = register.event(f"E-{n}", site=site)
        specimen = register.specimen(f"S-{n}", accession=accession, part=part, delivery=delivery, event=event)
        verdicts.judged(specimen, strip(access=Verdict.MISSING))
        targets: dict[str, Any] = {"part": part, "specimen": specimen, "event": event, "site": site}
        for kind, target in targets.items():
            paper = register.paper(f"{kind}-{n}", (Layer.ACCESS,))
            register.version(paper)
            register.link(paper, **{kind: target})
        search(accession, part=part)
        TitleRecord.objects.create(accession=accession, part=part, kind="gift", paper=paper)
        LayerDecision.objects.create(
            accession=accession, part=part, layer=Layer.LAND, reason="old", evidence="x", decided_by=register.person()
        )
    client = client_of(Role.AUDITOR)
    with django_assert_num_queries(25):  # type: ignore[operator]
        client.get(reverse("verdicts:legal-file", args=[accession.pk]))


def test_a_paper_is_attached_from_a_cell(file: LegalFile) -> None:
    b = part_of(file.rows[2])
    paper = register.paper("ABS-1", (Layer.ACCESS,))
    address = reverse("verdicts:legal-file-attach", args=[file.accession.pk, "access"])
    client = client_of()
    page = client.get(address, {"part": b.pk}).content.decode()
    assert f'value="parts:{b.pk}" checked' in page
    answer = client.post(address, {"paper": "abs-1", "picked": [f"parts:{b.pk}"], "why": "annex 2"})
    assert answer.status_code == 302
    link = PaperLink.objects.get(paper=paper)
    assert (link.part, link.accession, link.why, link.linked_by) == (b, None, "annex 2", register.person())


def test_what_an_attachment_would_change_can_be_seen_first(file: LegalFile) -> None:
    """The page has what was typed with it, so that its button saves it."""
    paper = register.paper("ABS-1", (Layer.ACCESS,))
    address = reverse("verdicts:legal-file-attach", args=[file.accession.pk, "access"])
    told = {"paper": "ABS-1", "picked": [f"parts:{part_of(file.rows[2]).pk}"], "why": "annex 2"}
    page = client_of().post(address, told | {"look": "1"}).content.decode()
    assert "What would change" in page
    assert f'action="{address}"' in page
    assert f'name="picked" value="{told["picked"][0]}"' in page
    assert not PaperLink.objects.filter(paper=paper).exists()
    back = client_of().post(address, told | {"write_on": "1"}).content.decode()
    assert 'value="ABS-1"' in back
    assert not PaperLink.objects.filter(paper=paper).exists()


def test_what_is_wrong_with_an_attachment_is_said_at_once(file: LegalFile) -> None:
    register.paper("COL-1", (Layer.COLLECTING,))
    address = reverse("verdicts:legal-file-attach", args=[file.accession.pk, "access"])
    answer = client_of().post(address, {"paper": "COL-1"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "COL-1 answers Collecting, not Access (ABS)." in page
    assert "Tick at least one" in page
    other = register.part(register.accession("LMN-X"), "Z")
    answer = client_of().post(address, {"paper": "COL-1", "picked": [f"parts:{other.pk}"]})
    assert answer.status_code == 422
    assert not PaperLink.objects.exists()


def test_a_search_is_recorded_from_a_cell(file: LegalFile) -> None:
    b = part_of(file.rows[2])
    address = reverse("verdicts:legal-file-search", args=[file.accession.pk, "access"])
    told = {"of_part": b.pk, "state": "2", "searched_by": "N. Lind", "searched_on": "2025-03-04", "note": "Cupboard 3"}
    assert client_of().post(address, told).status_code == 302
    made = Search.objects.get()
    assert (made.part, made.layer, made.state, made.searched_on) == (b, Layer.ACCESS, 2, date(2025, 3, 4))
    assert "Cupboard 3" in text_of(client_of(), "verdicts:legal-file", file.accession.pk)


def test_the_table_is_exported(file: LegalFile) -> None:
    """4 rows of nine layers, one delivery of four: 40 lines, and the head."""
    client = client_of(Role.AUDITOR)
    answer = client.get(reverse("verdicts:legal-file-export", args=[file.accession.pk, "csv"]))
    lines = answer.getvalue().decode("utf-8-sig").splitlines()
    assert len(lines) == 1 + 4 * 9 + 4
    assert lines[5].startswith("LMN-2024-038,Whole accession,Access (ABS),No paper on file,2,2,4,4,")
    answer = client.get(reverse("verdicts:legal-file-export", args=[file.accession.pk, "xlsx"]))
    sheet = load_workbook(BytesIO(answer.getvalue())).active
    assert (sheet.max_row, sheet["D6"].value, sheet["E6"].value) == (41, "No paper on file", 2)
    assert client.get(reverse("verdicts:legal-file-export", args=[file.accession.pk, "pdf"])).status_code == 404


def test_the_print_writes_every_cell_out(file: LegalFile) -> None:
    page = text_of(client_of(Role.AUDITOR), "verdicts:legal-file-print", file.accession.pk)
    assert page.count("<h2>") >= 5
    assert "Search the files of J. Ek" in page
    assert "<details" not in page


def test_an_address_of_no_layer_is_not_there(file: LegalFile) -> None:
    for name in ("legal-file-attach", "legal-file-search"):
        assert client_of().get(reverse(f"verdicts:{name}", args=[file.accession.pk, "x"])).status_code == 404


def test_rows_are_named_by_kind_and_key(file: LegalFile) -> None:
    assert file.rows[0].key == WHOLE
    assert file.rows[1].key == RowKey("part", part_of(file.rows[1]).pk)
