"""Conditions in words, as the sentence above an answer and the list of saved questions tell them."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from governance.audit.composer.conditions import SUBJECTS, TESTS, WITHOUT_VALUE, Composed, Condition, Group, Join, Test
from governance.audit.composer.fields import WORDS_OF, Catalogue, Field, Kind
from governance.audit.composer.subjects import CATALOGUES
from governance.audit.composer.values import shown_value


def composed_words(composed: Composed) -> str:
    """ "country is Costa Rica, and collected on is before 1 January 2014"; "" where nothing is asked."""
    tidy = composed.tidy()
    catalogue = CATALOGUES[tidy.subject]
    groups = [_group_words(group, catalogue, is_alone=len(tidy.groups) == 1) for group in tidy.groups]
    return _joined(groups, tidy.join)


def subject_words(composed: Composed) -> str:
    """What is asked for, in words: "Material: country is Costa Rica"."""
    subject, told = str(SUBJECTS[composed.subject]), composed_words(composed)
    return f"{subject}: {told}" if told else subject


def _group_words(group: Group, catalogue: Catalogue, *, is_alone: bool) -> str:
    told = _joined([_condition_words(one, catalogue) for one in group.conditions], group.join)
    return told if is_alone or len(group.conditions) == 1 else f"({told})"


def _joined(parts: list[str], join: Join) -> str:
    return (_(", or ") if join is Join.ANY else _(", and ")).join(parts)


def _condition_words(one: Condition, catalogue: Catalogue) -> str:
    field = catalogue.by_key.get(one.field)
    if field is None:
        return one.field
    if field.kind is Kind.FLAG and one.test == Test.IS:
        return f"{_as_within(str(field.label))}: {shown_value(one, field)}"
    told = f"{_as_within(str(field.label))} {test_words(one.test, field)}"
    return told if one.test in WITHOUT_VALUE else f"{told} {_value(one, field)}".strip()


def test_words(test: str, field: Field) -> Any:
    """What a test of a field is called; the word itself where there is no such test."""
    found = next((one for one in Test if one.value == test), None)
    return test if found is None else WORDS_OF.get(field.kind, {}).get(found, TESTS[found])


test_words.__test__ = False  # type: ignore[attr-defined]  # no test of pytest


def _value(one: Condition, field: Field) -> str:
    if field.kind is not Kind.DAY:
        return shown_value(one, field)
    try:
        return date_format(date.fromisoformat(one.value), "j F Y")
    except ValueError:
        return one.value


def _as_within(label: str) -> str:
    """A label within a sentence: without its capital, unless it is an abbreviation."""
    return label if label[1:2].isupper() else label[:1].lower() + label[1:]
