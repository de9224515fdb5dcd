"""Permit terms for the outside: against the values and the rule of the GGBN permit vocabulary.

Source of the lists and of the rule: TDWG Terms Wiki, "GGBN Permit Vocabulary", ggbn:permitStatus and its talk page,
written out here by hand.
"""

from __future__ import annotations

from datetime import date

import pytest

from governance.engine.tables import Layer, SearchState, Verdict
from governance.papers.models import PaperKind
from governance.verdicts.ggbn import (
    HEADER,
    TYPE_OF_KIND,
    LayerFact,
    Permit,
    PermitStatus,
    PermitType,
    Searched,
    permit_terms,
    unknown_is_allowed,
)

STANDARD_TYPES = {
    "Collecting Permit", "Import Permit", "Export Permit",
    "Internationally Recognized Certificate of Compliance (IRCC)", "Material Transfer Agreement (MTA)",
    "Memorandum of Understanding (MoU)", "Memorandum of Cooperation (MoC)", "Contract",
    "Intellectual Property Rights (IPR)", "Copyright", "Patent", "Data use", "Phytosanitary", "Veterinary Certificate",
    "Salvage", "Exemption Permit", "Genetically Modified Organism", "Human Pathogens", "Other",
}  # fmt: skip
STANDARD_STATUS = {"Permit available", "Permit not required", "Permit not available", "Unknown"}

OLD, NEW = date(2010, 6, 17), date(2024, 6, 17)
PERMIT = Permit("COL-2024-052", "collecting-permit", "COL-2024-052, valid 2024-05-01 to 2024-06-30")


def terms(fact: LayerFact, day: date | None = NEW, until: date | None = None) -> list[tuple[str, ...]]:
    return [found.cells for found in permit_terms([fact], day, until or day)]


def fact(verdict: Verdict, layer: Layer = Layer.COLLECTING, **more: object) -> LayerFact:
    return LayerFact(layer, verdict, **more)  # type: ignore[arg-type]


def test_values_are_those_of_the_standard() -> None:
    assert {one.value for one in PermitType} == STANDARD_TYPES
    assert {one.value for one in PermitStatus} - {""} == STANDARD_STATUS
    assert HEADER[1:] == ("permitType", "permitStatus", "permitStatusQualifier", "permitText", "permitURI")


def test_kinds_are_those_of_the_register() -> None:
    assert set(TYPE_OF_KIND) < set(PaperKind.values)


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        ("collecting-permit", "Collecting Permit"), ("import-permit", "Import Permit"),
        ("export-permit", "Export Permit"),
        ("certificate-of-compliance", "Internationally Recognized Certificate of Compliance (IRCC)"),
        ("material-transfer-agreement", "Material Transfer Agreement (MTA)"), ("deed-of-gift", "Contract"),
        ("phytosanitary-certificate", "Phytosanitary"), ("veterinary-certificate", "Veterinary Certificate"),
        ("salvage-permit", "Salvage"), ("exemption", "Exemption Permit"), ("landowner-consent", "Other"),
        ("access-permit", "Other"), ("cites-exchange-label", "Other"), ("other", "Other"),
    ],
)  # fmt: skip
def test_type_of_a_kind(kind: str, expected: str) -> None:
    assert Permit("X", kind).permit_type.value == expected


@pytest.mark.parametrize(
    ("first", "last", "allowed"),
    [
        (date(2014, 10, 11), date(2014, 10, 11), True),
        (date(2014, 10, 12), date(2014, 10, 12), True),  # not after it
        (date(2014, 10, 13), date(2014, 10, 13), False),
        (date(2014, 10, 12), date(2014, 10, 13), None),
        (date(2014, 10, 1), date(2014, 10, 31), None),
        (date(2014, 10, 13), None, False),
        (None, date(2014, 10, 12), True),
        (date(2014, 10, 12), None, None),
        (None, date(2014, 10, 13), None),
        (None, None, None),
    ],
)
def test_the_rule_of_unknown(first: date | None, last: date | None, allowed: bool | None) -> None:
    """ "Material collected after 2014-10-12 cannot be in 'Unknown' permit status!" """
    assert unknown_is_allowed(first, last) is allowed
    (found,) = permit_terms([fact(Verdict.MISSING)], first, last)
    assert found.status == (PermitStatus.UNDETERMINED if allowed is False else PermitStatus.UNKNOWN)
    assert ("cannot be Unknown" in found.qualifier) == (allowed is False)
    assert ("does not say whether it was after 2014-10-12" in found.qualifier) == (allowed is None)


def test_a_covering_permit_is_available() -> None:
    assert terms(fact(Verdict.COVERED, permits=(PERMIT,))) == [
        ("Collecting Permit", "Permit available", "collecting", "COL-2024-052, valid 2024-05-01 to 2024-06-30", "")
    ]


def test_one_permit_of_two_layers_is_one_set() -> None:
    facts = [fact(Verdict.COVERED, layer, permits=(PERMIT,)) for layer in (Layer.COLLECTING, Layer.SPECIES)]
    (found,) = permit_terms(facts, NEW, NEW)
    assert (found.status.value, found.qualifier) == ("Permit available", "collecting, species")


def test_permits_that_cover_together_say_so() -> None:
    other = Permit("COL-2024-053", "collecting-permit")
    found = permit_terms([fact(Verdict.COVERED, permits=(PERMIT, other))], NEW, NEW)
    assert [one.qualifier for one in found] == ["collecting: together with another permit"] * 2


@pytest.mark.parametrize("verdict", [Verdict.OUTSIDE, Verdict.STRADDLES])
def test_a_permit_that_does_not_cover_is_never_available(verdict: Verdict) -> None:
    """Nor is its text given: it is not the text of a permit of this specimen."""
    assert terms(fact(verdict, permits=(PERMIT,))) == [
        ("Collecting Permit", "Permit not available",
         "collecting: a permit on file, COL-2024-052, does not cover it", "", "")
    ]  # fmt: skip


def test_an_unread_permit_is_unknown_or_nothing() -> None:
    unread = fact(Verdict.CANNOT_TELL, permits=(PERMIT,), why="not read")
    (old,), (new,) = terms(unread, OLD), terms(unread, NEW)
    assert old[1] == "Unknown"
    assert new[1] == ""
    assert "whether it covers this cannot be told (not read)" in old[2]


def test_searches() -> None:
    none = fact(Verdict.MISSING, searched=Searched(SearchState.NONE_FOUND, date(2024, 5, 3), "I. Holmqvist"))
    assert terms(none) == [
        ("Collecting Permit", "Permit not available",
         "collecting: no permit located after search of 2024-05-03 by I. Holmqvist", "", "")
    ]  # fmt: skip
    known = fact(Verdict.MISSING, searched=Searched(SearchState.KNOWN_NOT_LOCATED, date(2024, 5, 3), "I. Holmqvist"))
    assert terms(known)[0][1] == "Permit not available"
    assert "known to exist and was not located" in terms(known)[0][2]
    begun = fact(Verdict.MISSING, searched=Searched(SearchState.NOT_SEARCHED, date(2024, 5, 3), "I. Holmqvist"))
    assert terms(begun)[0][1] == ""


def test_not_required_only_with_its_reason() -> None:
    free = fact(Verdict.NOT_REQUIRED, Layer.LAND, why="the land is the museum’s own")
    assert terms(free) == [("Other", "Permit not required", "land: the land is the museum’s own", "", "")]
    for verdict in set(Verdict) - {Verdict.NOT_REQUIRED}:
        for permits in ((), (PERMIT,)):
            assert "Permit not required" not in {row[1] for row in terms(fact(verdict, permits=permits))}


def test_available_only_where_covered() -> None:
    for verdict in set(Verdict) - {Verdict.COVERED}:
        for day in (OLD, NEW, None):
            assert "Permit available" not in {row[1] for row in terms(fact(verdict, permits=(PERMIT,)), day)}


def test_layers_of_which_the_same_is_said_are_one_set() -> None:
    """Collecting and species are both collecting permits for the standard; land is another type."""
    facts = [fact(Verdict.MISSING, layer) for layer in (Layer.LAND, Layer.COLLECTING, Layer.SPECIES)]
    found = permit_terms(facts, OLD, OLD)
    assert [(one.permit_type.value, one.qualifier.split(":")[0]) for one in found] == [
        ("Other", "land"), ("Collecting Permit", "collecting, species"),
    ]  # fmt: skip
