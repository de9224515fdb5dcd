"""Every finding code in plain words: what was compared, when it is given, and when not.

The rules are those of VERDICTS.md; its section stands with each group. What would settle a finding is said by
``governance.verdicts.settling``, and its sentence by the engine, so neither stands here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class Explanation:
    """compared: what was held against what. given, not_given: when the code is given, and when another one is.

    section: of VERDICTS.md. beside: the codes that are told apart from it.
    """

    section: str
    compared: Promise
    given: Promise
    not_given: Promise
    beside: tuple[str, ...] = ()


_REQUIRED = _("The rules of the country sheets, for the country and the day of the record.")
_LINKS = _("The papers linked to the specimen, its event, its site, or its accession, and what a search came to.")
_DAYS = _(
    "The day of the record against the days on which the paper holds: from its first to its last day, both counted, "
    "less suspensions, closed seasons and all days from a revocation on."
)
_DATE_ALONE = _("The date as it is written in the record, before any paper is looked at.")
_COORDINATES = _("The coordinates of the record, before the area of a paper is looked at.")
_COUNTRY = _("The point of the record against the outline of the country that the record states.")
_AREA = _("The place of the record, with how well it is known, against the area that the paper includes.")
_EXCLUDED = _("The place of the record, with how well it is known, against what the paper excludes.")
_NAME = _("The name of the record, with the names above it, against the names that the paper includes and excludes.")
_METHODS = _("The methods recorded against the methods that the paper allows and does not allow.")
_PEOPLE = _("The people recorded as collectors against the people named on the paper and its holder.")
_SEX = _("The sex recorded against the sexes that the paper allows.")
_STAGE = _("The life stage recorded against the life stages that the paper allows.")
_COUNT = _("The individuals counted under the paper, in the order in which they were taken, against its limit.")

FINDINGS: Mapping[str, Explanation] = {
    # the requirement, the search and the paper itself
    "requirement-unknown": Explanation(
        "7", _REQUIRED,
        _("The record has no country, or its date may lie on either side of the day on which a rule began or ended."),
        _("Where country and day are known and no rule speaks of the layer, “no rule” is said. A paper that covers it "
          "makes the layer covered in spite of this."),
        ("no-rule",),
    ),
    "no-rule": Explanation(
        "7", _REQUIRED,
        _("No country sheet on file says whether this layer is required in the country of the record."),
        _("Where a rule exists and only the country or day of the record is not known, “cannot be told” is said."),
        ("requirement-unknown",),
    ),
    "not-searched": Explanation(
        "7", _LINKS,
        _("The layer is required, no paper of this layer is linked, and nobody has recorded a search for one."),
        _("Where a paper is linked, its terms are tested. Where somebody searched, what the search came to is said."),
        ("known-not-located", "none-found"),
    ),
    "known-not-located": Explanation(
        "7", _LINKS,
        _("No paper is linked, and somebody recorded that one exists which has not been located."),
        _("Where the search ended without a trace of a paper, “none found” is said."),
        ("none-found", "not-searched"),
    ),
    "none-found": Explanation(
        "7", _LINKS,
        _("No paper is linked, and somebody searched and recorded that none was found."),
        _("Where nobody searched yet, that is said; “none found” is never assumed."),
        ("not-searched", "known-not-located"),
    ),
    "paper-unread": Explanation(
        "7", _("The paper on file, which has no version: nobody has entered what it allows."),
        _("A paper of this layer is linked, and none of its terms are entered."),
        _("Where another paper that was read covers the material, the layer is covered."),
        ("not-searched",),
    ),
    # dates
    "revoked": Explanation(
        "3", _DAYS,
        _("The day lies on or after the day from which the paper no longer held: revoked, withdrawn or surrendered."),
        _("On the last day before, the paper still held. A run of days that crosses the revocation straddles."),
        ("after-end", "straddles"),
    ),
    "suspended": Explanation(
        "3", _DAYS,
        _("The day lies where the paper was suspended; the first and the last day of the suspension count."),
        _("The days before and after the suspension are valid. A run of days that crosses it straddles."),
        ("closed-season", "straddles"),
    ),
    "closed-season": Explanation(
        "3", _DAYS,
        _("The day lies in a season that the paper closes each year; both ends of the season count as closed."),
        _("A day outside the dates of the paper is before its start or after its end, whatever the season."),
        ("suspended", "before-start", "after-end"),
    ),
    "between-versions": Explanation(
        "3", _DAYS,
        _("The paper has two versions with days between them on which neither held, and the day lies there."),
        _("Where one version begins on the day after the other ends, there is no gap."),
        ("before-start", "after-end"),
    ),
    "before-start": Explanation(
        "3", _DAYS,
        _("The day lies before the first day of the paper."),
        _("The first day itself is valid. Where the first day of the paper is not known, that is said instead."),
        ("start-unknown", "straddles"),
    ),
    "after-end": Explanation(
        "3", _DAYS,
        _("The day lies after the last day of the paper, or of its last version."),
        _("The last day itself is valid. A run of days that began before the end straddles."),
        ("straddles", "revoked", "date-vague"),
    ),
    "straddles": Explanation(
        "3", _DAYS,
        _("A run of days, both ends known to the day, has some valid days and some that are not: a trap that stood "
          "over the end of a paper."),
        _("A date that is not known to the day is vague and does not straddle: it was one day, and which is not "
          "known. A run with no valid day is outside."),
        ("date-vague", "after-end"),
    ),
    "date-vague": Explanation(
        "3", _DAYS,
        _("The date may mean several days, and some of them are valid and some are not; or it was written with a "
          "doubt, which never gives a yes."),
        _("Where all days that it may mean are valid, the answer is yes; where none is, it is no. A run whose two "
          "ends are known straddles."),
        ("straddles", "version-vague"),
    ),
    "date-missing": Explanation(
        "2", _("The day that the layer asks for: of collecting, of export, of arrival, or of transfer."),
        _("That day is not recorded. The collecting date never stands in for a day of export or transfer."),
        _("Where something is written that cannot be read as a day, that is said instead."),
        ("date-unreadable",),
    ),
    "date-unreadable": Explanation(
        "3", _DATE_ALONE,
        _("What is written could mean several days or none, and is not taken on a guess."),
        _("A date of less precision, such as a month, can be read: it is vague, not unreadable."),
        ("date-missing", "date-vague"),
    ),
    "date-conflict": Explanation(
        "3", _DATE_ALONE,
        _("Two columns of the record give days that do not fit each other."),
        _("Where what the label says lies inside the date recorded, such as a day inside its month, they agree."),
        ("date-unreadable",),
    ),
    "start-unknown": Explanation(
        "3", _DAYS,
        _("The first day of the paper is not known, and the day is not after its last day."),
        _("After the last day the paper no longer held, whenever it began. The day of issue is never taken as start."),
        ("before-start", "after-end"),
    ),
    # places
    "coordinates-invalid": Explanation(
        "4", _COORDINATES,
        _("The coordinates cannot be a place on earth: a latitude of 95, or one number of the two."),
        _("Blank coordinates are missing. Zero and zero count as blank."),
        ("place-missing",),
    ),
    "coordinates-generalized": Explanation(
        "4", _COORDINATES,
        _("The record says that its coordinates were made coarser on purpose, so neither yes nor no can be said."),
        _("Coordinates that are only not known well keep their radius and are tested with it."),
        ("radius-unknown", "area-edge"),
    ),
    "country-mismatch": Explanation(
        "4", _COUNTRY,
        _("The point lies farther from the country stated than its radius and the error of the outline together."),
        _("A point at sea within 200 nautical miles of the country does not contradict it."),
        ("swapped", "sign"),
    ),
    "swapped": Explanation(
        "4", _COUNTRY,
        _("The point lies outside the country stated, and with latitude and longitude exchanged it would lie inside. "
          "It is a hint beside the finding, and nothing is exchanged."),
        _("Where a changed sign would put the point into the country, that is said."),
        ("country-mismatch", "sign"),
    ),
    "sign": Explanation(
        "4", _COUNTRY,
        _("The point lies outside the country stated, and with a sign changed it would lie inside. It is a hint "
          "beside the finding, and nothing is changed."),
        _("Where latitude and longitude exchanged would put the point into the country, that is said."),
        ("country-mismatch", "swapped"),
    ),
    "radius-unknown": Explanation(
        "4", _AREA,
        _("The record does not say how well its position is known, and by house rule no radius is assumed."),
        _("Where the house rule assumes a radius, the point is tested with it, and a yes carries a remark."),
        ("radius-assumed",),
    ),
    "place-conflict": Explanation(
        "4", _("The point of the record against the site that the record names, as the paper maps that site."),
        _("The point lies outside the named site by more than all errors: one of the two is wrong."),
        _("Where the site is not mapped there is nothing to compare; where the radius reaches the site, they agree."),
        ("by-name", "outside-area"),
    ),
    "excluded-area": Explanation(
        "4", _EXCLUDED,
        _("The place lies wholly inside an area that the paper excludes, or the record names a site that it excludes."),
        _("Where the circle of the position only touches the excluded area, it cannot be told."),
        ("exclusion-edge", "outside-area"),
    ),
    "place-missing": Explanation(
        "4", _AREA,
        _("The record has no coordinates, and names no place that the paper names as a whole."),
        _("Where the paper names the site, or includes the whole country stated, and excludes nothing, the name alone "
          "is enough, with a remark."),
        ("by-name", "coordinates-invalid"),
    ),
    "outside-area": Explanation(
        "4", _AREA,
        _("The place lies wholly outside every place that the paper includes, farther than its radius and the error "
          "of the boundary together."),
        _("Where the circle of the position touches the boundary, it cannot be told. Where the paper has a place that "
          "is not mapped, it could be that one."),
        ("area-edge", "area-not-mapped", "at-sea"),
    ),
    "at-sea": Explanation(
        "4", _AREA,
        _("The paper includes a whole country or province, and the point lies in no country, within 200 nautical miles "
          "of it: whether those waters belong to the area is not known."),
        _("Farther out, in another country, or where the paper includes a drawn area too, the place is outside."),
        ("outside-area",),
    ),
    "area-not-mapped": Explanation(
        "4", _AREA,
        _("The paper names a place of which no outline is on file, and the point could lie in it."),
        _("Where the record names that place itself, the name decides. Where all places are mapped, the point is "
          "inside, outside or at the edge."),
        ("outside-area", "by-name"),
    ),
    "exclusion-edge": Explanation(
        "4", _EXCLUDED,
        _("The circle of the position touches the edge of an area that the paper excludes."),
        _("Wholly inside it the answer is no; wholly outside it, the rest of the area decides."),
        ("excluded-area", "area-edge"),
    ),
    "area-edge": Explanation(
        "4", _AREA,
        _("The circle of the position touches the edge of the area: the true place may be inside or outside. The "
          "measure is the distance to the edge, on whichever side the point lies."),
        _("Where the whole circle is inside, the answer is yes; where all of it is outside, it is no. Equal to the "
          "distance counts as touching."),
        ("outside-area", "radius-assumed"),
    ),
    # taxa
    "taxon-ambiguous": Explanation(
        "5", _NAME,
        _("A name on the paper is the name of two groups in two kingdoms, the paper does not say which, and the "
          "record could be of the one that is meant."),
        _("Where the paper names the kingdom, or the names above the record rule it out, the answer is yes or no."),
        ("taxon-unresolved",),
    ),
    "taxon-excluded": Explanation(
        "5", _NAME,
        _("The name is one that the paper excludes, or stands below one. What is excluded wins over what is included."),
        _("Where the name is too high to tell whether it is inside the excluded group, it cannot be told."),
        ("taxon-broad", "taxon-not-included"),
    ),
    "taxon-broad": Explanation(
        "5", _NAME,
        _("The name stands above a name of the paper, or a rank between is blank: it could be inside or not."),
        _("At or below a name of the paper the answer is yes. Beside all of them it is no."),
        ("taxon-not-included", "taxon-unresolved"),
    ),
    "taxon-unresolved": Explanation(
        "5", _NAME,
        _("A name of the paper occurs nowhere in the classification, or the record has no name, so the two cannot be "
          "held against each other."),
        _("A family is ruled out by another family, and a species by another genus, even where its name is not "
          "placed."),
        ("taxon-broad", "taxon-ambiguous"),
    ),
    "taxon-not-included": Explanation(
        "5", _NAME,
        _("The paper lists names, and the name is neither one of them nor below one."),
        _("Where the name stands above a listed one, it is not identified far enough to say no."),
        ("taxon-broad", "taxon-excluded"),
    ),
    "taxon-qualified": Explanation(
        "5", _NAME,
        _("The name carries a doubt (cf., aff., ?), so its lowest part is left aside, and what remains does not "
          "decide."),
        _("Where the rest of the name is enough for yes or no, that is the answer."),
        ("taxon-broad",),
    ),
    # methods, people, sex, life stage
    "method": Explanation(
        "6", _METHODS,
        _("None of the methods recorded is allowed. One that the paper forbids counts as not allowed."),
        _("Where some of several are allowed, it cannot be told by which one the specimen was taken."),
        ("method-mixed", "method-missing"),
    ),
    "method-mixed": Explanation(
        "6", _METHODS,
        _("Several methods are recorded, and only some of them are allowed."),
        _("Where all are allowed the answer is yes; where none is, it is no."),
        ("method",),
    ),
    "method-missing": Explanation(
        "6", _METHODS,
        _("The paper limits methods, and none is recorded."),
        _("A paper that says nothing of methods sets no limit, and a blank method is then no question."),
        ("method", "method-mixed"),
    ),
    "person": Explanation(
        "6", _PEOPLE,
        _("The paper names people, and nobody recorded as collector is one of them."),
        _("Where initials could be those of a person named, it cannot be told. The holder counts as named."),
        ("person-maybe", "person-mixed"),
    ),
    "person-mixed": Explanation(
        "6", _PEOPLE,
        _("Some of the people recorded are named, others are not, and the paper allows no helpers or says nothing of "
          "them."),
        _("Where the paper allows helpers, one person named is enough; where they must be supervised, a yes carries "
          "a remark."),
        ("person", "supervision-not-evidenced"),
    ),
    "person-missing": Explanation(
        "6", _PEOPLE,
        _("The paper names people, and nobody is recorded as collector."),
        _("A paper that names nobody sets no limit."),
        ("person",),
    ),
    "person-maybe": Explanation(
        "6", _PEOPLE,
        _("The family name is that of a person named, and the initials fit: it may be the same person or another."),
        _("The order of names, capitals and full stops do not matter. Initials that do not fit are another person."),
        ("person",),
    ),
    "sex": Explanation(
        "6", _SEX,
        _("None of the sexes recorded is allowed."),
        _("Where some of several are allowed, it cannot be told."),
        ("sex-mixed", "sex-missing"),
    ),
    "sex-mixed": Explanation(
        "6", _SEX,
        _("Individuals of several sexes are recorded together, and only some of them are allowed."),
        _("Where all are allowed the answer is yes; where none is, it is no."),
        ("sex",),
    ),
    "sex-missing": Explanation(
        "6", _SEX,
        _("The paper limits sexes, and none is recorded."),
        _("A paper that says nothing of sexes sets no limit."),
        ("sex",),
    ),
    "life-stage": Explanation(
        "6", _STAGE,
        _("None of the life stages recorded is allowed."),
        _("Where some of several are allowed, it cannot be told."),
        ("life-stage-mixed", "life-stage-missing"),
    ),
    "life-stage-mixed": Explanation(
        "6", _STAGE,
        _("Individuals of several life stages are recorded together, and only some of them are allowed."),
        _("Where all are allowed the answer is yes; where none is, it is no."),
        ("life-stage",),
    ),
    "life-stage-missing": Explanation(
        "6", _STAGE,
        _("The paper limits life stages, and none is recorded."),
        _("A paper that says nothing of life stages sets no limit."),
        ("life-stage",),
    ),
    # numbers
    "cap-breached": Explanation(
        "6", _COUNT,
        _("Before this specimen, as many individuals as the limit allows were certainly taken and certainly counted."),
        _("Those taken up to the limit stay covered. Where counts, days or names leave it open, it may have been "
          "reached."),
        ("cap-possible",),
    ),
    "cap-possible": Explanation(
        "6", _COUNT,
        _("With all that may count up to this specimen, the limit may be passed; it is not certain."),
        _("Where even the highest number stays within the limit, the answer is yes."),
        ("cap-breached", "count-assumed"),
    ),
    # versions that differ
    "version-vague": Explanation(
        "3", _("The other terms of every version of the paper that the date touches: area, taxa, methods and so on."),
        _("The date may fall into several versions, one of which says yes and another does not."),
        _("Where all of them agree, that is the answer. A run of days takes the least favourable version."),
        ("date-vague",),
    ),
    # remarks: findings on a yes
    "radius-assumed": Explanation(
        "4", _AREA,
        _("The point lies inside with a radius that the house rule assumes, since the record states none."),
        _("Where the assumed circle touches the edge, it cannot be told. Where the record states a radius, nothing is "
          "assumed."),
        ("area-edge", "radius-unknown"),
    ),
    "datum-assumed": Explanation(
        "4", _AREA,
        _("The record does not state in which datum its coordinates are, so an allowance was added to the radius; "
          "the place lies inside even so."),
        _("A datum that is stated and understood is brought to WGS 84, and nothing is added."),
        ("radius-assumed", "area-edge"),
    ),
    "count-assumed": Explanation(
        "6", _COUNT,
        _("No count is recorded, it was taken as one, and the limit is kept."),
        _("A lot or a bulk sample without a count has no upper bound. Without a limit on numbers there is no remark."),
        ("cap-possible",),
    ),
    "by-name": Explanation(
        "4", _("The name of the place in the record against the names of places on the paper."),
        _("There is no mapped area to hold a point against, and the paper names the place of the record as a whole."),
        _("Where the paper excludes part of it, a name alone is not enough."),
        ("place-missing", "area-not-mapped"),
    ),
    "place-not-stated": Explanation(
        "4", _AREA,
        _("The paper lists no place, so the jurisdiction of its issuer stands in for its area. Where it has none "
          "either, it cannot be told."),
        _("Papers of import, CITES and transfer that list no place set no limit, and carry no remark."),
        ("at-sea", "outside-area"),
    ),
    "supervision-not-evidenced": Explanation(
        "6", _PEOPLE,
        _("Some collectors are named, the paper allows helpers under supervision, and nothing on file shows who "
          "supervised them."),
        _("Where all are named there is no remark. Where helpers are not allowed, it cannot be told."),
        ("person-mixed",),
    ),
}  # fmt: skip
"""By code, for every code of ``governance.engine.tables.CODES`` but the blank one."""
