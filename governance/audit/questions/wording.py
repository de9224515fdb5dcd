"""Numbers and days in the sentences of answers, in the words that all questions share."""

from __future__ import annotations

from datetime import date

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext


def specimens_words(count: int) -> str:
    """ "1,204 specimens"."""
    return ngettext("%(n)s specimen", "%(n)s specimens", count) % {"n": intcomma(count)}


def accessions_words(count: int) -> str:
    return ngettext("%(n)s accession", "%(n)s accessions", count) % {"n": intcomma(count)}


def papers_words(count: int) -> str:
    return ngettext("%(n)s paper", "%(n)s papers", count) % {"n": intcomma(count)}


def days_words(count: int) -> str:
    return ngettext("%(n)s day", "%(n)s days", count) % {"n": intcomma(count)}


def individuals_words(least: int, most: int | None) -> str:
    """A number of individuals that may not be known exactly: "12", "7 to 37", "at least 7"."""
    if most is None:
        return _("at least %(n)s") % {"n": intcomma(least)}
    if least == most:
        return intcomma(least)
    return _("%(least)s to %(most)s") % {"least": intcomma(least), "most": intcomma(most)}


def long_day(day: date) -> str:
    """A day in a sentence: "17 June 2024"."""
    return date_format(day, "j F Y")
