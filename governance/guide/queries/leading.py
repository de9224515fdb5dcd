"""The first steps as a person meets them: how far each is, why it is taken, and the page where it goes on."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final

from django.urls import reverse
from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.people.access import Verb, may
from governance.guide.models import Step
from governance.guide.queries.found import Beginnings, Found, beginnings, found
from governance.papers.countries import country_name
from governance.verdicts.queries.specimens import open_count

HIDDEN: Final = "first-steps"
"""The cookie that says that the panel on Today was put away in this browser."""

VERB_OF: Final[Mapping[Step, Verb]] = {
    Step.HOUSE: Verb.READ,
    Step.SHEETS: Verb.EDIT_SHEETS,
    Step.INTAKE: Verb.PREPARE_INTAKE,
    Step.PAPERS: Verb.REGISTER_PAPERS,
    Step.LINKS: Verb.LINK_PAPERS,
    Step.VERDICTS: Verb.READ,
    Step.QUESTION: Verb.READ,
    Step.PLAN: Verb.PLAN_TRIPS,
}
"""What makes a step a person's: the others do not see it."""

WHY: Final[Mapping[Step, Any]] = {
    Step.HOUSE: gettext_lazy("Letters and reports name the institution; each change names the person who made it."),
    Step.SHEETS: gettext_lazy("A sheet says, with its source, which kinds of paper a country requires and from "
                              "which day on. Without it nothing can be called not required."),
    Step.INTAKE: gettext_lazy("One row a specimen. The file is looked through first: nothing is entered before you "
                              "say so."),
    Step.PAPERS: gettext_lazy("What a permit allows: its days, places, taxa, people and numbers. A scan can stand "
                              "beside the form, and its words are offered."),
    Step.LINKS: gettext_lazy("A paper says nothing about a specimen until it is linked to its accession, part, event "
                             "or site."),
    Step.VERDICTS: gettext_lazy("Each specimen is held against the papers linked to it, layer by layer, without being "
                                "asked."),
    Step.QUESTION: gettext_lazy("An answer comes with the rows and papers behind it. Save the question, and its number "
                                "stands on Today."),
    Step.PLAN: gettext_lazy("The stops of the next trip are judged like specimens, before anyone leaves: what is "
                            "missing, and by when to ask for it."),
}  # fmt: skip
"""One sentence why each step is taken."""


class State(StrEnum):
    """How far a step is."""

    DONE = "done"
    NEXT = "next"
    OPEN = "open"
    WAITING = "waiting"
    SKIPPED = "skipped"


@dataclass(frozen=True)
class Led:
    """One step. number: its place among all eight. said: what there is, or what it waits for. href, deed: the page
    where it goes on and the words of the button; "" where there is nothing to do."""

    step: Step
    number: int
    state: State
    said: str
    href: str
    deed: str

    @property
    def why(self) -> str:
        return str(WHY[self.step])


@dataclass(frozen=True)
class Reached:
    """Where a step stands: done or not, what there is, what it waits for, and where it goes on."""

    is_done: bool
    said: str
    href: str
    deed: str
    waits_for: str = ""


@dataclass(frozen=True)
class Leading:
    """The steps of a person. is_over: the register is in use, and nobody needs to be led."""

    steps: Sequence[Led]
    is_over: bool

    @property
    def next(self) -> Led | None:
        return next((one for one in self.steps if one.state is State.NEXT), None)

    @property
    def settled(self) -> int:
        """Steps that are done or left out."""
        return sum(one.state in (State.DONE, State.SKIPPED) for one in self.steps)


def leading(user: Any) -> Leading:
    """The steps that are this person's, in the order of the work. The first that can be done now is the next one."""
    begun, there = beginnings(user), found()
    steps: list[Led] = []
    for number, step in enumerate(Step, 1):
        if may(user, VERB_OF[step]):
            reached = _reached(step, there, begun, user)
            state = _state(reached, is_skipped=step in begun.skipped, is_first=_has_no_next(steps))
            steps.append(Led(step, number, state, reached.waits_for or reached.said, reached.href, reached.deed))
    return Leading(steps, begun.is_over)


def _has_no_next(steps: Sequence[Led]) -> bool:
    return all(one.state is not State.NEXT for one in steps)


def _reached(step: Step, there: Found, begun: Beginnings, user: Any) -> Reached:
    if step is Step.QUESTION:
        return _question(there, begun)
    return _plan(begun) if step is Step.PLAN else _REACHED[step](there, user)


def _state(reached: Reached, *, is_skipped: bool, is_first: bool) -> State:
    if reached.is_done:
        return State.DONE
    if is_skipped:
        return State.SKIPPED
    if reached.waits_for:
        return State.WAITING
    return State.NEXT if is_first else State.OPEN


def _house(found: Found, user: Any) -> Reached:
    is_named = bool(found.institution and found.country)
    people = ngettext("%(n)s person may sign in", "%(n)s people may sign in", found.people) % {
        "n": _shown(found.people)
    }
    said = f"{found.institution}, {country_name(found.country)}. {people}." if is_named else _("Not named yet.")
    if may(user, Verb.MANAGE_PEOPLE) and is_named:
        return Reached(is_named, said, reverse("people:people"), _("Let others in"))
    if may(user, Verb.EDIT_HOUSE_RULES):
        return Reached(is_named, said, reverse("usedesk:desk-house"), _("Name the institution"))
    waits = "" if is_named else _("Somebody who may edit the house rules names the institution.")
    return Reached(is_named, said, reverse("people:account-roles"), _("Who may do what"), waits)


def _sheets(found: Found, user: Any) -> Reached:
    done = ngettext("%(n)s country has rules.", "%(n)s countries have rules.", found.ruled) % {"n": found.ruled}
    if not found.unruled:
        waits = "" if found.ruled or found.specimens else _("Once specimens are there, their countries stand here.")
        return Reached(bool(found.ruled), done if found.ruled else _("No rule yet."), reverse("verdicts:countries"),
                       _("Country sheets"), waits)  # fmt: skip
    code, sheet = found.unruled[0]
    names = _listed([country_name(one) for one, _sheet in found.unruled])
    said = _("Specimens of %(names)s wait for the rules.") % {"names": names}
    href = (
        reverse("verdicts:country-rules-at-once", args=[sheet]) if sheet
        else reverse("verdicts:country-without-sheet", args=[code])
    )  # fmt: skip
    return Reached(False, said, href, _("Enter the rules of %(name)s") % {"name": country_name(code)})


def _intake(found: Found, user: Any) -> Reached:
    said = ngettext("%(n)s specimen.", "%(n)s specimens.", found.specimens) % {"n": _shown(found.specimens)}
    if found.specimens == 0 and (batch := found.waiting_file):
        said = _("%(file)s waits to be committed.") % {"file": batch.file_name}
        return Reached(False, said, reverse("intake:batch-preview", args=[batch.pk]), _("Go on with the file"))
    if found.specimens == 0:
        said = _("No specimen yet.")
    return Reached(found.specimens > 0, said, reverse("intake:batch-new"), _("Bring in a file"))


def _papers(found: Found, user: Any) -> Reached:
    done = ngettext("%(n)s paper is on file.", "%(n)s papers are on file.", found.papers) % {"n": found.papers}
    if found.unread:
        first = found.unread[0]
        said = _("Nobody has entered what %(papers)s allow.") % {"papers": _listed([p.reference for p in found.unread])}
        return Reached(False, said, reverse("papers:version-new", args=[first.pk]), _("Enter what it allows"))
    if found.loose_scans:
        said = ngettext("%(n)s scan stands in no file yet.", "%(n)s scans stand in no file yet.", found.loose_scans)
        return Reached(False, said % {"n": _shown(found.loose_scans)}, reverse("scans:scans"),
                       _("Register what is in the scans"))  # fmt: skip
    if found.papers:
        return Reached(True, done, reverse("papers:paper-new"), _("Register a paper"))
    return Reached(False, _("No paper yet."), reverse("scans:scans"), _("Bring in the scans"))


def _links(found: Found, user: Any) -> Reached:
    if not found.papers:
        return Reached(False, "", "", "", _("A paper comes first."))
    if found.unlinked:
        first = found.unlinked[0]
        names = _listed([paper.reference for paper in found.unlinked])
        said = _("Not linked yet: %(papers)s.") % {"papers": names}
        waits = "" if found.specimens else _("Specimens come first.")
        return Reached(False, said, reverse("papers:paper-link", args=[first.pk]), _("Link %(paper)s")
                       % {"paper": first.reference}, waits)  # fmt: skip
    linked = found.papers - len(found.unread)
    if not linked:
        return Reached(False, "", "", "", _("Somebody enters first what a paper allows."))
    said = ngettext("%(n)s paper speaks for material.", "%(n)s papers speak for material.", linked) % {"n": linked}
    return Reached(True, said, reverse("papers:papers"), _("See papers"))


def _verdicts(found: Found, user: Any) -> Reached:
    if not found.specimens:
        return Reached(False, "", "", "", _("Specimens come first."))
    if found.judged < found.specimens:  # some wait: what was read would not be all
        return Reached(False, "", "", "", _("Being worked out: look again in a moment."))
    words = ngettext("%(n)s specimen was checked; open: %(open)s.",
                     "%(n)s specimens were checked; %(open)s of them need a look.", found.judged)  # fmt: skip
    said = words % {"n": _shown(found.judged), "open": _shown(open_count(found.tallies))}
    return Reached(True, said, f"{reverse('verdicts:specimens')}?group=reason", _("Read the verdicts"))


def _question(found: Found, begun: Beginnings) -> Reached:
    waits = "" if found.judged or begun.has_question else _("Verdicts come first.")
    said = _("A question is saved or asked.") if begun.has_question else _("No question yet.")
    href = reverse("audit:ask", args=["outside-dates"])
    return Reached(begun.has_question, said, href, _("Ask: what was collected outside the dates?"), waits)


def _plan(begun: Beginnings) -> Reached:
    said = _("There is a plan.") if begun.has_plan else _("No plan yet.")
    return Reached(begun.has_plan, said, reverse("plans:plan-new"), _("Plan a trip"))


_REACHED: Final[Mapping[Step, Callable[[Found, Any], Reached]]] = {
    Step.HOUSE: _house, Step.SHEETS: _sheets, Step.INTAKE: _intake, Step.PAPERS: _papers, Step.LINKS: _links,
    Step.VERDICTS: _verdicts,
}  # fmt: skip

_NAMED: Final = 3


def _listed(names: Sequence[str]) -> str:
    """The first names, and how many more."""
    more = len(names) - _NAMED
    said = ", ".join(names[:_NAMED])
    return _("%(names)s and %(n)s more") % {"names": said, "n": more} if more > 0 else said


def _shown(count: int) -> str:
    return number_format(count, use_l10n=True, force_grouping=True)
