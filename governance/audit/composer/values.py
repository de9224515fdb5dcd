"""From what people write in a condition to what it is held against."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, Final

from django.utils.translation import gettext as _

from accessions.names.folding import folded
from accessions.names.models import Taxon
from governance.audit.composer.conditions import SEPARATOR, WITHOUT_VALUE, Condition, Test
from governance.audit.composer.fields import Field, Kind
from governance.jurisdictions.codes import is_country_code_of_darwin_core
from governance.papers.countries import country_name
from governance.papers.models import Paper


class ValueProblemError(Exception):
    """A line cannot be asked as it is. Its text is for people to read."""


def test_of(condition: Condition, field: Field) -> Test:
    """The test of a line.

    Raises:
        ValueProblemError: the field is not tested so.
    """
    if field.told is None:
        raise ValueProblemError(_("“%(field)s” can be shown, not asked for.") % {"field": field.label})
    found = next((test for test in field.tests if test.value == condition.test), None)
    if found is None:
        raise ValueProblemError(_("“%(field)s” is not tested so; choose one of the list.") % {"field": field.label})
    return found


def values_of(condition: Condition, field: Field, test: Test) -> tuple[Any, ...]:
    """What a line holds its field against: none for "is known", several for "is one of".

    Raises:
        ValueProblemError: a value is no such value, or the register does not hold it (at that moment).
    """
    if test in WITHOUT_VALUE:
        return ()
    texts = condition.value.split(SEPARATOR) if test is Test.ONE_OF else [condition.value]
    told = [text.strip() for text in texts if text.strip()]
    if not told:
        raise ValueProblemError(_("Write a value for “%(field)s”.") % {"field": field.label})
    return tuple(_READERS[field.kind](text, field) for text in told)


def _text(text: str, _field: Field) -> str:
    return text


def _choice(text: str, field: Field) -> str:
    """By its code, or its words."""
    wanted = text.casefold()
    for code, words in field.choices():
        if wanted in (str(code).casefold(), str(words).casefold()):
            return str(code)
    raise ValueProblemError(_("“%(text)s” is no value of “%(field)s”.") % {"text": text, "field": field.label})


def _country(text: str, field: Field) -> str:
    code = text.upper()
    if is_country_code_of_darwin_core(code):
        return code
    found = next((code for code, words in field.choices() if str(words).casefold() == text.casefold()), None)
    if found is None:
        raise ValueProblemError(_("“%(text)s” is no country; write its two letters, such as CR.") % {"text": text})
    return str(found)


def _day(text: str, _field: Field) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise ValueProblemError(_("“%(text)s” is no day; write it as 2026-11-25.") % {"text": text}) from error


_LARGEST: Final = 10**12


def _number(text: str, _field: Field) -> int:
    plain = text.replace(",", "").removeprefix("-")
    if not plain.isascii() or not plain.isdigit() or int(plain) > _LARGEST:
        raise ValueProblemError(_("“%(text)s” is no whole number; write for example 90.") % {"text": text})
    return -int(plain) if text.startswith("-") else int(plain)


def _flag(text: str, _field: Field) -> bool:
    if text.casefold() in ("yes", str(_("yes")).casefold()):
        return True
    if text.casefold() in ("no", str(_("no")).casefold()):
        return False
    raise ValueProblemError(_("“%(text)s” is neither yes nor no.") % {"text": text})


def _taxon(text: str, _field: Field) -> tuple[str, ...]:
    """The lineages of the name: several kingdoms may have the same one."""
    found = Taxon.objects.filter(key=folded(text)).order_by("lineage").values_list("lineage", flat=True)
    if not found:
        raise ValueProblemError(_("The register has no taxon “%(text)s”.") % {"text": text})
    return tuple(found)


def _paper(text: str, _field: Field) -> int:
    found = Paper.objects.filter(reference=text).values_list("pk", flat=True).first()
    if found is None:
        raise ValueProblemError(_("The register has no paper “%(text)s”.") % {"text": text})
    return int(found)


_READERS: Final[Mapping[Kind, Callable[[str, Field], Any]]] = {
    Kind.TEXT: _text, Kind.CHOICE: _choice, Kind.COUNTRY: _country, Kind.DAY: _day, Kind.NUMBER: _number,
    Kind.FLAG: _flag, Kind.TAXON: _taxon, Kind.PAPER: _paper,
}  # fmt: skip


def shown_value(condition: Condition, field: Field) -> str:
    """The value as a sentence tells it: words in place of codes."""
    if field.kind is Kind.COUNTRY:
        return _listed(condition.value, lambda text: country_name(text.upper()) or text)
    if field.kind in (Kind.CHOICE, Kind.FLAG):
        words = {str(code): str(name) for code, name in field.choices()}
        return _listed(condition.value, lambda text: words.get(text, text))
    return f"“{condition.value}”" if field.kind in (Kind.TEXT, Kind.TAXON, Kind.PAPER) else condition.value


def _listed(text: str, words: Callable[[str], str]) -> str:
    return ", ".join(words(one.strip()) for one in text.split(SEPARATOR) if one.strip())
