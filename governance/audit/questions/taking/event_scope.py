"""The material that a question about events is asked of: a specimen, an accession, what a paper was held against, or
all; and the events with it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Final

from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from accessions.material.models import Accession, SamplingEvent, Specimen
from governance.audit.asking import Asked, Missing, Parameter, ParameterKind
from governance.audit.questions.taking.by_event import EventAnswers
from governance.audit.resolving import accession_of, paper_of, specimen_of
from governance.papers.models import Paper
from governance.verdicts.models import RulingLayer, Standing

PARAMETERS: Final = (
    Parameter("specimen", ParameterKind.SPECIMEN, gettext_lazy("Specimen"), help=gettext_lazy("Blank: all.")),
    Parameter("accession", ParameterKind.ACCESSION, gettext_lazy("Accession"), help=gettext_lazy("Blank: all.")),
    Parameter(
        "paper", ParameterKind.PAPER, gettext_lazy("Paper"),
        help=gettext_lazy("What it was held against; blank: all. Without any of the three the answer is by paper."),
    ),
)  # fmt: skip


@dataclass(frozen=True)
class EventScope:
    """What was asked for; all of it must hold."""

    specimen: Specimen | None
    accession: Accession | None
    paper: Paper | None

    @property
    def is_whole(self) -> bool:
        return self.specimen is None and self.accession is None and self.paper is None

    @property
    def standings(self) -> QuerySet[Standing]:
        found = Standing.objects.order_by()
        if self.specimen is not None:
            found = found.filter(pk=self.specimen.pk)
        if self.accession is not None:
            found = found.filter(specimen__accession=self.accession)
        if self.paper is not None:
            named = RulingLayer.objects.filter(outcome__papers__paper=self.paper)
            found = found.filter(ruling__in=named.values("ruling"))
        return found

    @property
    def words(self) -> str:
        """ "specimen LMN-FW-0198363", "accession LMN-2019-112 under COL-2019-004"."""
        words = ""
        if self.accession is not None:
            words = _("accession %(number)s") % {"number": self.accession.number}
        if self.specimen is not None:
            words = _("specimen %(number)s") % {"number": self.specimen}
        if self.paper is None:
            return words
        if not words:
            return _("what was held against %(paper)s") % {"paper": self.paper.reference}
        return _("%(what)s under %(paper)s") % {"what": words, "paper": self.paper.reference}

    @property
    def unchecked(self) -> tuple[Missing, ...]:
        """That a specimen or an accession was not judged whole. Two queries, none for a paper or the register."""
        if self.is_whole or self.paper is not None:
            return ()
        asked = Specimen.objects.filter(pk=self.specimen.pk) if self.specimen else None
        specimens = asked if asked is not None else Specimen.objects.filter(accession=self.accession)
        count = specimens.order_by().count() - self.standings.count()
        return (Missing(_("Verdicts of specimens that no assessment has taken up yet."), count),) if count > 0 else ()


def event_scope(asked: Asked) -> EventScope:
    """What the parameters name.

    Raises:
        UnknownValueError: one of them names nothing.
    """
    return EventScope(
        specimen_of(asked) if asked["specimen"] else None, accession_of(asked) if asked["accession"] else None,
        paper_of(asked) if asked["paper"] else None,
    )  # fmt: skip


def events_of(groups: Collection[EventAnswers], standings: QuerySet[Standing]) -> Mapping[int, SamplingEvent]:
    """The events of some groups: one query."""
    columns = (
        "number", "event_date", "verbatim_event_date", "earliest_on", "latest_on", "reading", "recorded_by",
        "sampling_protocol",
    )  # fmt: skip
    wanted = {group.event for group in groups}
    rows = SamplingEvent.objects.filter(pk__in=standings.values("event_id")).only(*columns).order_by()
    return {event.pk: event for event in rows if event.pk in wanted}


def in_order(groups: Collection[EventAnswers], events: Mapping[int, SamplingEvent]) -> list[EventAnswers]:
    """By day, events without one last."""

    def place(group: EventAnswers) -> tuple[bool, str, str, int]:
        event = events[group.event]
        first = event.earliest_on
        return (first is None, first.isoformat() if first else "", event.number, event.pk)

    return sorted(groups, key=place)


def event_words(event: SamplingEvent) -> str:
    """Its number, else its key."""
    return str(event.number) or f"#{event.pk}"
