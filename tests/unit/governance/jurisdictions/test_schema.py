"""A data file that hides where a value comes from is refused, with words that tell what to do."""

from datetime import date
from pathlib import Path

import pytest

import governance.jurisdictions
from governance.jurisdictions import loader
from governance.jurisdictions.schema import DataFileError, check

SECTIONS = {"values": frozenset({"months", "note?"})}
GOOD = {"key": "a", "months": 6, "source": "50 CFR 23.54", "checked_on": date(2026, 11, 20), "basis": "published"}


def without(field):
    return {key: value for key, value in GOOD.items() if key != field}


def test_a_full_entry_passes():
    assert check("x.yaml", {"title": "X", "values": [GOOD, GOOD | {"key": "b", "note": "n"}]}, SECTIONS) is None


@pytest.mark.parametrize(
    ("document", "words"),
    [
        ({"values": [without("source")]}, r"values, entry 1 \(a\) has no source; add it"),
        ({"values": [without("checked_on")]}, "has no checked_on"),
        ({"values": [without("basis")]}, "has no basis"),
        ({"values": [without("key")]}, r"entry 1 \(no key\) has no key"),
        ({"values": [without("months")]}, "has no months"),
        ({"values": [GOOD | {"source": " "}]}, "source is ' ', expected text"),
        ({"values": [GOOD | {"key": False}]}, "key is False, expected text"),
        ({"values": [GOOD | {"checked_on": "yesterday"}]}, "checked_on is 'yesterday', expected a day"),
        ({"values": [GOOD | {"basis": "rumour"}]}, "basis is 'rumour', expected one of published, memory"),
        ({"values": [GOOD | {"colour": "red"}]}, "unknown field colour"),
        ({"values": [GOOD, GOOD]}, "the key a stands more than once"),
        ({"values": ["a"]}, "entry 1 is str, expected a mapping"),
        ({"values": []}, "values is missing or empty"),
        ({"values": [GOOD], "other": []}, "other is no section of this file"),
        ([GOOD], "the file holds list, expected a mapping"),
        (None, "the file holds NoneType"),
    ],
)
def test_a_breach_is_refused_in_words(document, words):
    with pytest.raises(DataFileError, match=words):
        check("x.yaml", document, SECTIONS)


def test_all_breaches_are_told_at_once():
    with pytest.raises(DataFileError) as error:
        check("x.yaml", {"values": [without("source"), without("basis") | {"key": "b"}]}, SECTIONS)
    assert str(error.value).splitlines() == [
        "x.yaml: values, entry 1 (a) has no source; add it",
        "x.yaml: values, entry 2 (b) has no basis; add it",
    ]


def test_every_shipped_file_of_values_is_checked():
    """A file of the data folder that the loader does not know would be read by nobody and checked by nobody."""
    folder = Path(governance.jurisdictions.__file__).parent / "data"
    shipped = {path.name for path in folder.glob("*.yaml")} - {"outline_review.yaml"}
    assert shipped == set(loader._SECTIONS)
    for name in shipped:
        assert loader._document(name)
