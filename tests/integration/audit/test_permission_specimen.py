"""TRADE 7.4, question 1: the permit for a specimen, in the version in force that day.

Verdicts are those of a real assessment; what it must come to is told by VERDICTS beside each expectation.
"""

from __future__ import annotations

from datetime import date

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import Specimen
from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.audit.asking import UnknownValueError
from governance.engine.tables import Layer
from governance.papers.models import Condition, Paper, PaperScan, ReadingPage
from governance.verdicts.actions.assessing import assess
from tests.factories import register, scans
from tests.integration.audit.put import column, links, put, table, told
from tests.integration.test_access_sweep import files_of_the_module, files_of_the_test, kept

__all__ = ["files_of_the_module", "files_of_the_test", "kept"]

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def register_of_papers(kept: None) -> dict[str, Paper]:
    """LMN-1, taken in Georgia on 17 June 2024, under a permit in its second version, a restricted consent of that year,
    and a licence that begins on 20 June. The country asks for land and collecting, and says nothing of other layers."""
    sheet = register.sheet()
    register.rule(sheet)
    register.rule(sheet, Layer.LAND)
    accession = register.accession()
    register.specimen("LMN-1", accession=accession)
    permit = register.paper("COL-2024-052")
    register.version(permit, "2024-05-01", "2024-06-10")
    second = register.version(permit, "2024-06-11", "2024-06-30")
    Condition.objects.create(version=second, text="A list is sent within three months.", page=2)
    ReadingPage.objects.create(version=second, subject="valid", page=1)
    scan = scans.scan(original_name="permits of 2024.pdf", page_count=9)
    PaperScan.objects.create(
        paper=permit, scan=scan, name=scan.original_name, first_page=3, last_page=4, filed_by=scan.received_by
    )
    consent = register.paper(
        "LND-2024-117", (Layer.LAND,), kind="landowner-consent", restricted_to=role_bits([Role.COMPLIANCE]),
        restricted_why="a private person",
    )  # fmt: skip
    year = register.version(consent, "2024-01-01", "2024-12-31", note="Zznote")
    Condition.objects.create(version=year, text="Zzcondition")
    licence = register.paper("SPC-2024-003", (Layer.SPECIES,), kind="species-licence")
    register.version(licence, "2024-06-20", "2024-12-31")
    for paper in (permit, consent, licence):
        register.link(paper, accession=accession)
    assess(by=None, why="first")
    return {"permit": permit, "consent": consent, "licence": licence}


@pytest.fixture
def papers(register_of_papers: dict[str, Paper], db: None) -> dict[str, Paper]:
    return register_of_papers


COLUMNS = ("paper", "layer", "day", "version", "state", "verdict", "part", "pages")


def test_permit_in_the_version_of_that_day(papers: dict[str, Paper]) -> None:
    """The collecting date decides (VERDICTS 2); the version in force is the last that had started (3). No sheet says
    anything of seven layers: cannot tell (7.1), strip 0 0 2 2 2 2 2 2 2."""
    answer = put("permit-of-specimen", Role.REGISTRAR, specimen="LMN-1")
    day = "17 Jun 2024, collected"
    assert column(answer, *COLUMNS) == [
        ("COL-2024-052", "Collecting", day, "version 2, 11–30 Jun 2024", "in force", 0, "the verdict rests on it",
         "valid p. 1"),
        ("LND-2024-117", "Land", day, "version 1, 2024", "in force", 0, "the verdict rests on it", ""),
        ("SPC-2024-003", "Species", day, "none", "not yet in force", 2, "linked; the verdict does not name it", ""),
    ]  # fmt: skip
    assert answer.sentence.startswith(
        "3 papers bear on LMN-1; 2 were in force on the day that each is tested for. It was collected: 17 June 2024."
    )
    assert answer.strip == "002222222"
    assert table(answer)[0]["conditions"] == "A list is sent within three months. (p. 2)"
    assert links(answer, "scan")[0].endswith("?page=3#pane")


def test_restricted_words_are_for_their_readers(papers: dict[str, Paper]) -> None:
    closed, opened = (put("permit-of-specimen", role, specimen="LMN-1") for role in (Role.REGISTRAR, Role.COMPLIANCE))
    assert "Zz" not in told(closed)
    assert table(closed)[1]["conditions"] == "Restricted: open to compliance officers. Ask one of them."
    assert len(closed.kept_back) == 1
    assert table(opened)[1]["conditions"] == "Zzcondition"
    assert opened.kept_back == ()


def test_a_specimen_without_day_and_without_verdict(papers: dict[str, Paper]) -> None:
    """Not judged since it came; its day is not known, so no version can be told."""
    accession = Specimen.objects.get().accession
    register.specimen("LMN-2", accession=accession, event=register.event(day=""))
    answer = put("permit-of-specimen", specimen="LMN-2")
    assert set(column(answer, "version", "state", "verdict", "part")) == {
        ("none", "cannot be told: the day is not known", None, "no verdict yet")
    }
    assert [one.words.split(":")[0] for one in answer.missing] == ["The day", "A verdict"]


def test_revoked_before_the_day_and_unread(papers: dict[str, Paper]) -> None:
    papers["permit"].statuses.create(state="revoked", from_on=date(2024, 6, 17))  # no longer holds on this day itself
    unread = register.paper("LND-2024-200", (Layer.LAND,))
    register.link(unread, specimen=Specimen.objects.get())
    answer = put("permit-of-specimen", specimen="LMN-1")
    assert column(answer, "paper", "version", "state")[0] == ("COL-2024-052", "none", "revoked")
    assert ("LND-2024-200", "none", "not read") in column(answer, "paper", "version", "state")
    assert any("LND-2024-200" in one.words for one in answer.missing)


@pytest.mark.parametrize("specimen", ["", "LMN-9"])
def test_unknown_specimen(specimen: str) -> None:
    with pytest.raises(UnknownValueError) as raised:
        put("permit-of-specimen", specimen=specimen)
    assert raised.value.parameter == "specimen"


def test_queries_do_not_grow_with_papers(
    papers: dict[str, Paper], django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    register.person(Role.REGISTRAR)
    specimen = Specimen.objects.get()
    for number in range(3):
        more = register.paper(f"COL-2024-1{number}")
        register.version(more)
        register.link(more, specimen=specimen)
    with django_assert_num_queries(17):
        assert put("permit-of-specimen", specimen="LMN-1").count == 6
