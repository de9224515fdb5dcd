"""TRADE 7.4, questions 20 (the story of a scan) and 21 (who overruled)."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.people.access import role_bits
from accessions.people.models import Agent, Role
from governance.audit.asking import UnknownValueError
from governance.engine.tables import Layer, Verdict
from governance.papers.models import PaperScan
from governance.scans.models import Filing, Scan, ScanMark, ScanPage
from governance.verdicts.models import Override
from tests.factories import register, scans
from tests.factories.verdicts import judged, overruled
from tests.integration.audit.put import column, put, table, told

pytestmark = pytest.mark.django_db


def received(content: bytes, at: datetime, **fields: object) -> Scan:
    made = scans.scan(content, stored=False, **fields)
    Scan.objects.filter(pk=made.pk).update(received_at=at)
    return made


def printed(scan: Scan, *numbers: tuple[int, int] | None) -> None:
    """Pages in their order, each with words and with what is printed on it."""
    for number, said in enumerate(numbers, start=1):
        page, of = said or (None, None)
        ScanPage.objects.create(scan=scan, number=number, text="words", printed_page=page, printed_of=of)


class TestScanStory:
    def test_added_replaced_incomplete_and_marked(self) -> None:
        """A letter of five pages of which the third lacks ("page 1, 2, 4, 5 of 5"), replaced by another content under
        the same name, and marked as illegible by somebody, which was taken back."""
        nora = register.person(Role.REGISTRAR)
        first = received(b"one", datetime(2024, 5, 3, 10, tzinfo=UTC), page_count=4, text_state="read",
                         original_name="letter.pdf")  # fmt: skip
        second = received(b"two", datetime(2024, 6, 1, 10, tzinfo=UTC))
        printed(first, (1, 5), (2, 5), (4, 5), (5, 5))
        place = {"accession": register.accession(), "filed_by": nora, "name": "letter.pdf"}
        older = Filing.objects.create(scan=first, **place)
        newer = Filing.objects.create(scan=second, edition=2, replaces=older, **place)
        Filing.objects.filter(pk=older.pk).update(filed_at=datetime(2024, 5, 3, 11, tzinfo=UTC))
        Filing.objects.filter(pk=newer.pk).update(filed_at=datetime(2024, 6, 1, 11, tzinfo=UTC))
        mark = ScanMark.objects.create(scan=first, kind="illegible", marked_by=nora, note="page 2")
        ScanMark.objects.filter(pk=mark.pk).update(
            marked_at=datetime(2024, 5, 4, tzinfo=UTC), withdrawn_at=datetime(2024, 5, 5, tzinfo=UTC), withdrawn_by=nora
        )
        found = put("scan-story", scan=first.pk)
        assert found.sentence == (
            f"Scan {first.pk} was added on 3 May 2024 by Nora Curator. It was replaced by scan {second.pk} on 1 June "
            "2024, by Nora Registrar. Page 3 of 5 is missing, by the page numbers printed on the others. Words were "
            "read on 4 of 4 pages."
        )
        assert column(found, "what", "by") == [
            ("Received", "Nora Curator"), ("Filed", "Nora Registrar"), ("Marked: Illegible", "Nora Registrar"),
            ("Mark withdrawn: Illegible", "Nora Registrar"), ("Replaced", "Nora Registrar"), ("Whole?", ""),
            ("Legible?", ""),
        ]  # fmt: skip

    def test_whole_not_known_and_standing_marks(self) -> None:
        """By its own numbers a scan is whole; one without numbers is not said to be."""
        whole = scans.scan(b"whole", stored=False, page_count=2, text_state="read")
        printed(whole, (1, 2), (2, 2))
        bare = scans.scan(b"bare", stored=False, page_count=2, text_state="read")
        printed(bare, None, None)
        ScanMark.objects.create(scan=bare, kind="incomplete", marked_by=register.person())
        assert "It is whole by the page numbers printed on it." in put("scan-story", scan=whole.pk).sentence
        sentence = put("scan-story", scan=bare.pk).sentence
        assert "Whether it is whole is not known" in sentence and "marked it as incomplete" in sentence

    def test_pages_of_a_paper_are_looked_at_by_themselves(self) -> None:
        """Pages 2 and 3 of a scan are a paper that says "1 of 3, 2 of 3": its third page lacks."""
        scan = scans.scan(b"several", stored=False, page_count=3, text_state="read")
        printed(scan, None, (1, 3), (2, 3))
        paper = register.paper("COL-1")
        PaperScan.objects.create(paper=paper, scan=scan, name="x", filed_by=scan.received_by, first_page=2, last_page=3)
        rows = {row["what"]: row for row in table(put("scan-story", scan=scan.pk))}
        of_paper = rows["Pages 2 to 3: whole?"]
        assert of_paper["where"] == "COL-1" and of_paper["told"].startswith("Page 3 of 3 is missing")

    def test_a_closed_scan_tells_that_it_is_there(self) -> None:
        """Of a restricted scan when and by whom it came, and where it is filed; not its name, words and marks."""
        scan = scans.scan(b"closed", stored=False, original_name="Zzsecret.pdf", page_count=2, text_state="read",
                          restricted_to=role_bits([Role.REGISTRAR]))  # fmt: skip
        scans.filing(scan, accession=register.accession("LMN-1"))
        curator, registrar = put("scan-story", Role.CURATOR, scan=scan.pk), put("scan-story", scan=scan.pk)
        assert "Zzsecret" in told(registrar) and "Zzsecret" not in told(curator)
        assert column(curator, "what", "where") == [("Received", f"#{scan.pk}"), ("Filed", "LMN-1")]
        assert "Registrar" in curator.kept_back[0]

    def test_queries(self, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        """The scan, both kinds of filing, marks, later editions of both kinds, numbers of pages, how many have words;
        the reader; not more with more filings."""
        scan = scans.scan(b"many", stored=False, page_count=2, text_state="read")
        printed(scan, (1, 2), (2, 2))
        for number in range(3):
            scans.filing(scan, accession=register.accession(f"LMN-{number}"))
        register.person(Role.REGISTRAR)
        with django_assert_num_queries(9):
            table(put("scan-story", scan=scan.pk))


class TestOverruled:
    @pytest.fixture
    def two(self) -> tuple[Override, Override]:
        """On LMN-1 the land, decided by a curator, whose paper now covers it; on LMN-2 collecting, decided by a
        registrar and withdrawn."""
        one, other = register.specimen("LMN-1"), register.specimen("LMN-2")
        for specimen in (one, other):
            judged(specimen, "5" * 9)
        first = overruled(one, Layer.LAND, Verdict.COVERED)
        second = overruled(other, Layer.COLLECTING, Verdict.NOT_REQUIRED)
        registrar = register.person(Role.REGISTRAR)
        Override.objects.filter(pk=first.pk).update(decided_at=datetime(2024, 3, 1, 12, tzinfo=UTC))
        Override.objects.filter(pk=second.pk).update(
            decided_at=datetime(2025, 3, 1, 12, tzinfo=UTC), decided_by=registrar, withdrawn_by=registrar,
            withdrawn_at=datetime(2025, 4, 1, tzinfo=UTC), withdrawn_reason="The letter was about another site.",
        )  # fmt: skip
        judged(one, "055555555")
        return first, second

    def test_what_it_said_then_and_says_now(self, two: tuple[Override, Override]) -> None:
        found = put("overruled")
        assert found.sentence == "2 decisions were put beside computed verdicts; still standing: 1."
        columns = ("specimen", "layer", "computed", "decided", "by", "now", "withdrawn_why")
        assert column(found, *columns) == [
            ("LMN-2", "Collecting", Verdict.MISSING, Verdict.NOT_REQUIRED, "Nora Registrar", Verdict.MISSING,
             "The letter was about another site."),
            ("LMN-1", "Land", Verdict.MISSING, Verdict.COVERED, "Nora Curator", Verdict.COVERED, ""),
        ]  # fmt: skip

    @pytest.mark.parametrize(("values", "expected"), [
        ({"layer": "0"}, ["LMN-1"]), ({"specimen": "LMN-2"}, ["LMN-2"]), ({"by": "Nora Registrar"}, ["LMN-2"]),
        ({"by": "curator"}, ["LMN-1"]), ({"from": "2024-03-02"}, ["LMN-2"]), ({"to": "2024-03-01"}, ["LMN-1"]),
    ])  # fmt: skip
    def test_narrowed(self, two: tuple[Override, Override], values: dict[str, str], expected: list[str]) -> None:
        assert column(put("overruled", **values), "specimen") == expected

    def test_people_by_the_agent_they_are_recorded_as(self, two: tuple[Override, Override]) -> None:
        agent = Agent.objects.create(name="N. Registrar")
        registrar = register.person(Role.REGISTRAR)
        registrar.agent = agent
        registrar.save()
        assert column(put("overruled", by=agent.pk), "specimen") == ["LMN-2"]
        assert column(put("overruled", by="N. Registrar"), "specimen") == ["LMN-2"]
        with pytest.raises(UnknownValueError, match="Nobody who signs in is called “Zz”"):
            put("overruled", by="Zz")

    def test_queries(
        self, two: tuple[Override, Override], django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:  # fmt: skip
        """The reader, two counts, the rows."""
        register.person(Role.REGISTRAR)
        with django_assert_num_queries(4):
            found = put("overruled")
            found.rows.between(0, 25)


def test_the_day_of_the_world_is_not_asked_for() -> None:
    """Decisions are entries of the register: whoever asks about the past asks the other clock."""
    judged(specimen := register.specimen("LMN-9"), "5" * 9)
    overruled(specimen, Layer.LAND, Verdict.COVERED)
    assert column(put("overruled", on=date(2000, 1, 1)), "specimen") == ["LMN-9"]
