"""A group with its place in the classification: what it decides, where it comes from, and what is refused.

Ranks and higher names: taxonRank and higherClassification of the Darwin Core quick reference guide (TDWG). The places
of Trichoptera (Insecta) and Unionidae (Bivalvia) are those of any textbook of zoology.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from accessions.names.actions import load_taxa
from accessions.names.listed import ListedTaxon
from accessions.people.models import Role
from governance.engine.tables import Layer, Verdict
from governance.papers import actions
from governance.plans.models import FieldPlan, StopTarget
from governance.plans.queries.check import check_plan
from governance.plans.queries.known_groups import KnownGroups
from tests.factories import plans as f
from tests.factories import register as r
from tests.factories.paper_objects import paper_object

pytestmark = pytest.mark.django_db

INSECTA = "Animalia | Arthropoda | Insecta"
BIVALVIA = "Animalia | Mollusca | Bivalvia"


def known(*, insects: bool = True) -> None:
    """A list of taxa with mussels, and with insects if wanted."""
    ranks = ("kingdom", "phylum", "class", "order")
    rows: list[tuple[str, str, tuple[str, ...]]] = [
        ("Unionidae", "family", ("Animalia", "Mollusca", "Bivalvia", "Unionida"))
    ]
    if insects:
        rows += [("Odonata", "order", ("Animalia", "Arthropoda", "Insecta"))]
    taxa = [
        ListedTaxon(number, name, rank, "", dict(zip(ranks, higher, strict=False)))
        for number, (name, rank, higher) in enumerate(rows, start=2)
    ]
    load_taxa(taxa, name="Brook animals", source="invented", by=r.person(Role.REGISTRAR), why="a test")


def planned(**group: Any) -> FieldPlan:
    """One stop for one group, under a permit for Insecta but Unionidae."""
    plan = f.field_plan()
    r.rule(r.sheet("SE"), Layer.COLLECTING)
    version = {
        "in_force_from": "2027-06-01", "in_force_to": "2027-06-30",
        "taxa": {"include": ["Insecta"], "exclude": ["Unionidae"]},
    }  # fmt: skip
    data = paper_object("COL-1", jurisdiction="SE", issuer="County (invented)", versions=[version])
    f.attach(plan, actions.register(data=data, by=r.person(Role.REGISTRAR), why="a test"), r.person())
    f.target(f.stop(plan), **group)
    return plan


def verdict(plan: FieldPlan) -> Verdict:
    check = check_plan(plan, today=date(2026, 11, 26))
    (one,) = check.loaded.stops
    return check.cells[one.stop.pk, Layer.COLLECTING].verdict


class TestVerdicts:
    def test_a_name_that_nobody_knows_cannot_be_told(self) -> None:
        known()
        assert verdict(planned(name="Trichoptera")) == Verdict.CANNOT_TELL

    def test_rank_and_higher_names_decide_it(self) -> None:
        known()
        assert verdict(planned(name="Trichoptera", rank="order", higher=INSECTA)) == Verdict.COVERED

    def test_a_group_of_another_class_is_outside(self) -> None:
        """Sphaeriidae are mussels too, and no insects."""
        known()
        assert verdict(planned(name="Sphaeriidae", rank="family", higher=BIVALVIA)) == Verdict.OUTSIDE

    def test_what_is_excluded_stays_so_whatever_it_is_said_to_belong_to(self) -> None:
        known()
        assert verdict(planned(name="Unionidae", rank="family", higher=INSECTA)) != Verdict.COVERED

    def test_the_rank_of_a_name_that_nobody_ranks_is_not_guessed(self) -> None:
        """Neither the register nor the planner says that Insecta are a class or Trichoptera an order, as Bivalvia and
        Unionida are: the group lies in Insecta, yet Unionidae cannot be ruled out."""
        known(insects=False)
        assert verdict(planned(name="Trichoptera", higher=INSECTA)) == Verdict.CANNOT_TELL


class TestRegister:
    def test_it_says_rank_and_higher_names_with_its_source(self) -> None:
        known()
        row = {"name": "Odonata", "kingdom": "", "rank": "", "higher": ""}
        filled, words = KnownGroups([row]).filled(row)
        assert (filled["rank"], filled["higher"]) == ("order", INSECTA)
        assert words == "Odonata: order in Animalia | Arthropoda | Insecta, by the list Brook animals."

    def test_what_was_typed_stays(self) -> None:
        known()
        row = {"name": "Odonata", "kingdom": "", "rank": "order", "higher": ""}
        assert KnownGroups([row]).filled(row) == (row, "")

    @pytest.mark.parametrize(
        ("row", "field", "words"),
        [
            ({"name": "Odonata", "rank": "class"}, "rank", "of the rank: order"),
            ({"name": "Odonata", "higher": BIVALVIA}, "higher", "not in Mollusca"),
            ({"name": "Quaggia", "kingdom": "Plantae", "higher": "Animalia"}, "higher", "another kingdom than Plantae"),
        ],
    )
    def test_what_speaks_against_it_is_refused(self, row: dict[str, str], field: str, words: str) -> None:
        """Else Odonata would be covered by a paper for mussels too."""
        known()
        whole = {"kingdom": "", "rank": "", "higher": ""} | row
        found = KnownGroups([whole]).problem(whole)
        assert found[0] == field
        assert words in found[1]

    def test_what_agrees_or_is_not_known_is_not(self) -> None:
        known()
        for row in (
            {"name": "Odonata", "rank": "order", "higher": "Insecta"},
            {"name": "Quaggia", "higher": "Nowhere"},
        ):
            whole = {"kingdom": "", "rank": "", "higher": ""} | row
            assert KnownGroups([whole]).problem(whole) == ("", "")

    def test_a_name_of_two_kingdoms_is_placed_by_its_kingdom_alone(self) -> None:
        """Oenanthe is a genus of birds (Animalia) and of plants (Plantae): two codes of nomenclature."""
        taxa = [
            ListedTaxon(number, "Oenanthe", "genus", "", {"kingdom": kingdom})
            for number, kingdom in enumerate(("Animalia", "Plantae"), start=2)
        ]
        load_taxa(taxa, name="Homonyms", source="invented", by=r.person(Role.REGISTRAR), why="a test")
        row = {"name": "Oenanthe", "kingdom": "", "rank": "", "higher": ""}
        groups = KnownGroups([row])
        assert groups.place(row) is None
        place = groups.place({**row, "kingdom": "plantae"})
        assert place is not None
        assert place.higher == "Plantae"


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(r.person(Role.CURATOR))
    return client


def target() -> tuple[str, str, str]:
    one = StopTarget.objects.get()
    return one.name, one.rank, one.higher


class TestPages:
    def sent(self, **typed: str) -> dict[str, str]:
        return {
            "name": "Upper bridge", "targets-TOTAL_FORMS": "1", "targets-INITIAL_FORMS": "0",
            "traps-TOTAL_FORMS": "0", "traps-INITIAL_FORMS": "0", **typed,
        }  # fmt: skip

    def test_the_form_fills_in_what_the_register_knows(self, client: Client) -> None:
        known()
        address = reverse("plans:stop-new", args=[f.field_plan().pk])
        answer = client.post(address, self.sent(**{"targets-0-name": "Odonata"}), follow=True)
        assert target() == ("Odonata", "order", INSECTA)
        assert "by the list Brook animals" in answer.content.decode()

    def test_the_form_keeps_what_is_typed(self, client: Client) -> None:
        typed = {"targets-0-name": "Trichoptera", "targets-0-rank": "order", "targets-0-higher": "Animalia;Insecta"}
        client.post(reverse("plans:stop-new", args=[f.field_plan().pk]), self.sent(**typed))
        assert target() == ("Trichoptera", "order", "Animalia | Insecta")

    def test_what_speaks_against_the_register_stands_at_its_box(self, client: Client) -> None:
        known()
        typed = {"targets-0-name": "Odonata", "targets-0-higher": BIVALVIA}
        answer = client.post(reverse("plans:stop-new", args=[f.field_plan().pk]), self.sent(**typed))
        assert answer.status_code == 422
        assert (
            "The register places Odonata in Animalia | Arthropoda | Insecta, not in Mollusca."
            in answer.content.decode()
        )
        assert not StopTarget.objects.exists()

    @pytest.mark.parametrize(
        ("ranks", "higher"), [("order", INSECTA), ("order;order", f"{INSECTA}; {INSECTA}"), ("Order | order", INSECTA)]
    )
    def test_a_table_has_one_for_all_or_one_each(self, client: Client, ranks: str, higher: str) -> None:
        table = f"stop\tgroups\tRank\thigherClassification\nBridge\tTrichoptera | Plecoptera\t{ranks}\t{higher}"
        client.post(reverse("plans:stops-paste", args=[f.field_plan().pk]), {"text": table, "how": "add", "take": "1"})
        found = list(StopTarget.objects.order_by("position").values_list("name", "rank", "higher"))
        assert found == [("Trichoptera", "order", INSECTA), ("Plecoptera", "order", INSECTA)]

    def test_a_rank_that_is_none_is_refused(self, client: Client) -> None:
        table = "stop\tgroups\trank\nBridge\tTrichoptera\tswarm"
        answer = client.post(reverse("plans:stops-paste", args=[f.field_plan().pk]), {"text": table, "look": "1"})
        assert "is no rank that is known" in answer.content.decode()
