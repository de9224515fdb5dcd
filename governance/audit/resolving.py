"""From what people write to the records they mean, at the moment of the register for which is asked."""

from __future__ import annotations

from datetime import date
from typing import Any, TypeVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext as _

from accessions.material.models import Accession, Specimen
from accessions.people.models import Agent
from accessions.sites.models import Site
from governance.audit.asking import Asked, UnknownValueError
from governance.jurisdictions.codes import is_country
from governance.papers.models import Paper
from governance.reports.models import Report
from governance.scans.models import Scan

Found = TypeVar("Found", bound=models.Model)
LONGEST_DAYS = 36_525
"""Days of a hundred years: more is a slip of the pen."""


def specimen_of(asked: Asked, key: str = "specimen") -> Specimen:
    """The specimen of a catalogue number.

    Raises:
        UnknownValueError: nothing was written, or the register knows no such specimen then.
    """
    numbered = Q(catalog_number=asked[key]) & ~Q(catalog_number="")  # as the index is: else all numbers are read
    return _one(Specimen.objects.select_related("accession", "event", "name"), asked, key, numbered)


def paper_of(asked: Asked, key: str = "paper") -> Paper:
    """The paper of a reference. Raises as ``specimen_of``."""
    return _one(Paper.objects.all(), asked, key, Q(reference=asked[key]))


def accession_of(asked: Asked, key: str = "accession") -> Accession:
    """The accession of a number. Raises as ``specimen_of``."""
    return _one(Accession.objects.all(), asked, key, Q(number=asked[key]))


def report_of(asked: Asked, key: str = "report") -> Report:
    """The report of a reference. Raises as ``specimen_of``."""
    return _one(Report.objects.all(), asked, key, Q(reference=asked[key]))


def agent_of(asked: Asked, key: str = "agent") -> Agent:
    """The agent of a key, or of a name that only one of them has. Raises as ``specimen_of``."""
    return _one(Agent.objects.all(), asked, key, _key_or(asked[key], "name"))


def site_of(asked: Asked, key: str = "site") -> Site:
    """The site of a code, or of a name that only one of them has. Raises as ``specimen_of``."""
    by_code = Site.objects.filter(code=asked[key])
    rows = by_code if by_code.exists() else Site.objects.all()
    return _one(rows, asked, key, Q(code=asked[key]) | Q(name=asked[key]))


def scan_of(asked: Asked, key: str = "scan") -> Scan:
    """The scan of a key. Raises as ``specimen_of``."""
    return _one(Scan.objects.all(), asked, key, _key_or(asked[key], ""))


def country_of(asked: Asked, key: str = "country") -> str:
    """A country's two letters, "" where none was written.

    Raises:
        UnknownValueError: no such country.
    """
    code = asked[key].upper()
    if code and not is_country(code):
        raise UnknownValueError(key, _("“%(text)s” is no country code; choose one of the list.") % {"text": asked[key]})
    return code


def days_of(asked: Asked, key: str = "days") -> int:
    """A number of days.

    Raises:
        UnknownValueError: no whole number from 0 to a hundred years.
    """
    text = asked[key]
    if not text.isascii() or not text.isdigit() or int(text) > LONGEST_DAYS:
        raise UnknownValueError(key, _("“%(text)s” is no number of days; write for example 90.") % {"text": text})
    return int(text)


def day_of(asked: Asked, key: str) -> date | None:
    """A day, None where none was written.

    Raises:
        UnknownValueError: it is not written as 2026-11-25.
    """
    if not asked[key]:
        return None
    try:
        return date.fromisoformat(asked[key])
    except ValueError as error:
        words = _("“%(text)s” is no day; write it as 2026-11-25.") % {"text": asked[key]}
        raise UnknownValueError(key, words) from error


def year_of(asked: Asked, key: str = "year") -> int:
    """A year.

    Raises:
        UnknownValueError: no year from 1700 to 2999.
    """
    text = asked[key]
    if not text.isascii() or not text.isdigit() or not 1700 <= int(text) <= 2999:
        raise UnknownValueError(key, _("“%(text)s” is no year; write for example 2026.") % {"text": text})
    return int(text)


def _key_or(text: str, column: str) -> Q:
    if text.isascii() and text.isdigit() and len(text) < 19:
        return Q(pk=int(text))
    return Q(**{column: text}) if column else Q(pk__in=())


def _one(rows: models.QuerySet[Found], asked: Asked, key: str, condition: Q) -> Found:
    text: Any = asked[key]
    if not text:
        raise UnknownValueError(key, _("Write which one."))
    found = list(rows.filter(condition)[:2])
    if len(found) == 1:
        return found[0]
    words = _("The register has no %(kind)s “%(text)s”.")
    if found:
        words = _("“%(text)s” is the name of several; choose one.")
    elif asked.known_at is not None:
        words = _("The register had no “%(text)s” at that moment.")
    raise UnknownValueError(key, words % {"text": text, "kind": rows.model._meta.verbose_name})
