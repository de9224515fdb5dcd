"""Agents and the forms of their names: the actions and what finds them."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError

from accessions.people import actions
from accessions.people.models import Agent, AgentName, Role, User
from accessions.people.queries import agents, agents_named, mentions, namesakes
from accessions.sites.models import SiteTenure
from governance.papers.models import VersionPerson
from tests.factories import register

pytestmark = pytest.mark.django_db


@pytest.fixture
def curator() -> User:
    return register.person(Role.CURATOR)


@pytest.fixture
def jonna(curator: User) -> Agent:
    agent = actions.add_agent(by=curator, why="label", name="Jonna Ek")
    actions.add_name_form(agent, by=curator, why="label", form="J. Ek")
    return agent


class TestForms:
    def test_name_is_the_first_form(self, jonna: Agent) -> None:
        assert sorted(jonna.names.values_list("form", "key")) == [("J. Ek", "jek"), ("Jonna Ek", "jonnaek")]

    @pytest.mark.parametrize("form", ["J EK", "Ek, J.", "j.ek"])
    def test_form_that_is_there_in_other_dress(self, jonna: Agent, curator: User, form: str) -> None:
        with pytest.raises(ValidationError, match="already listed"):
            actions.add_name_form(jonna, by=curator, why="", form=form)

    @pytest.mark.parametrize("name", ["", "  ", " . ", "unknown", "n/a", ","])
    def test_name_of_nobody(self, curator: User, name: str) -> None:
        with pytest.raises(ValidationError) as refusal:
            actions.add_agent(by=curator, why="", name=name)
        assert list(refusal.value.message_dict) == ["name"]
        assert not Agent.objects.exists()

    def test_blanks_within_are_one(self, curator: User) -> None:
        assert actions.add_agent(by=curator, why="", name="  Jonna \t Ek ").name == "Jonna Ek"

    def test_new_name_keeps_the_old_form(self, jonna: Agent, curator: User) -> None:
        actions.edit_agent(jonna, by=curator, why="married", name="Jonna Alm")
        assert sorted(jonna.names.values_list("form", flat=True)) == ["J. Ek", "Jonna Alm", "Jonna Ek"]

    def test_shown_name_is_not_removed(self, jonna: Agent, curator: User) -> None:
        with pytest.raises(ValidationError, match="Lists show the agent"):
            actions.remove_name_form(jonna.names.get(key="jonnaek"), by=curator, why="")
        assert jonna.names.count() == 2

    def test_removed_form_finds_nobody_and_stays_in_the_history(self, jonna: Agent, curator: User) -> None:
        actions.remove_name_form(jonna.names.get(key="jek"), by=curator, why="another Ek")
        assert not agents_named("J. Ek").exists()
        gone = AgentName.history.get(history_type="-")
        assert (gone.form, gone.history_user, gone.history_change_reason) == ("J. Ek", curator, "another Ek")

    def test_longest_name(self, curator: User) -> None:
        actions.add_agent(by=curator, why="", name="a" * 200)
        with pytest.raises(ValidationError):
            actions.add_agent(by=curator, why="", name="a" * 201)


class TestAgentsNamed:
    """recordedBy: names parted by a vertical bar, in any form."""

    @pytest.mark.parametrize("text", ["J. Ek", "ek, j", "Jonna Ek | N. Nobody", "N. Nobody|J Ek|Jonna Ek"])
    def test_finds(self, jonna: Agent, text: str) -> None:
        assert list(agents_named(text)) == [jonna]

    @pytest.mark.parametrize("text", ["", "unknown", " | ", "Ek", "J. Eks", "J. Ek & I. Holm", "J. Ek; I. Holm"])
    def test_finds_nobody(self, jonna: Agent, text: str) -> None:
        """Signs other than the bar stay inside a name; a part of a name is no name."""
        assert list(agents_named(text)) == []

    def test_two_of_one_name(self, jonna: Agent, curator: User) -> None:
        other = actions.add_agent(by=curator, why="", name="J. Ek")
        assert set(agents_named("J. Ek")) == {jonna, other}
        assert list(namesakes(jonna)) == [other]


class TestList:
    @pytest.mark.parametrize("text", ["ek", "EK, J", "jonna", "onna e", "J.E"])
    def test_any_part_of_any_form(self, jonna: Agent, text: str) -> None:
        register.agent("I. Holmqvist")
        assert list(agents(text=text)) == [jonna]

    @pytest.mark.parametrize("text", ["%", "_", "...", "zz"])
    def test_signs_are_no_wildcards(self, jonna: Agent, text: str) -> None:
        assert list(agents(text=text)) == []

    def test_orders(self, jonna: Agent) -> None:
        station = register.agent("Nazvri Station", kind="organisation")
        assert list(agents(order="name")) == [jonna, station]
        assert list(agents(order="-name")) == [station, jonna]
        assert list(agents(order="kind")) == [station, jonna]
        assert list(agents(kind="person")) == [jonna]

    def test_order_that_is_none(self, jonna: Agent) -> None:
        assert list(agents(order="password")) == [jonna]


class TestMentions:
    def test_nothing(self, jonna: Agent) -> None:
        assert mentions(jonna, register.person()) == []

    def test_of_every_room(self, jonna: Agent) -> None:
        register.accession(source=jonna)
        SiteTenure.objects.create(site=register.site(), agent=jonna)
        paper = register.paper(issuer_agent=jonna)
        VersionPerson.objects.create(version=register.version(paper), name="J. Ek", agent=jonna)
        assert {found.relation: found.count for found in mentions(jonna, register.person())} == {
            "accessions": 1, "tenures": 1, "issued_papers": 1, "named_on": 1,
        }  # fmt: skip

    def test_long_list_says_how_many_more(self, jonna: Agent) -> None:
        for number in range(52):
            register.accession(f"LMN-{number:03d}", source=jonna)
        (found,) = mentions(jonna, register.person())
        assert (found.count, len(found.rows), found.more) == (52, 50, 2)
