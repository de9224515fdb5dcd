"""Objects of the exchange file: one with everything in it, and generated ones. Everything is invented."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from hypothesis import strategies as st

SQUARE: dict[str, Any] = {
    "type": "Polygon", "coordinates": [[[43.8, 42.0], [43.9, 42.0], [43.9, 42.1], [43.8, 42.1], [43.8, 42.0]]],
}  # fmt: skip


def paper_object(reference: str = "COL-2024-052", **fields: Any) -> dict[str, Any]:
    """A collecting permit of one version, valid in May and June 2024 in Georgia."""
    return {
        "reference": reference, "kind": "collecting-permit", "layers": ["collecting"], "jurisdiction": "GE",
        "issuer": "Nazvri Directorate (invented)", "holder": "J. Ek",
        "versions": [{"in_force_from": "2024-05-01", "in_force_to": "2024-06-30"}],
    } | fields  # fmt: skip


def full_terms(**more: Any) -> dict[str, Any]:
    """Terms of use in which every key of the exchange file says something."""
    return {
        "ownership": "state-keeps-title",
        "ownership_clause": "The material remains the property of the State.",
        "ownership_page": 2,
        "ask_whom": "Access desk (invented)",
        "reply_days": 0,
        "acknowledgement": "By courtesy of the Nazvri Directorate.",
        "whole_text_read": True,
        "note": "Annex 2 is missing.",
        "uses": [
            {
                "use": "loan-abroad",
                "said": "allowed",
                "clause": "Loans may be made\nto public institutions.",
                "clause_number": "7(b)",
                "page": 3,
                "recipients": ["public-research", "authority"],
                "only_in": ["IS", "SE"],
                "not_in": ["NO"],
                "non_commercial_only": True,
                "identification_only": True,
                "most_specimens": 40,
                "amount": "one leg of each",
                "parts": ["leg", "wing tip"],
                "not_before": "2027-01-01",
                "duties": "Send a copy.",
                "other_condition": "Carried by hand.",
                "otherwise": "ask-first",
            },
            {"use": "sequencing", "said": "not-allowed", "clause": "No genetic work.", "page": 4},
            {"use": "exhibition", "said": "silent"},
        ],
    } | more


def full_object(reference: str = "COL-2024-099") -> dict[str, Any]:
    """A paper in which every key of the exchange file says something, but the terms of use: ``full_terms``."""
    return {
        "reference": reference,
        "second_number": "B-17",
        "kind": "research-permit",
        "layers": ["collecting", "export"],
        "issuer": "Nazvri Directorate (invented)",
        "jurisdiction": "GE",
        "holder": "J. Ek",
        "issued_on": "2024-04-22",
        "language": "ka",
        "remarks": "Original in box 14.",
        "suspensions": [["2024-05-10", "2024-05-12"], ["2024-06-01", None]],
        "revoked_on": "2024-08-01",
        "statuses": [
            {"state": "applied", "from": "2024-03-01"},
            {"state": "granted", "from": "2024-04-22", "note": "letter 17"},
            {"state": "suspended", "from": "2024-05-10", "to": "2024-05-12"},
            {"state": "suspended", "from": "2024-06-01"},
            {"state": "surrendered", "from": "2024-08-01"},
        ],
        "versions": [
            {
                "in_force_from": "2024-05-01",
                "in_force_to": "2024-06-30",
                "places": {
                    "include": [
                        {"country": "GE"}, {"subdivision": "GE-TB"}, {"site": "GE-NAZ-1"},
                        {"site": "GE-NAZ-2", "geojson": SQUARE, "boundary_error_m": 25},
                        {"geojson": SQUARE, "boundary_error_m": 0},
                        {"point": [43.903, 42.084], "radius_m": 500.5},
                    ],
                    "exclude": [{"site": "GE-NAZ-9", "point": [43.9, 42.0], "radius_m": 300}],
                },
                "taxa": {"include": ["Odonata", "Mollusca"], "exclude": [{"name": "Oenanthe", "kingdom": "Plantae"}]},
                "methods": {"include": ["hand net", "kick net"], "exclude": ["electrofishing"]},
                "people": {"named": ["J. Ek", "I. Holmqvist"], "assistants": "supervised"},
                "closed_seasons": [["12-20", "02-29"]],
                "sexes": {"include": ["male"], "exclude": []},
                "life_stages": {"include": ["adult"], "exclude": ["larva"]},
                "caps": [
                    {"taxon": "Odonata", "each": "species", "per": "year", "limit": 10},
                    {"taxon": {"name": "Oenanthe", "kingdom": "Plantae"}, "each": "together", "per": "site",
                     "limit": 0},
                    {"each": "together", "per": "paper", "limit": 3_000_000_000},
                ],
                "conditions": [
                    {"text": "Large mussels are to be returned.", "page": 2, "notice_days": 7},
                    {"text": "Send a list.", "report_by": "01-31"},
                ],
                "note": "as issued",
            },
            {"in_force_from": "2024-07-01", "in_force_to": None},
        ],
    }  # fmt: skip


_DAYS = st.dates(min_value=date(1900, 1, 1), max_value=date(2100, 1, 1))
_WORDS = st.text(st.characters(min_codepoint=32, max_codepoint=0x2FF, exclude_categories=("Cc", "Cs")), min_size=1,
                 max_size=12).map(str.strip).filter(bool)  # fmt: skip
_NAMES = st.sampled_from(["Odonata", "Insecta", "Calopteryx splendens", "Unionidae"])
_TAXA = _NAMES | st.builds(lambda name: {"name": name, "kingdom": "Animalia"}, _NAMES)
_ERRORS = st.fixed_dictionaries({}, optional={"boundary_error_m": st.floats(0, 1e5, allow_nan=False)})
_DISCS = st.fixed_dictionaries({
    "point": st.tuples(st.floats(-180, 180), st.floats(-90, 90)).map(list),
    "radius_m": st.floats(0.1, 1e6),
})  # fmt: skip
_SHAPES = st.just({"geojson": SQUARE}) | _DISCS
_PLACES = st.builds(
    lambda place, error: place | error,
    st.sampled_from([{"country": "GE"}, {"country": "NA"}, {"subdivision": "CR-A"}])
    | _SHAPES
    | st.builds(lambda site, shape: {"site": site} | shape, _WORDS, st.just({}) | _SHAPES),
    _ERRORS,
)


def _both(items: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    lists = st.lists(items, max_size=3)
    return st.fixed_dictionaries({}, optional={"include": lists, "exclude": lists})


_CAPS = st.fixed_dictionaries(
    {"limit": st.integers(0, 10**12)},
    optional={"taxon": _TAXA, "each": st.sampled_from(["species", "together"]),
              "per": st.sampled_from(["paper", "year", "site", "event"])},
)  # fmt: skip
_SEASONS = st.sampled_from([["03-01", "08-31"], ["12-20", "02-29"], ["02-29", "02-29"]])


@st.composite
def _versions(draw: st.DrawFn) -> list[dict[str, Any]]:
    starts = draw(st.lists(st.none() | _DAYS, max_size=3, unique=True))
    return [
        {
            "in_force_from": start.isoformat() if start else None,
            "in_force_to": draw(st.none() | st.dates(min_value=start).map(str)) if start else None,
            **draw(st.fixed_dictionaries({}, optional={
                "places": _both(_PLACES), "taxa": _both(_TAXA), "methods": _both(_WORDS), "sexes": _both(_WORDS),
                "life_stages": _both(_WORDS), "closed_seasons": st.lists(_SEASONS, max_size=2),
                "people": st.fixed_dictionaries({}, optional={
                    "named": st.lists(_WORDS, max_size=3),
                    "assistants": st.sampled_from(["allowed", "supervised", "not-allowed"])}),
                "caps": st.lists(_CAPS, max_size=3), "note": _WORDS,
                "conditions": st.lists(st.fixed_dictionaries(
                    {"text": _WORDS}, optional={
                        "page": st.integers(1, 999), "notice_days": st.integers(0, 3650),
                        "report_by": st.sampled_from(["01-31", "02-29", "12-31"])}), max_size=2)})),
        }
        for start in starts
    ]  # fmt: skip


@st.composite
def paper_objects(draw: st.DrawFn) -> dict[str, Any]:
    """One valid object, of any content."""
    spans = draw(st.lists(st.tuples(_DAYS, st.none() | st.integers(0, 90)), max_size=2))
    return {
        "reference": draw(_WORDS),
        "kind": draw(st.sampled_from(["collecting-permit", "landowner-consent", "other"])),
        "layers": draw(st.lists(st.sampled_from(["land", "collecting", "cites", "transfer"]), min_size=1, unique=True)),
        "versions": draw(_versions()),
        "suspensions": [[str(a), None if n is None else str(a + timedelta(n))] for a, n in spans],
        "revoked_on": draw(st.none() | _DAYS.map(str)),
        **draw(st.fixed_dictionaries({}, optional={
            "issuer": _WORDS, "holder": _WORDS, "second_number": _WORDS, "remarks": _WORDS,
            "issued_on": _DAYS.map(str), "jurisdiction": st.sampled_from(["GE", "CR-A"])})),
    }  # fmt: skip
