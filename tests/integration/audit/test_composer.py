"""The composer against a second reading of the same rows in Python: one row, one condition at a time, three answers.

The second reading tries every day and every number that a record may mean, and knows nothing of the database. Source of
the logic: the strong three-valued logic of Kleene, "all" as the least and "any" as the greatest of no, unknown, yes.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from urllib.parse import urlencode

import pytest
from django.http import QueryDict
from hypothesis import given, settings
from hypothesis import strategies as st

from accessions.material.models import Delivery, Specimen
from accessions.names.models import Taxon
from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.audit.composer.conditions import (
    Composed,
    Condition,
    Group,
    Join,
    Subject,
    Test,
    from_address,
    from_object,
    to_object,
    to_pairs,
)
from governance.audit.composer.running import ComposedError, answer
from governance.audit.composer.subjects import CATALOGUES
from governance.engine.tables import Layer, Verdict
from tests.factories import duties, register, usedesk, verdicts
from tests.factories.verdicts import Why

TODAY = date(2026, 11, 26)
NO, UNKNOWN, YES = 0, 1, 2


def asked(*groups: Group, subject: Subject = Subject.MATERIAL, reader: Any = None, **more: Any) -> Any:
    return answer(Composed(subject, groups, **more), on=TODAY, reader=reader or register.person(Role.REGISTRAR))


def one(key: str, test: str, value: str = "") -> Group:
    return Group((Condition(key, test, value),))


# Material against the second reading ----------------------------------------------------------------------------------


@dataclass
class Known:
    """What is known of one specimen: for each field the values that the record may mean, None where it says nothing."""

    key: str
    days: list[date] | None
    numbers: list[int] | None
    texts: dict[str, str | None]
    path: tuple[str, ...] | None
    strip: str
    codes: frozenset[str]
    where: str
    used: frozenset[str]
    overruled: bool = False


TAXA = {"Odonata": (), "Calopterygidae": ("Odonata",), "Calopteryx": ("Odonata", "Calopterygidae"),
        "Cordulegaster": ("Odonata",)}  # fmt: skip
MANY = 60
"""Stands for no bound: above every number that the conditions ask about."""


def taxa() -> dict[str, Taxon]:
    made: dict[str, Taxon] = {}
    for name, above in TAXA.items():
        lineage = "".join(f"{part.lower()}|" for part in (*above, name))
        parent = made[above[-1]] if above else None
        made[name] = Taxon.objects.create(name=name, key=name.lower(), lineage=lineage, parent=parent)
    return made


def days_of(first: date, last: date) -> list[date]:
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def material() -> list[Known]:
    """24 specimens, each another mixture of what is known and what is not."""
    placed, found = taxa(), []
    field_trip = register.accession("A-1", kind="field", source=register.agent("J. Ek"))
    unsaid = register.accession("A-2", kind="unknown")
    spans = [(date(2014, 12, 31),) * 2, (date(2015, 1, 1),) * 2, (date(2014, 12, 1), date(2015, 1, 31)), None]
    numbers = [(1, 1, False), (3, 3, False), (2, 5, False), (4, None, False), (1, 1, True)]
    names = [*placed, None]
    strips = ["111111111", "500000000", "010000004"]
    for n in range(24):
        span, (low, high, assumed) = spans[n % 4], numbers[n % 5]
        country, sex, name = ("GE", "CR", "")[n % 3], ("male", "")[n % 2], names[n % 5]
        collector, strip = ("J. Ek", "", "N. Berg")[n % 3], strips[n // 2 % 3]
        event = register.event(country=country, recorded_by=collector, earliest_on=span and span[0],
                               latest_on=span and span[1], reading="run" if span else "missing")  # fmt: skip
        written = register.written_name(f"Name {name}", taxon=placed[name] if name else None)
        code = "after-end" if strip == "010000004" else ""
        specimen = register.specimen(
            f"N-{n:02}", event=event, name=written, accession=(field_trip, unsaid)[n % 2], sex=sex,
            kind=("specimen", "lot")[n // 4 % 2], count_low=low, count_high=high, count_assumed=assumed,
        )  # fmt: skip
        verdicts.judged(specimen, strip, {Layer.TRANSFER: Why(code)} if code else None)
        found.append(Known(
            f"specimen:{specimen.pk}", days_of(*span) if span else None,
            None if assumed else list(range(low, (high or MANY) + 1)),
            {"number": f"N-{n:02}", "country": country or None, "sex": sex or None, "collector": collector or None,
             "kind": specimen.kind, "accession-kind": (None, "field")[n % 2 == 0],
             "source": (None, "J. Ek")[n % 2 == 0]},
            (*TAXA[name], name) if name else None, strip, frozenset({code} - {""}), "here", frozenset(),
        ))  # fmt: skip
    return found


def with_uses(found: list[Known]) -> list[Known]:
    """The first is out on loan, the second came back, the third was given away, the fourth has an overruled layer."""
    rows = [Specimen.objects.get(catalog_number=f"N-{n:02}") for n in range(4)]
    lent = usedesk.made_use(rows[0], rows[1], recipient=usedesk.recipient(name="Hafnarvik"))
    lent.items.filter(specimen=rows[1]).update(
        returned=lent.returns.create(on=date(2026, 4, 1), recorded_by=register.person(Role.REGISTRAR))
    )
    usedesk.made_use(rows[2], deed="gift")
    verdicts.overruled(rows[3], Layer.LAND, Verdict.STRADDLES)
    found[0].where, found[2].where = "out", "gone"
    found[0].used = found[1].used = frozenset({"loan"})
    found[2].used, found[3].overruled = frozenset({"gift"}), True
    found[3].strip = f"3{found[3].strip[1:]}"
    return found


def tried(values: Iterable[Any] | None, holds: Callable[[Any], bool]) -> int:
    """Yes if every value that may be meant holds, no if none does."""
    if values is None:
        return UNKNOWN
    held = {holds(value) for value in values}
    return UNKNOWN if len(held) == 2 else (YES if True in held else NO)


def line(values: Iterable[Any] | None, test: str, told: Any) -> int:
    if test == "known":
        return NO if values is None else YES
    if test == "not-known":
        return YES if values is None else NO
    holds: dict[str, Callable[[Any], bool]] = {
        "is": lambda v: v == told, "is-not": lambda v: v != told, "before": lambda v: v < told,
        "after": lambda v: v > told, "at-least": lambda v: v >= told, "at-most": lambda v: v <= told,
        "contains": lambda v: str(told).lower() in v.lower(), "one-of": lambda v: v in str(told).split("; "),
    }  # fmt: skip
    return tried(values, holds[test])


def taxon(path: tuple[str, ...] | None, test: str, told: str) -> int:
    if path is None or (path[-1] in TAXA[told]):
        return UNKNOWN
    return YES if (told in path) == (test == "is") else NO


def second_reading(known: Known, condition: Condition) -> int:
    key, test, value = condition.field, condition.test, condition.value
    if key == "day":
        return line(known.days, test, date.fromisoformat(value) if value else None)
    if key == "count":
        values = known.numbers
        if test in ("known", "not-known") and values is not None and MANY in values:
            values = None  # "4 or more" is no number
        return line(values, test, int(value) if value else None)
    if key == "taxon":
        return taxon(known.path, test, value) if value else taxon_known(known.path, test)
    if key == "any-verdict":
        return YES if (value in known.strip) == (test == "is") else NO
    if key == "where":
        return line([known.where], test, value)
    if key in ("used", "finding"):
        return YES if (value in (known.used if key == "used" else known.codes)) == (test == "is") else NO
    if key == "overruled":
        return YES if known.overruled == (value == "yes") else NO
    values_of = {"worst": max(known.strip), "verdict-land": known.strip[0]}
    text = values_of[key] if key in values_of else known.texts[key]
    return line(None if text is None else [text], test, value)


def taxon_known(path: tuple[str, ...] | None, test: str) -> int:
    return YES if (path is not None) == (test == "known") else NO


SAMPLES: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "day": (("before", "after", "is", "is-not", "at-least", "at-most"), ("2014-12-31", "2015-01-01", "2015-01-31")),
    "count": (("is", "is-not", "at-least", "at-most"), ("1", "3", "4", "5")),
    "country": (("is", "is-not"), ("GE", "CR")), "sex": (("is", "is-not", "contains"), ("male", "al")),
    "collector": (("is", "contains", "one-of"), ("J. Ek", "e", "J. Ek; N. Berg")),
    "number": (("is", "contains", "one-of"), ("N-03", "N-1", "N-01; N-02")),
    "kind": (("is", "is-not"), ("lot",)), "accession-kind": (("is", "is-not"), ("field", "gift")),
    "source": (("is", "contains"), ("J. Ek", "x")), "taxon": (("is", "is-not"), tuple(TAXA)),
    "worst": (("is", "is-not", "one-of"), ("5", "1")), "verdict-land": (("is", "is-not"), ("5", "0", "3")),
    "any-verdict": (("is", "is-not"), ("4", "0")), "finding": (("is", "is-not"), ("after-end",)),
    "where": (("is", "is-not"), ("here", "out", "gone")), "used": (("is", "is-not"), ("loan", "gift")),
    "overruled": (("is",), ("yes", "no")),
}  # fmt: skip


def conditions() -> st.SearchStrategy[Condition]:
    told = st.sampled_from(sorted(SAMPLES)).flatmap(
        lambda key: st.builds(
            Condition, st.just(key), st.sampled_from(SAMPLES[key][0]), st.sampled_from(SAMPLES[key][1])
        )
    )
    lackable = [key for key in SAMPLES if CATALOGUES[Subject.MATERIAL].by_key[key].may_lack]
    known = st.builds(Condition, st.sampled_from(lackable), st.sampled_from(["known", "not-known"]))
    return st.one_of(told, told, told, known)


def composed() -> st.SearchStrategy[Composed]:
    joins = st.sampled_from(Join)
    group = st.builds(Group, st.lists(conditions(), min_size=1, max_size=3).map(tuple), joins)
    groups = st.lists(group, min_size=1, max_size=2).map(tuple)
    return st.builds(Composed, groups=groups, join=joins)


def joined(values: list[int], join: Join) -> int:
    return min(values) if join is Join.ALL else max(values)


def whole(known: Known, question: Composed) -> int:
    groups = [joined([second_reading(known, one) for one in g.conditions], g.join) for g in question.groups]
    return joined(groups, question.join)


@pytest.mark.django_db
def test_agrees_with_a_second_reading() -> None:
    rows = with_uses(material())
    reader = register.person(Role.REGISTRAR)

    @settings(max_examples=30)
    @given(composed())
    def agrees(question: Composed) -> None:
        found = answer(question, on=TODAY, reader=reader)
        told = {known.key: whole(known, question) for known in rows}
        assert {row.key for row in found.rows} == {key for key, value in told.items() if value == YES}
        assert found.count == sum(value == YES for value in told.values())
        unsaid = [sum(told[known.key] == UNKNOWN and second_reading(known, c) == UNKNOWN for known in rows)
                  for c in question.conditions]  # fmt: skip
        assert [missing.count for missing in found.missing] == [n for n in unsaid if n]

    agrees()


@pytest.mark.django_db
class TestMaterial:
    """What the second reading does not show."""

    def test_what_has_no_verdict_is_said_to_be_left_out(self) -> None:
        verdicts.judged(register.specimen())
        register.specimen()
        found = asked(one("country", "is", "GE"))
        assert found.count == 1
        assert [(missing.count, "no verdict yet" in missing.words) for missing in found.missing] == [(1, True)]

    def test_states_of_deliveries_are_those_of_the_delivery(self) -> None:
        """Against ``Delivery.is_unreleased``; a delivery entered without a receipt tells nothing of its release."""
        by, day = register.person(Role.REGISTRAR), date(2026, 1, 2)
        accession = register.accession()
        released = {"quarantine_waived": "in ethanol", "released_by": by, "released_at": "2026-01-03T12:00Z"}
        kinds: list[dict[str, Any]] = [
            {}, {"entry_number": "E-1"}, {"quarantine_in_on": day}, {"entry_number": "E-2", "quarantine_in_on": day},
            {"quarantine_in_on": day, "quarantine_out_on": day}, {"entry_number": "E-3", **released},
        ]  # fmt: skip
        made = [register.delivery(accession, number, **values) for number, values in enumerate(kinds, start=1)]
        keys = {d.pk: verdicts.judged(register.specimen(accession=accession, delivery=d)).pk for d in made}
        loose = verdicts.judged(register.specimen(accession=accession)).pk

        def keys_in(state: str) -> set[str]:
            return {row.key for row in asked(one("arrival", "is", state)).rows}

        unreleased = {f"specimen:{keys[d.pk]}" for d in Delivery.objects.all() if d.is_unreleased}
        assert keys_in("quarantine") | keys_in("waiting") == unreleased
        assert keys_in("released") == {f"specimen:{keys[made[5].pk]}"}
        unsaid = {row.key for row in asked(one("arrival", "not-known")).rows}
        assert unsaid == {f"specimen:{key}" for key in (keys[made[0].pk], keys[made[4].pk], loose)}

    def test_cells_and_orders_of_every_field(self) -> None:
        """Every column can be shown and every order taken, of a specimen with everything and of one with nothing."""
        rows = with_uses(material())
        catalogue = CATALOGUES[Subject.MATERIAL]
        keys = [f.key for f in catalogue.fields if f.cell is not None]
        for columns in (keys[:12], keys[12:23], keys[23:]):
            assert len(asked(columns=tuple(columns)).rows.between(0, 30)) == len(rows)
        for key in [f.key for f in catalogue.fields if f.order]:
            first, last = (asked(order=sign + key).rows.between(0, 30) for sign in ("", "-"))
            assert [row.key for row in first] == [row.key for row in reversed(last)]

    def test_queries(self, django_assert_max_num_queries: Any) -> None:
        """The same number whatever the number of rows: rows, count, left out, and what stands beside a slice."""
        with_uses(material())
        reader = register.person(Role.REGISTRAR)
        with django_assert_max_num_queries(9):
            groups = (one("country", "is", "GE"), one("day", "before", "2015-01-01"))
            found = asked(*groups, reader=reader, columns=("name", "where", "lent-to", "strip"))
            assert found.rows.between(0, 25)


# The other subjects ---------------------------------------------------------------------------------------------------


@pytest.mark.django_db
class TestPapers:
    def test_what_is_not_open_is_neither_yes_nor_no(self) -> None:
        """A curator learns nothing of the issuer of a paper that is open to registrars alone: not by any test, and the
        number of what is kept back is the same whatever is asked."""
        register.paper("OPEN-1", issuer="Nazvri Directorate")
        register.paper("SHUT-1", issuer="Nazvri Directorate", restricted_to=role_bits([Role.REGISTRAR]),
                       restricted_why="names a private owner")  # fmt: skip
        registrar, curator = register.person(Role.REGISTRAR), register.person(Role.CURATOR)
        for test, value, all_of_them in (("contains", "nazvri", 2), ("is-not", "somebody", 2), ("known", "", 2),
                                         ("is", "Somebody", 0)):  # fmt: skip
            whole = asked(one("issuer", test, value), subject=Subject.PAPERS, reader=registrar)
            assert (whole.count, whole.kept_back) == (all_of_them, ())
            found = asked(
                one("issuer", test, value), subject=Subject.PAPERS, reader=curator, columns=("issuer", "issued")
            )
            assert found.count == all_of_them // 2
            assert "Of 1 paper" in found.kept_back[0]
        shown = asked(subject=Subject.PAPERS, reader=curator, columns=("issuer",)).rows.between(0, 9)
        assert [row.cells[1] for row in shown] == ["Nazvri Directorate", None]

    def test_states_and_days(self) -> None:
        """Ended on 30 June 2026, in force to 6 December (10 days left), in force without an end, not read."""
        for reference, last in (("P-1", "2026-06-30"), ("P-2", "2026-12-06"), ("P-3", None)):
            register.version(register.paper(reference), "2026-01-01", last)
        register.paper("P-4")

        def told(key: str, test: str, value: str = "") -> tuple[list[str], list[Any]]:
            found = asked(one(key, test, value), subject=Subject.PAPERS)
            return [str(row.cells[0].value) for row in found.rows], [m.count for m in found.missing]

        assert told("state", "is", "in-force") == (["P-2", "P-3"], [])
        assert told("state", "one-of", "ended; not read yet") == (["P-1", "P-4"], [])
        assert told("days-left", "at-most", "10") == (["P-2"], [3])
        assert told("last", "before", "2026-07-01") == (["P-1"], [2])
        assert told("last", "not-known") == (["P-3", "P-4"], [])


@pytest.mark.django_db
def test_uses_within_the_terms_are_known_or_not() -> None:
    """Outside; within; without an answer of the desk: not known; voided: no use at all, and said to be left out."""
    usedesk.made_use(reference="U-1", is_outside=True, answer=5)
    usedesk.made_use(reference="U-2", answer=0, commercial="yes")
    usedesk.made_use(reference="U-3")
    usedesk.made_use(
        reference="U-4", voided_at="2026-01-01T12:00Z", voided_by=register.person(Role.REGISTRAR), voided_why="slip"
    )

    def told(key: str, value: str) -> tuple[list[str], list[Any]]:
        found = asked(one(key, "is", value), subject=Subject.USES, order="number")
        assert found.notes == ("1 voided entry is left out.",)
        return [str(row.cells[0].value) for row in found.rows], [m.count for m in found.missing]

    assert told("outside", "yes") == (["U-1"], [1])
    assert told("outside", "no") == (["U-2"], [1])
    assert told("commercial", "yes") == (["U-2"], [2])


@pytest.mark.django_db
def test_duties_by_state_paper_and_person() -> None:
    shut = register.paper(
        "SHUT-1", restricted_to=role_bits([Role.REGISTRAR]), restricted_why="private", jurisdiction="GE"
    )
    jon, curator = register.person(Role.CURATOR, username="jon"), register.person(Role.CURATOR)
    duties.duty(what="Send the CANARY letter", paper=shut, due_on=TODAY - timedelta(days=1), assignee=jon)
    duties.duty(due_on=None)
    found = asked(one("state", "is", "late"), one("who", "is", str(jon.pk)), one("paper", "is", "SHUT-1"),
                  one("country", "is", "GE"), subject=Subject.DUTIES, reader=curator)  # fmt: skip
    assert found.count == 1
    assert "CANARY" not in str(found.rows.between(0, 9))
    hunted = asked(one("what", "contains", "CANARY"), subject=Subject.DUTIES, reader=curator)
    assert (hunted.count, len(hunted.kept_back)) == (0, 1)
    assert asked(one("due", "not-known"), subject=Subject.DUTIES).count == 1


# What cannot be asked, and how it is written --------------------------------------------------------------------------


@pytest.mark.django_db
def test_all_mistakes_are_told_at_once_with_their_places() -> None:
    lines = (
        Condition("day", "before", "31/04/2019"),
        Condition("country", "is", "GE"),
        Condition("count", "at-least", "many"),
    )
    second = (
        Condition("paper", "is", "NOPE"), Condition("taxon", "is", "Nix"), Condition("strip", "is", "1"),
        Condition("colour"), Condition("country", "before", "GE"), Condition("sex", "is", ""),
    )  # fmt: skip
    with pytest.raises(ComposedError) as caught:
        asked(Group(lines), Group(second))
    said = {problem.place: problem.words for problem in caught.value.problems}
    assert list(said) == [(0, 0), (0, 2), *((1, n) for n in range(6))]
    for place, words in (
        ((0, 0), "31/04/2019"),
        ((0, 2), "many"),
        ((1, 0), "NOPE"),
        ((1, 1), "Nix"),
        ((1, 3), "colour"),
    ):
        assert words in said[place]
    with pytest.raises(ComposedError, match="column"):
        asked(columns=("colour",))
    with pytest.raises(ComposedError, match="ordered"):
        asked(order="sex")


words = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=20).map(str.strip)
lines = st.builds(Condition, words.filter(bool), st.sampled_from([test.value for test in Test]), words)
kept = st.builds(
    Composed, st.sampled_from(Subject),
    st.lists(st.builds(Group, st.lists(lines, min_size=1, max_size=4).map(tuple), st.sampled_from(Join)), min_size=1,
             max_size=3).map(tuple),
    st.sampled_from(Join), st.lists(words.filter(bool), unique=True, max_size=4).map(tuple), words,
)  # fmt: skip


@given(kept)
def test_what_is_composed_comes_back_from_its_address_and_from_what_is_saved(question: Composed) -> None:
    assert from_address(QueryDict(urlencode(to_pairs(question)))) == question
    assert from_object(json.loads(json.dumps(to_object(question)))) == question
