"""Terms of use in templates: ``{{ said|said_word }}``, ``{% use_sign said %}``, ``{% terms_of_paper paper %}``."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django import template
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.people.wording import in_a_list
from governance.engine.uses import Ownership, Said, Use
from governance.papers.forms.terms import names_of
from governance.papers.models import OWNERSHIP_NAMES, SAID_NAMES, USE_NAMES, Paper, UseTerm
from governance.papers.queries.beside import Beside
from governance.papers.queries.listing import PaperRow
from governance.papers.queries.terms_on_pages import USES, VersionTermsRead, terms_of_versions
from governance.papers.use_words import cite_words, condition_words, uses_words

register = template.Library()

_SIGNS = {
    Said.ALLOWED: ("u-allowed", "covered"), Said.WITH_DUTIES: ("u-duties", "duties"),
    Said.ASK_FIRST: ("u-ask", "cannot"), Said.NOT_ALLOWED: ("u-no", "outside"), Said.SILENT: ("u-silent", "straddle"),
}  # fmt: skip
_UNREAD = ("u-unread", "missing")


@register.inclusion_tag("papers/_use_sign.html")
def use_sign(said: Said | int | str | None) -> dict[str, str]:
    """The sign of an answer; of what was not read, if it is blank."""
    sign, tone = _UNREAD if said in (None, "") else _SIGNS[_said(said)]
    return {"sign": sign, "tone": tone}


@register.filter
def said_word(said: Said | int | str | None) -> str:
    """``Ask the provider first``; ``Not read yet`` of a blank."""
    return _("Not read yet") if said in (None, "") else str(SAID_NAMES[_said(said)])


def _said(said: Said | int | str | None) -> Said:
    return next(one for one in Said if said in (int(one), one.code))


@register.simple_tag
def terms_of_paper(paper: Paper) -> list[VersionTermsRead]:
    """What each version of a paper says of the use of material, the newest first. Four queries."""
    return terms_of_versions(paper.versions.all())[::-1]


@register.filter
def ownership_word(ownership: int) -> str:
    return str(OWNERSHIP_NAMES[Ownership(ownership)])


@register.filter
def terms_sentence(read: VersionTermsRead) -> str:
    """How far the terms were read, and what stands out: the answer of a page."""
    if not read.read_count:
        return _("Not read yet: what this version says of the use of material is not known.")
    told = [
        _("%(said)s: %(uses)s.") % {"said": SAID_NAMES[said], "uses": in_a_list(_lower(uses))}
        for said, uses in read.by_said.items()
        if said in (Said.NOT_ALLOWED, Said.ASK_FIRST)
    ]
    count = _("%(n)d of %(all)d uses read.") % {"n": read.read_count, "all": USES}
    return " ".join([count if read.unread else _("Read for every use."), *told])


def _lower(uses: Iterable[Use]) -> list[str]:
    return [_beginning_small(str(USE_NAMES[use])) for use in uses]


def _beginning_small(words: str) -> str:
    """As inside a sentence; DNA stays DNA."""
    return words if words[1:2].isupper() else words[:1].lower() + words[1:]


@register.filter
def terms_state(read: VersionTermsRead) -> str:
    """``read``, ``4 uses left``, ``not read yet``."""
    if not read.read_count:
        return _("not read yet")
    left = len(read.unread)
    return ngettext("%(n)d use left to read", "%(n)d uses left to read", left) % {"n": left} if left else _("read")


@register.filter
def terms_word(row: PaperRow) -> str:
    """How far the terms of use of a paper of the list were read."""
    if row.terms == "partly":
        return _("%(n)d of %(all)d read") % {"n": row.uses_read, "all": USES}
    return _("Read") if row.terms == "read" else _("Not read yet")


@register.filter
def unread_words(row: Any) -> str:
    """``not read``, or ``4 uses left``."""
    if not row.read:
        return _("Not read")
    return ngettext("%(n)d use left", "%(n)d uses left", row.unread) % {"n": row.unread}


@register.filter
def use_names(codes: Sequence[str]) -> str:
    """Uses by their words of the file."""
    return names_of(codes)


@register.filter
def use_name(code: str) -> str:
    """One use by its word of the file."""
    return names_of([code])


@register.filter
def of_scan(page: Any, beside: Beside) -> int | None:
    """The page of the scan that is a page of the paper; None if what stands in the box is no page."""
    text = str(page)
    return beside.pages[0] + int(text) - 1 if text.isascii() and text.isdecimal() and len(text) < 5 else None


@register.filter
def conditions_of(term: UseTerm) -> list[str]:
    return condition_words(term)


@register.filter
def cite(term: UseTerm) -> str:
    return cite_words(term)


@register.filter
def all_uses(uses: Iterable[Use]) -> str:
    return uses_words(uses)
