"""The list of specimens: what each filter lets through, the orders, the pages, the search, what a row says."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import Specimen
from accessions.names.models import Taxon
from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.verdicts.models import Standing
from governance.verdicts.queries import specimens as pages
from governance.verdicts.standing_columns import fill_columns
from tests.factories import register
from tests.factories.verdicts import Why, judged, overruled

pytestmark = pytest.mark.django_db

LIST = "/specimens/"


@pytest.fixture
def curator(client: Client) -> Client:
    client.force_login(register.person(Role.CURATOR))
    return client


def numbers(client: Client, asked: str = "") -> list[str]:
    """The catalogue numbers of the page, in its order."""
    response = client.get(f"{LIST}?{asked}")
    assert response.status_code == 200
    return [row.specimen.catalog_number for row in response.context["rows"]]


def answer(client: Client, asked: str = "") -> str:
    """The answer sentence, without markup."""
    text = client.get(f"{LIST}?{asked}").content.decode()
    found = re.search(r'class="answer">(.*?)</p>', text, re.S)
    assert found
    return " ".join(re.sub(r"<[^>]+>", "", found[1]).split())


def family(name: str, species: str) -> Any:
    """A written name placed below a family."""
    above, _new = Taxon.objects.get_or_create(
        lineage=f"{name.lower()}|", defaults={"name": name, "key": name.lower(), "rank": "family"}
    )
    own = Taxon.objects.create(
        name=species, key=species.lower(), rank="species", parent=above, lineage=f"{above.lineage}{species.lower()}|"
    )
    return register.written_name(species, taxon=own, rank="species")


@pytest.fixture
def three() -> dict[str, Specimen]:
    """A: outside on land, by LND-1, in Georgia; B: cannot tell on export, no paper, in Sweden; C: calm, a lot."""
    land = register.paper("LND-1", (Layer.LAND,))
    a = register.specimen(
        "A-1", accession=register.accession("LMN-2024-001"), event=register.event(day="2024-06-17"),
        name=family("Calopterygidae", "Calopteryx splendens"),
    )  # fmt: skip
    accession = register.accession("LMN-2019-001")
    site = register.site("SE-HAL-1", name="Hällsjön, north bay")
    b = register.specimen(
        "B-1", accession=accession, part=register.part(accession, "B"), name=family("Unionidae", "Unio crassus"),
        event=register.event(day="2019-08-14", country="SE", country_code="SE", site=site),
    )  # fmt: skip
    c = register.specimen("C-1", accession=accession, event=register.event(day="2001-05-02"), kind="lot")
    judged(a, "411111111", {Layer.LAND: Why("after-end", "{name}: 3 days after the end date of LND-1.", land)})
    judged(b, "111112111", {Layer.EXPORT: Why("no-rule", "No country sheet says so.")})
    judged(c)
    return {"A": a, "B": b, "C": c}


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ("", ["A-1", "B-1", "C-1"]),
        ("verdict=outside", ["A-1"]),
        ("verdict=outside&verdict=cannot-tell", ["A-1", "B-1"]),
        ("verdict=unchecked", []),
        ("layer=land&verdict=outside", ["A-1"]),
        ("layer=export&verdict=outside", []),
        ("layer=export", ["B-1"]),
        ("layer=any&verdict=cannot-tell", ["B-1"]),
        ("layer=land&verdict=not-required", ["B-1", "C-1"]),
        ("code=no-rule", ["B-1"]),
        ("code=no-rule&layer=land", []),
        ("paper=LND-1", ["A-1"]),
        ("paper=LND-1&any=1", ["A-1"]),
        ("paper=LND-1&layer=export&verdict=outside", []),
        ("accession=LMN-2019-001", ["B-1", "C-1"]),
        ("accession=LMN-2019-001&part=B", ["B-1"]),
        ("country=se", ["B-1"]),
        ("site=se-hal-1", ["B-1"]),
        ("taxon=calopterygidae", ["A-1"]),
        ("taxon=Unio+crassus", ["B-1"]),
        ("year_from=2019&year_to=2023", ["B-1"]),
        ("year_from=2020", ["A-1"]),
        ("year_to=2001", ["C-1"]),
        ("kind=lot", ["C-1"]),
        ("overruled=on", []),
        ("country=GE&year_from=2024&layer=land&verdict=outside&taxon=Calopterygidae", ["A-1"]),
        ("sort=specimen", ["A-1", "B-1", "C-1"]),
        ("sort=-specimen", ["C-1", "B-1", "A-1"]),
        ("sort=collected", ["C-1", "B-1", "A-1"]),
        ("sort=-collected", ["A-1", "B-1", "C-1"]),
        ("sort=accession", ["B-1", "C-1", "A-1"]),
        ("sort=-accession", ["A-1", "C-1", "B-1"]),
        ("sort=-worst", ["C-1", "B-1", "A-1"]),
        ("sort=collected&kind=specimen", ["B-1", "A-1"]),
        ("sort=nonsense&verdict=outside", ["A-1"]),
        ("q=B-", ["B-1"]),
        ("q=b-", ["B-1"]),
        ("q=LMN-2019", ["B-1", "C-1"]),
        ("q=hällsjön", ["B-1"]),
        ("q=Calopteryg", ["A-1"]),
        ("q=unio", ["B-1"]),
        ("q=nowhere", []),
    ],
)
def test_filters_and_orders(curator: Client, three: dict[str, Specimen], asked: str, expected: list[str]) -> None:
    assert numbers(curator, asked) == expected


def test_a_vague_date_is_found_in_every_year_that_it_may_mean(curator: Client) -> None:
    """Collected some time from 2018 to 2020: it may have been 2019."""
    vague = register.event(day="", earliest_on="2018-01-01", latest_on="2020-12-31", reading="vague")
    judged(register.specimen("A-1", event=vague))
    assert numbers(curator, "year_from=2019&year_to=2019") == ["A-1"]
    assert numbers(curator, "year_from=2021") == []


def test_undated_specimens_stand_as_the_earliest(curator: Client, three: dict[str, Specimen]) -> None:
    """In the order of the index and in that of a narrowed list alike."""
    judged(register.specimen("D-1", event=register.event(day="")))
    assert numbers(curator, "sort=collected") == ["D-1", "C-1", "B-1", "A-1"]
    assert numbers(curator, "sort=-collected") == ["A-1", "B-1", "C-1", "D-1"]
    assert numbers(curator, "sort=collected&kind=specimen") == ["D-1", "B-1", "A-1"]
    assert numbers(curator, "sort=-collected&kind=specimen") == ["A-1", "B-1", "D-1"]


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ("accession=LMN-1", "No accession has the number “LMN-1”."),
        ("paper=X", "No paper has the reference “X”."),
        ("site=X", "No site has the code “X”."),
        ("taxon=X", "“X” is not in the classification of this register."),
        ("part=B", "Name the accession of the part, too."),
        ("accession=LMN-2019-001&part=Q", "Accession LMN-2019-001 has no part “Q”."),
        ("year_from=2020&year_to=2019", "The last year is before the first."),
        ("verdict=fine", "Select a valid choice. fine is not one of the available choices."),
        ("reason=999999", "This reason is no longer in the register."),
    ],
)
def test_a_mistake_is_named_and_lets_nothing_through(
    curator: Client, three: dict[str, Specimen], asked: str, words: str
) -> None:
    """Not passed over: whoever links "all that match" would otherwise link everything."""
    response = curator.get(f"{LIST}?{asked}")
    assert words in response.content.decode()
    assert response.context["rows"] == []


def test_a_scanned_label_leads_to_its_specimen(curator: Client, three: dict[str, Specimen]) -> None:
    response = curator.get(LIST, {"q": "a-1"})
    assert response.status_code == 302
    assert response.headers["Location"] == f"/specimens/{three['A'].pk}/"


def test_a_label_in_a_narrowed_list_stays_in_the_list(curator: Client, three: dict[str, Specimen]) -> None:
    assert numbers(curator, "q=A-1&verdict=outside") == ["A-1"]


def test_specimens_without_a_verdict_stand_first_and_are_never_covered(
    curator: Client, three: dict[str, Specimen]
) -> None:
    register.specimen("Z-9", accession=register.accession("LMN-2026-001"))
    assert numbers(curator) == ["Z-9", "A-1", "B-1", "C-1"]
    assert numbers(curator, "verdict=unchecked") == ["Z-9"]
    assert numbers(curator, "verdict=unchecked&verdict=outside") == ["Z-9", "A-1"]
    assert numbers(curator, "verdict=covered") == []
    assert numbers(curator, "accession=LMN-2026-001") == ["Z-9"]
    assert numbers(curator, "layer=land&verdict=covered") == []
    assert answer(curator) == "2 of 4 need a look. 1 is not yet checked and stands first."
    row = curator.get(LIST).context["rows"][0]
    assert (row.is_checked, row.cells) == (False, [])
    assert "Not yet checked" in curator.get(f"{LIST}?verdict=unchecked").content.decode()


def test_what_a_row_says(curator: Client, three: dict[str, Specimen]) -> None:
    """A: outside on land only; the name that was judged stands in the sentence."""
    row = curator.get(LIST).context["rows"][0]
    assert (row.worst.verdict, row.where) == (Verdict.OUTSIDE, "land")
    assert row.sentence == "Calopteryx splendens: 3 days after the end date of LND-1."
    assert (row.collected, row.plain_strip) == ("17 Jun 2024", "La=O Co=N Sp=N Si=N Ac=N Ex=N Im=N Ci=N Tr=N")


def test_a_list_of_a_layer_shows_the_reason_of_that_layer(curator: Client) -> None:
    """Worst is land; the list asks for export."""
    judged(register.specimen("A-1"), "511112111", {
        Layer.LAND: Why("not-searched", "No paper."), Layer.EXPORT: Why("no-rule", "No rule."),
    })  # fmt: skip
    row = curator.get(f"{LIST}?layer=export").context["rows"][0]
    assert (row.worst.layer, row.where, row.sentence) == (Layer.EXPORT, "export, and 1 more", "No rule.")


def test_a_decision_of_a_person_counts_in_the_list(curator: Client, three: dict[str, Specimen]) -> None:
    overruled(three["A"], Layer.LAND, Verdict.NOT_REQUIRED)
    assert numbers(curator, "overruled=on") == ["A-1"]
    assert numbers(curator, "verdict=outside") == []
    assert numbers(curator, "layer=land&verdict=outside") == []
    assert "decided by a person" in curator.get(f"{LIST}?overruled=on").content.decode()


def test_chips_lead_to_the_list_without_their_filter(curator: Client, three: dict[str, Specimen]) -> None:
    chips = curator.get(f"{LIST}?verdict=outside&verdict=cannot-tell&layer=land&country=GE&page=2").context["chips"]
    assert [chip.words for chip in chips] == ["Cannot tell, outside terms", "On Land", "Georgia"]
    assert chips[0].without == "?layer=land&country=GE"
    assert chips[2].without == "?verdict=outside&verdict=cannot-tell&layer=land"


def test_counts_beside_the_verdicts(curator: Client, three: dict[str, Specimen]) -> None:
    options = {option.code: option.count for option in curator.get(LIST).context["verdict_options"]}
    assert (options["outside"], options["cannot-tell"], options["not-required"], options["missing"]) == (1, 1, 1, 0)
    narrowed = curator.get(f"{LIST}?country=SE").context["verdict_options"]
    assert {o.code: o.count for o in narrowed if o.count} == {"cannot-tell": 1}


def test_an_empty_register_says_so(curator: Client) -> None:
    assert answer(curator) == "The register holds no specimen yet. Bring in a file, or enter an accession."


def many(count: int) -> None:
    """Specimens M-000, M-001, ... of one event, of which every third is outside on land."""
    facts = {"event": register.event(), "accession": register.accession("LMN-M"), "name": register.written_name()}
    calm = judged(register.specimen("M-001", **facts))
    late = judged(register.specimen("M-000", **facts), "411111111")
    made = Specimen.objects.bulk_create(Specimen(catalog_number=f"M-{n:03d}", **facts) for n in range(2, count))
    Standing.objects.bulk_create(
        Standing(specimen=specimen, ruling=(calm if n % 3 else late).ruling, run=calm.run, event=specimen.event,
                 name=specimen.name, worst=0)
        for n, specimen in enumerate(made, start=2)
    )  # fmt: skip
    fill_columns("SELECT id FROM material_specimen")


class TestPages:
    """Numbered as far as is counted, then from row to row."""

    @pytest.fixture(autouse=True)
    def sixty(self) -> None:
        many(60)

    def test_numbers(self, curator: Client) -> None:
        assert numbers(curator, "sort=specimen&page=2") == [f"M-{n:03d}" for n in range(25, 50)]
        assert numbers(curator, "sort=specimen&page=3") == [f"M-{n:03d}" for n in range(50, 60)]
        assert numbers(curator, "sort=specimen&page=999") == [f"M-{n:03d}" for n in range(50, 60)]
        assert len(numbers(curator, "size=100")) == 60
        assert numbers(curator, "verdict=outside") == [f"M-{n:03d}" for n in range(0, 60, 3)]

    @pytest.mark.parametrize("sort", ["worst", "-worst", "-specimen", "collected", "-collected", "-accession"])
    @pytest.mark.parametrize("asked", ["", "&accession=LMN-M"])
    def test_from_row_to_row_every_specimen_comes_once(
        self, curator: Client, monkeypatch: pytest.MonkeyPatch, sort: str, asked: str
    ) -> None:
        """With two pages counted, the way on is from row to row: there and back it passes the same rows."""
        whole = numbers(curator, f"sort={sort}&size=100{asked}")
        monkeypatch.setattr(pages, "COUNTED_TO", 25)
        monkeypatch.setattr(pages, "NUMBERED_TO", 25)
        seen, address = [], f"sort={sort}{asked}"
        while address:
            response = curator.get(f"{LIST}?{address}")
            seen.append([row.specimen.catalog_number for row in response.context["rows"]])
            address = response.context["ways"].following.lstrip("?")
        assert [number for page in seen for number in page] == whole
        back: list[str] = []
        address = f"sort={sort}{asked}&before=0"
        while address:
            response = curator.get(f"{LIST}?{address}")
            back[:0] = [row.specimen.catalog_number for row in response.context["rows"]]
            ways = response.context["ways"]
            address = ways.previous.lstrip("?") if "before" in ways.previous else ""
        assert back == whole

    def test_more_than_is_counted_is_said_to_be_more(self, curator: Client, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(pages, "COUNTED_TO", 25)
        assert answer(curator, "accession=LMN-M").startswith("More than 25 specimens match.")
        assert answer(curator, "verdict=outside") == "20 specimens match. All of them need a look."

    def test_neighbours_follow_the_list(self, curator: Client) -> None:
        keys = dict(Specimen.objects.values_list("catalog_number", "pk"))
        form = curator.get(f"{LIST}?verdict=outside&sort=-specimen").context["form"]
        before, after = pages.neighbours(form.filters(), form.sort, keys["M-030"])
        assert (before, after) == (keys["M-033"], keys["M-027"])
        assert pages.neighbours(form.filters(), form.sort, keys["M-000"]) == (keys["M-003"], None)
        assert pages.neighbours(form.filters(), form.sort, 0) == (None, None)

    def test_queries_do_not_grow_with_rows(
        self, curator: Client, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        """Session and user; the mark and two counts; the page; its rows, their reasons and sentences."""
        for size in (25, 100):
            with django_assert_num_queries(9):
                curator.get(f"{LIST}?size={size}")
        with django_assert_num_queries(10):
            curator.get(f"{LIST}?accession=LMN-M&sort=collected")


class TestReasons:
    """Many specimens, one reason: shown once, with the list of exactly those."""

    @pytest.fixture(autouse=True)
    def shared(self) -> None:
        """Two outcomes differ in their measure alone: one reason. Another paper: another reason."""
        first, second = register.paper("LND-1", (Layer.LAND,)), register.paper("LND-2", (Layer.LAND,))
        for n, (days, paper) in enumerate([(3, first), (3, first), (9, first), (3, second)]):
            judged(register.specimen(f"A-{n}"), "411112111", {
                Layer.LAND: Why("after-end", f"{days} days after the end.", paper),
                Layer.EXPORT: Why("no-rule", "No rule."),
            })  # fmt: skip

    def test_counts_and_lists_agree(self, curator: Client) -> None:
        response = curator.get(f"{LIST}?group=reason")
        reasons = response.context["reasons"]
        told = [(r.specimens, r.layer, r.code, r.paper and r.paper.reference) for r in reasons]
        assert told == [
            (4, Layer.EXPORT, "no-rule", None), (3, Layer.LAND, "after-end", "LND-1"),
            (1, Layer.LAND, "after-end", "LND-2"),
        ]  # fmt: skip
        assert [len(numbers(curator, r.list_address.partition("?")[2])) for r in reasons] == [4, 3, 1]
        assert "<b>3 reasons</b>" in response.content.decode()

    def test_a_filter_narrows_the_reasons(self, curator: Client) -> None:
        reasons = curator.get(f"{LIST}?group=reason&paper=LND-2").context["reasons"]
        assert [(r.specimens, r.code) for r in reasons] == [(1, "after-end"), (1, "no-rule")]

    def test_what_a_person_decided_is_settled(self, curator: Client) -> None:
        """Of the three by LND-1 one is decided: two are left, and the list says the same."""
        overruled(Specimen.objects.get(catalog_number="A-0"), Layer.LAND, Verdict.COVERED)
        reasons = curator.get(f"{LIST}?group=reason").context["reasons"]
        assert [r.specimens for r in reasons] == [4, 2, 1]

    def test_queries(self, curator: Client, django_assert_num_queries: DjangoAssertNumQueries) -> None:
        with django_assert_num_queries(6):
            curator.get(f"{LIST}?group=reason")


def test_nobody_reads_the_list_unknown(client: Client) -> None:
    assert client.get(LIST).headers["Location"].startswith("/sign-in/")


def test_a_volunteer_reads_but_neither_links_nor_exports(client: Client, three: dict[str, Specimen]) -> None:
    client.force_login(register.person(Role.VOLUNTEER))
    text = client.get(LIST).content.decode()
    assert "A-1" in text
    assert "export.csv" not in text
    assert "Link to a paper" not in text
