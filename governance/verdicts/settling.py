"""Of every finding code: which test it belongs to, what its measure says, and what would settle it.

The sentences of the findings are the engine's (``governance.engine.explain``); what stands here is for people: it is
shown beside a finding and on the page of the verdicts' shapes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from governance.engine.tables import NO_CODES, REMARKS


class Test(Enum):
    """The tests of one paper, in the order of the contract; PAPER: none could be made."""

    PAPER = 0
    DATES = 1
    AREA = 2
    TAXA = 3
    METHODS = 4
    PEOPLE = 5
    KIND = 6
    COUNT = 7

    __test__ = False  # no class of tests, whatever pytest thinks of its name


TEST_NAMES: Mapping[Test, Promise] = {
    Test.PAPER: _("Paper"),
    Test.DATES: _("Dates"),
    Test.AREA: _("Area"),
    Test.TAXA: _("Taxa"),
    Test.METHODS: _("Method"),
    Test.PEOPLE: _("People"),
    Test.KIND: _("Sex, stage"),
    Test.COUNT: _("Count"),
}


@dataclass(frozen=True)
class Advice:
    """caption: stands below the measure, or instead of it. settle: what would settle the finding."""

    test: Test
    caption: Promise
    settle: Promise


_DATE_OR_PAPER = _("a paper for that day, or proof that the recorded date is wrong.")
_BETTER_POSITION = _("a better position: field notes, a track or the label may hold one.")
_CHECK_POSITION = _("check the position against the label and the field notes; if it is right, a paper for this place.")
_CHECK_NAME = _("a determination to a lower rank, or the paper’s own word on what it includes.")
_MAP_PLACE = _("map the place of the paper, from its annex or from the issuer.")
_NO_NEED = _("nothing is open: the answer stands. A better record would take the remark away.")

ADVICE: Mapping[str, Advice] = {
    "": Advice(Test.PAPER, _("no open question"), _("nothing is open.")),
    # the requirement, the search and the paper itself
    "requirement-unknown": Advice(
        Test.PAPER,
        _("country or day not known"),
        _("record the country and a date that the rules can be held against."),
    ),
    "no-rule": Advice(
        Test.PAPER,
        _("no rule on file"),
        _("somebody who may edit country sheets enters whether this layer is required, with the source."),
    ),
    "not-searched": Advice(
        Test.PAPER,
        _("not searched yet"),
        _("link the paper, or search the files and record what the search came to."),
    ),
    "known-not-located": Advice(
        Test.PAPER,
        _("known, not located"),
        _("locate the paper, or ask its issuer or holder for a copy, and link it."),
    ),
    "none-found": Advice(
        Test.PAPER, _("search found none"), _("ask the issuing authority, or the collector, whether a paper was given.")
    ),
    "paper-unread": Advice(
        Test.PAPER, _("on file, not read"), _("read the paper and enter what it allows, as its first version.")
    ),
    # date
    "revoked": Advice(Test.DATES, _("after it was revoked or withdrawn"), _DATE_OR_PAPER),
    "suspended": Advice(Test.DATES, _("in a suspension"), _DATE_OR_PAPER),
    "closed-season": Advice(Test.DATES, _("in a closed season"), _DATE_OR_PAPER),
    "between-versions": Advice(
        Test.DATES,
        _("between two versions"),
        _("a version of the paper for that day, or proof that the date is wrong."),
    ),
    "before-start": Advice(
        Test.DATES, _("before the start date"), _("an earlier paper, or proof that the recorded date is wrong.")
    ),
    "after-end": Advice(
        Test.DATES,
        _("after the end date"),
        _("a later paper or an extension, or proof that the recorded date is wrong."),
    ),
    "straddles": Advice(
        Test.DATES, _("of the days were valid"), _("the day on which it was taken, or a paper for the days outside.")
    ),
    "date-vague": Advice(
        Test.DATES,
        _("of the possible days were valid"),
        _("the day itself: field notes, the label or the log of the trip."),
    ),
    "date-missing": Advice(
        Test.DATES, _("no day recorded"), _("record the day, from the papers of the journey or the label.")
    ),
    "date-unreadable": Advice(
        Test.DATES,
        _("date not readable"),
        _("write the date as YYYY-MM-DD, or as a range, after looking at the label."),
    ),
    "date-conflict": Advice(
        Test.DATES,
        _("two dates disagree"),
        _("look at the label and correct the column that does not say what it says."),
    ),
    "start-unknown": Advice(
        Test.DATES,
        _("start of the paper not known"),
        _("the first day of the paper, from the paper itself or its issuer."),
    ),
    # place
    "coordinates-invalid": Advice(
        Test.AREA, _("coordinates cannot be"), _("correct the coordinates from the label or the field notes.")
    ),
    "coordinates-generalized": Advice(
        Test.AREA,
        _("made coarser on purpose"),
        _("ask whoever holds the exact coordinates to test them, or to give them."),
    ),
    "country-mismatch": Advice(
        Test.AREA,
        _("from the stated country"),
        _("check country and coordinates against the label; one of them is wrong."),
    ),
    "swapped": Advice(
        Test.AREA, _("perhaps swapped"), _("if the label agrees, exchange latitude and longitude in the record.")
    ),
    "sign": Advice(Test.AREA, _("perhaps a sign"), _("if the label agrees, change the sign of the coordinate.")),
    "radius-unknown": Advice(
        Test.AREA,
        _("uncertainty not recorded"),
        _("record how well the position is known (coordinateUncertaintyInMeters)."),
    ),
    "place-conflict": Advice(
        Test.AREA,
        _("outside the site it names"),
        _("correct the site or the position, whichever the label contradicts."),
    ),
    "excluded-area": Advice(Test.AREA, _("in an excluded area"), _CHECK_POSITION),
    "place-missing": Advice(
        Test.AREA,
        _("no position"),
        _("a position, or the site that the paper names, from the label or the field notes."),
    ),
    "outside-area": Advice(Test.AREA, _("outside the area"), _CHECK_POSITION),
    "at-sea": Advice(
        Test.AREA, _("at sea, off the area"), _("ask the issuer whether the waters belong to the area of the paper.")
    ),
    "area-not-mapped": Advice(Test.AREA, _("a place is not mapped"), _MAP_PLACE),
    "exclusion-edge": Advice(Test.AREA, _("from an excluded area"), _BETTER_POSITION),
    "area-edge": Advice(Test.AREA, _("from the edge"), _BETTER_POSITION),
    # taxon
    "taxon-ambiguous": Advice(
        Test.TAXA, _("name in two kingdoms"), _("say on the paper’s version which kingdom is meant.")
    ),
    "taxon-excluded": Advice(
        Test.TAXA, _("excluded taxon"), _("check the determination; if it is right, a paper that includes this taxon.")
    ),
    "taxon-broad": Advice(Test.TAXA, _("not identified far enough"), _CHECK_NAME),
    "taxon-unresolved": Advice(
        Test.TAXA,
        _("name without a place"),
        _("record order, family and genus, or load a list of taxa that has the name."),
    ),
    "taxon-not-included": Advice(
        Test.TAXA,
        _("not among the taxa"),
        _("check the determination; if it is right, a paper that includes this taxon."),
    ),
    "taxon-qualified": Advice(
        Test.TAXA, _("identified with a doubt"), _("a determination without doubt, by somebody who knows the group.")
    ),
    # method, people, sex, life stage
    "method": Advice(
        Test.METHODS,
        _("method not allowed"),
        _("check the method in the field notes; if it is right, a paper that allows it."),
    ),
    "method-mixed": Advice(
        Test.METHODS, _("one of several methods"), _("record by which of the methods it was taken.")
    ),
    "method-missing": Advice(Test.METHODS, _("no method recorded"), _("record the method, from the field notes.")),
    "person": Advice(
        Test.PEOPLE, _("nobody is named"), _("check who collected it; if it is right, a paper that names one of them.")
    ),
    "person-mixed": Advice(
        Test.PEOPLE, _("not all are named"), _("record who took it, or the issuer’s word that helpers are allowed.")
    ),
    "person-missing": Advice(
        Test.PEOPLE, _("nobody recorded"), _("record who collected it, from the label or field notes.")
    ),
    "person-maybe": Advice(
        Test.PEOPLE, _("initials that fit"), _("write the full name, or add this form of the name to the agent.")
    ),
    "sex": Advice(Test.KIND, _("sex not among them"), _("check the sex; if it is right, a paper that includes it.")),
    "sex-mixed": Advice(Test.KIND, _("one of several sexes"), _("record the sex of each individual apart.")),
    "sex-missing": Advice(Test.KIND, _("no sex recorded"), _("record the sex.")),
    "life-stage": Advice(
        Test.KIND, _("stage not among them"), _("check the life stage; if it is right, a paper that includes it.")
    ),
    "life-stage-mixed": Advice(
        Test.KIND, _("one of several stages"), _("record the life stage of each individual apart.")
    ),
    "life-stage-missing": Advice(Test.KIND, _("no stage recorded"), _("record the life stage.")),
    # numbers
    "cap-breached": Advice(
        Test.COUNT,
        _("taken before this one"),
        _("check the counts; if they are right, the issuer’s word on those above it."),
    ),
    "cap-possible": Advice(
        Test.COUNT,
        _("may have been taken by then"),
        _("exact counts, and determinations of what could fall under the limit."),
    ),
    # versions that differ
    "version-vague": Advice(
        Test.DATES, _("versions disagree"), _("the day itself: it decides which version of the paper was in force.")
    ),
    # remarks
    "radius-assumed": Advice(Test.AREA, _("radius assumed"), _NO_NEED),
    "datum-assumed": Advice(Test.AREA, _("datum assumed"), _NO_NEED),
    "count-assumed": Advice(Test.COUNT, _("count assumed"), _NO_NEED),
    "by-name": Advice(Test.AREA, _("by name"), _NO_NEED),
    "place-not-stated": Advice(
        Test.AREA,
        _("no place stated"),
        _("ask the issuer for which area the paper holds, and enter it on the version."),
    ),
    "supervision-not-evidenced": Advice(
        Test.PEOPLE, _("supervision not shown"), _("a note of who supervised the collecting on that day.")
    ),
}
"""By code, for every code of ``governance.engine.tables.CODES``."""


def advice_of(code: str) -> Advice:
    """The advice of a code; for one of a later engine, a general one."""
    return ADVICE.get(code, Advice(Test.PAPER, _("not settled"), _("look at the papers and the record.")))


_OF_THE_PAPER = frozenset({"area-not-mapped", "start-unknown", "at-sea", "taxon-ambiguous"})

RECORD_PAGES: Mapping[Test, str] = {
    Test.DATES: "material:specimen-event",
    Test.AREA: "material:specimen-event",
    Test.METHODS: "material:specimen-event",
    Test.PEOPLE: "material:specimen-event",
    Test.TAXA: "material:specimen-determine",
    Test.KIND: "material:specimen-edit",
}
"""The page on which a better record would settle an unknown of the test."""


def record_page(code: str) -> str:
    """The name of the page where a better record would settle it; "" where the record is not what is missing."""
    if says_no(code) or is_remark(code) or code in _OF_THE_PAPER:
        return ""
    return RECORD_PAGES.get(advice_of(code).test, "")


def says_no(code: str) -> bool:
    """Whether a test with this finding said no (else it could not tell)."""
    return code in NO_CODES


def lacks_paper(code: str) -> bool:
    """Whether no paper stood to be tested: the verdict is then that none is on file."""
    return code in _NO_PAPER


_NO_PAPER = frozenset({"not-searched", "known-not-located", "none-found"})


def is_remark(code: str) -> bool:
    """Whether the finding stands on a yes."""
    return code in REMARKS
