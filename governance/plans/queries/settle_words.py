"""What would settle a finding before the trip: change the plan, or the papers. Words alone; the findings are the
engine's, and what of it would do is tried by the advice."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from governance.verdicts.settling import Test, advice_of, is_remark, says_no

_BY_CODE: Mapping[str, Promise] = {
    "requirement-unknown": _(
        "say in which country the stop is and on which days, so that its rules can be held against it."
    ),
    "no-rule": _("somebody who may edit country sheets enters whether this layer is required, with the source."),
    "not-searched": _("link a paper that is on file, or ask for one."),
    "known-not-located": _("locate the paper, or ask its issuer or holder for a copy, and link it."),
    "none-found": _("ask for a paper."),
    "paper-unread": _("read the paper and enter what it allows, as its first version."),
    "date-missing": _("fix the days of the stop, or of the way home."),
    "date-unreadable": _("write the day as YYYY-MM-DD."),
    "start-unknown": _("the first day of the paper, from the paper itself or its issuer."),
    "place-missing": _("give the stop a site, a point with its radius, or an area."),
    "radius-unknown": _("say how far from the point you will collect."),
    "area-not-mapped": _("map the place of the paper, from its annex or from the issuer."),
    "country-mismatch": _("check the country and the place of the stop; one of them is wrong."),
    "place-conflict": _("correct the site or the place of the stop; they disagree."),
    "swapped": _("if that is what was meant, exchange latitude and longitude of the stop."),
    "sign": _("if that is what was meant, change the sign of the coordinate."),
    "at-sea": _("ask the issuer whether the waters belong to the area of the paper."),
    "area-edge": _("draw the place smaller or move it, or ask the issuer where the edge is."),
    "exclusion-edge": _("draw the place smaller or move it away, or ask the issuer where the edge is."),
    "taxon-ambiguous": _("say on the paper’s version which kingdom is meant."),
    "taxon-broad": _("name the groups more narrowly, or ask what the paper’s own words include."),
    "taxon-unresolved": _("check the spelling of the group, or load a list of taxa that has the name."),
    "method-missing": _("say by which methods."),
    "person-missing": _("name who will collect."),
    "person-maybe": _("write the full name, or add this form of the name to the agent."),
    "cap-breached": _("plan for fewer, or ask the issuer for more."),
    "cap-possible": _("give the expected number as exactly as you can, or plan for fewer."),
}

_BY_TEST: Mapping[Test, Promise] = {
    Test.PAPER: _("look at the papers and the country sheet."),
    Test.DATES: _("move the days to where the paper holds, or ask for a paper or an extension for them."),
    Test.AREA: _("move the place to where the paper holds, or ask for a paper for it."),
    Test.TAXA: _("leave the group out, or ask for a paper that includes it."),
    Test.METHODS: _("use a method that the paper allows, or have the method added."),
    Test.PEOPLE: _("let somebody collect who is named, or have the person added to the paper."),
    Test.KIND: _("take only what the paper names, or have it amended."),
    Test.COUNT: _("plan for fewer, or ask the issuer for more."),
}


def settle_words(code: str) -> str:
    """The words for a code; a remark needs nothing."""
    if is_remark(code):
        return ""
    found = _BY_CODE.get(code)
    if found is None:
        test = advice_of(code).test
        found = _BY_TEST[test] if says_no(code) or test is not Test.PAPER else _BY_TEST[Test.PAPER]
    return str(found)
