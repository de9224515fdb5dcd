"""Terms of use in words: what sets limits to a use, what it asks for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.people.wording import in_a_list
from governance.engine.uses import RecipientKind, Said, Use
from governance.papers.countries import country_name
from governance.papers.models import RECIPIENT_NAMES, USE_NAMES, UseTerm


def condition_words(term: UseTerm) -> list[str]:
    """The conditions of a clause, each as words of its own; last what holds if one is not met."""
    limits = list(_limits(term))
    found = [*limits, *_asked(term)]
    if limits and term.said != Said.SILENT:
        found.append(_otherwise(Said(term.otherwise)))
    return found


def _limits(term: UseTerm) -> Iterator[str]:
    kinds = [RECIPIENT_NAMES[kind] for kind in RecipientKind if term.recipients >> kind & 1]
    if kinds:
        yield _("Only to: %(kinds)s") % {"kinds": in_a_list(str(kind) for kind in kinds)}
    if term.only_countries:
        yield _("Only in %(countries)s") % {"countries": _countries(term.only_countries)}
    if term.not_countries:
        yield _("Not in %(countries)s") % {"countries": _countries(term.not_countries)}
    if term.non_commercial_only:
        yield _("Non-commercial only")
    if term.identification_only:
        yield _("For identification only")
    if term.most_specimens is not None:
        words = ngettext("At most %(n)s specimen in all", "At most %(n)s specimens in all", term.most_specimens)
        yield words % {"n": intcomma(term.most_specimens)}
    if term.parts:
        yield _("Only these parts: %(parts)s") % {"parts": term.parts}
    if term.not_before:
        yield _("Not before %(day)s") % {"day": date_format(term.not_before, "j F Y")}


def _asked(term: UseTerm) -> Iterator[str]:
    if term.amount:
        yield _("Amount: %(amount)s") % {"amount": term.amount}
    if term.duties:
        yield _("Duties: %(duties)s") % {"duties": term.duties}
    if term.other_condition:
        yield _("To be checked by a person: %(condition)s") % {"condition": term.other_condition}


def _otherwise(said: Said) -> str:
    return {
        Said.NOT_ALLOWED: _("If a condition is not met: not allowed"),
        Said.ASK_FIRST: _("If a condition is not met: ask the provider first"),
        Said.SILENT: _("If a condition is not met, the paper is silent"),
    }[said]


def _countries(codes: str) -> str:
    return in_a_list(country_name(code) for code in codes.split())


def uses_words(uses: Iterable[Use]) -> str:
    """``Loan at home, Loan abroad``."""
    return ", ".join(str(USE_NAMES[use]) for use in uses)


def cite_words(term: UseTerm) -> str:
    """``clause 7(b), page 3``; "" where neither is noted."""
    number = _("clause %(number)s") % {"number": term.clause_number} if term.clause_number else ""
    page = _("page %(page)d") % {"page": term.page} if term.page else ""
    return ", ".join(words for words in (number, page) if words)
