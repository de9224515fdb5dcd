"""Finding codes in a few words, for filters, chips and shared reasons; the sentence of a specimen says it in full."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

REASON_WORDS: Mapping[str, Promise] = {
    "requirement-unknown": _("Whether it was required cannot be told"),
    "no-rule": _("No country sheet says whether it is required"),
    "not-searched": _("No paper linked, no search recorded"),
    "known-not-located": _("Paper known to exist, not located"),
    "none-found": _("Searched for, none found"),
    "paper-unread": _("Paper on file, not read yet"),
    "revoked": _("After the paper was revoked or withdrawn"),
    "suspended": _("While the paper was suspended"),
    "closed-season": _("In a closed season"),
    "between-versions": _("Between two versions"),
    "before-start": _("Before the start date"),
    "after-end": _("After the end date"),
    "straddles": _("The run crosses an end or a gap"),
    "date-vague": _("Date not known to the day"),
    "date-missing": _("No date recorded"),
    "date-unreadable": _("Date not readable without guessing"),
    "date-conflict": _("Date in conflict with what else is recorded"),
    "start-unknown": _("Start of the paper not known"),
    "coordinates-invalid": _("Coordinates that cannot be"),
    "coordinates-generalized": _("Coordinates made coarser on purpose"),
    "country-mismatch": _("Point lies outside the country stated"),
    "swapped": _("Latitude and longitude may be swapped"),
    "sign": _("A sign of the coordinates may be wrong"),
    "radius-unknown": _("Not recorded how well the position is known"),
    "place-conflict": _("Point lies outside the site it names"),
    "excluded-area": _("In an area that the paper excludes"),
    "place-missing": _("No coordinates, place not named by the paper"),
    "outside-area": _("Outside the area of the paper"),
    "at-sea": _("Point lies at sea"),
    "area-not-mapped": _("A place of the paper is not mapped"),
    "exclusion-edge": _("At the edge of an excluded area"),
    "area-edge": _("At the edge of the area"),
    "taxon-ambiguous": _("A name on the paper stands under two kingdoms"),
    "taxon-excluded": _("Taxon excluded by the paper"),
    "taxon-broad": _("Not identified far enough"),
    "taxon-unresolved": _("A name on the paper has no place in the classification"),
    "taxon-not-included": _("Taxon not among those of the paper"),
    "taxon-qualified": _("Identified with a doubt"),
    "method": _("Method not allowed"),
    "method-mixed": _("Not all methods allowed"),
    "method-missing": _("No method recorded"),
    "person": _("Nobody of the people is named"),
    "person-mixed": _("Not all people are named"),
    "person-missing": _("No collector recorded"),
    "person-maybe": _("Initials do not tell the person"),
    "sex": _("Sex not allowed"),
    "sex-mixed": _("Not all sexes allowed"),
    "sex-missing": _("No sex recorded"),
    "life-stage": _("Life stage not allowed"),
    "life-stage-mixed": _("Not all life stages allowed"),
    "life-stage-missing": _("No life stage recorded"),
    "cap-breached": _("The limit was reached before"),
    "cap-possible": _("The limit may have been reached"),
    "version-vague": _("Versions of the paper do not agree"),
    "radius-assumed": _("Covered on an assumed radius"),
    "datum-assumed": _("Covered on an assumed datum"),
    "count-assumed": _("Covered on an assumed count"),
    "by-name": _("Covered by the name of the place"),
    "place-not-stated": _("The paper states no place"),
    "supervision-not-evidenced": _("Supervision not evidenced"),
}


def reason_words(code: str) -> str:
    """A code in words; a code that is new here as it stands."""
    return str(REASON_WORDS.get(code, code))
