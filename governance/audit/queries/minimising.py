"""Whether the data of a private person may go: which records name them, until when each is kept, where the name also
stands in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import reduce
from operator import or_
from typing import Any, Final

from django.db.models import Q
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.material.models import Delivery, Determination, SamplingEvent
from accessions.people.models import Agent
from accessions.people.name_keys import fold_name
from accessions.sites.models import SiteTenure
from accessions.values.people import split_people
from governance.audit.models import KeptKind, Minimisation
from governance.audit.queries.keeping import Kept, State, kept_papers
from governance.audit.queries.keeping_rules import Rule, keeping_rules
from governance.engine.keeping import kept_until, may_go
from governance.papers.models import AcceptedOffer, Paper, TitleRecord, VersionPerson
from governance.reports.models import Report, ShareLink
from governance.scans.models import ScanPage
from governance.usedesk.models import Recipient


@dataclass(frozen=True)
class Naming:
    """A record that names the person. until: the last day on which it is kept; None: why tells what is lacking."""

    what: str
    address: str
    until: date | None
    why: str = ""


@dataclass(frozen=True)
class Place:
    """Where the name also stands in words, which are not touched."""

    what: str
    count: int


@dataclass(frozen=True)
class PersonKept:
    """refused: why the data never go by this way; "" for a private person. until: their last day of keeping, if it is
    known. done: they went already."""

    agent: Agent
    rule: Rule
    refused: str
    naming: Sequence[Naming]
    until: date | None
    done: Minimisation | None
    problem: str

    @property
    def may_go(self) -> bool:
        """Whether the data may be taken out today."""
        return not self.problem


def person_kept(agent: Agent, today: date) -> PersonKept:
    """Everything that decides about the data of one person."""
    rules = keeping_rules()
    rule, refused = rules[KeptKind.PERSON], _refusal(agent)
    naming = [] if refused else list(_naming(agent, rules, today))
    until = _until(naming, rule)
    done = Minimisation.objects.select_related("minimised_by").filter(agent=agent).first()
    problem = _problem(refused, naming, rule, until, today, done)
    return PersonKept(agent, rule, refused, naming, until, done, problem)


def _refusal(agent: Agent) -> str:
    if agent.kind != Agent.Kind.PERSON:
        return _("It is an organisation, no person.")
    if agent.users.exists():
        return _("This person signs in to the register, or did: who changed what is part of every history.")
    if _is_collector({key for key in agent.names.values_list("key", flat=True) if key}):
        return _("Records of collecting or determining name this person: who collected is scientific data, and stays.")
    return ""


def _is_collector(keys: set[str]) -> bool:
    written: Iterator[str] = (
        text
        for model, field in ((SamplingEvent, "recorded_by"), (Determination, "identified_by"))
        for text in model.objects.exclude(**{field: ""}).order_by().values_list(field, flat=True).distinct()
    )
    return any(fold_name(person) in keys for text in written for person in split_people(text))


def _naming(agent: Agent, rules: Mapping[KeptKind, Rule], today: date) -> Iterator[Naming]:
    """Each record that points at the person; of a kind that is not known here it is said that nobody can tell."""
    for relation in Agent._meta.related_objects:
        model, column = relation.related_model, relation.field.name
        if relation.hidden or relation.one_to_one or relation.get_accessor_name() in ("names", "users"):
            continue
        rows = list(model._base_manager.filter(**{column: agent}))
        if rows:
            yield from _of_relation(model, rows, rules, today)
    yield from _once_tenures(agent, rules)


def _once_tenures(agent: Agent, rules: Mapping[KeptKind, Rule]) -> Iterator[Naming]:
    """Tenures that named the person and were removed, or name somebody else by now: what they said stands in the
    history, and is kept from their last day, or else from the last day on which they were written."""
    now = SiteTenure.objects.filter(agent=agent).order_by().values("pk")
    entries = SiteTenure.history.filter(agent=agent).exclude(id__in=now).order_by("history_id")
    newest = {entry.id: entry for entry in entries.select_related("site")}
    for entry in newest.values():
        since = entry.held_to or timezone.localdate(entry.history_date)
        what = _("%(site)s, owner or occupier, in the history") % {"site": entry.site.code}
        yield Naming(what, reverse("sites:site", args=[entry.site_id]), *_by_rule(since, rules[KeptKind.OTHER]))


def _of_relation(model: Any, rows: list[Any], rules: Mapping[KeptKind, Rule], today: date) -> Iterator[Naming]:
    if model is Paper or model is VersionPerson:
        keys = {row.pk if model is Paper else row.version.paper_id for row in rows}
        yield from (_of_paper(one) for one in kept_papers(today, keys))
        return
    teller = _TELLERS.get(model, _nobody_can_tell)
    yield from (teller(row, rules) for row in rows)


def _of_paper(kept: Kept) -> Naming:
    is_over = kept.state in (State.MAY_GO, State.DISPOSED, State.UNTIL)
    until = kept.until if is_over else None
    return Naming(
        kept.paper.reference, reverse("papers:paper", args=[kept.paper.pk]), until, "" if is_over else kept.why
    )


def _of_tenure(row: SiteTenure, rules: Mapping[KeptKind, Rule]) -> Naming:
    what, address = (
        _("%(site)s, owner or occupier") % {"site": row.site.code},
        reverse("sites:site", args=[row.site_id]),
    )
    if row.held_to is None:
        return Naming(what, address, None, _("its last day is not recorded, or not reached"))
    return Naming(what, address, *_by_rule(row.held_to, rules[KeptKind.OTHER]))


def _of_report(row: Report, rules: Mapping[KeptKind, Rule]) -> Naming:
    address = reverse("reports:report", args=[row.pk])
    if row.issued_at is None:
        return Naming(row.reference, address, None, _("it is a draft"))
    return Naming(row.reference, address, *_by_rule(timezone.localdate(row.issued_at), rules[KeptKind.OTHER]))


def _of_share(row: ShareLink, rules: Mapping[KeptKind, Rule]) -> Naming:
    last = timezone.localdate(row.revoked_at) if row.revoked_at else row.open_until
    return Naming(row.name, reverse("reports:share", args=[row.pk]), last)


def _by_rule(since: date, rule: Rule) -> tuple[date | None, str]:
    if rule.years is None:
        return None, _("it is kept for ever")
    if not rule.is_adopted:
        return None, _("the house has not adopted the rule with its source")
    return kept_until(since, rule.years), ""


def _nobody_can_tell(row: Any, rules: Mapping[KeptKind, Rule]) -> Naming:
    return Naming(f"{row._meta.verbose_name} {row}", "", None, _("it is kept for ever, or no rule says how long"))


_TELLERS: Final[dict[Any, Callable[[Any, Mapping[KeptKind, Rule]], Naming]]] = {
    SiteTenure: _of_tenure, Report: _of_report, ShareLink: _of_share,
}  # fmt: skip


def _until(naming: Sequence[Naming], rule: Rule) -> date | None:
    days = [one.until for one in naming]
    if rule.years is None or not days or None in days:
        return None
    return kept_until(max(day for day in days if day is not None), rule.years)


def _problem(
    refused: str, naming: Sequence[Naming], rule: Rule, until: date | None, today: date, done: Minimisation | None
) -> str:
    if done is not None:
        return _("The data of this person were taken out already.")
    if refused:
        return refused
    if not rule.is_adopted:
        return _("The house has not adopted the rule for private persons with its source.")
    if rule.years is None:
        return _("By the rule of the house they are kept for ever.")
    lacking = next((one for one in naming if one.until is None), None)
    if lacking is not None:
        return _("%(what)s names the person: %(why)s.") % {"what": lacking.what, "why": lacking.why}
    if until is not None and not may_go(until, today):
        return _("They are kept up to %(day)s.") % {"day": date_format(until, "j F Y")}
    return ""


_WORDS: Final[tuple[tuple[Any, tuple[str, ...]], ...]] = (
    (Paper, ("issuer", "holder", "remarks")), (VersionPerson, ("name",)),
    (TitleRecord, ("given_by", "right_held_by", "right_basis", "note")), (AcceptedOffer, ("value", "read_from")),
    (ScanPage, ("text",)), (SiteTenure, ("source",)), (Delivery, ("received_by", "contents")),
    (Recipient, ("name", "address", "contact")), (Report, ("title", "addressee")), (ShareLink, ("name", "greeting")),
)  # fmt: skip


def places_of_name(agent: Agent) -> list[Place]:
    """Where a form of the name stands in words, with how many records: their words and histories are not touched. Only
    counts are told, so that nothing restricted shows."""
    forms = {agent.name, *agent.names.values_list("form", flat=True)} - {""}
    found = []
    for model, fields in _WORDS:
        asked = reduce(or_, (Q(**{f"{field}__icontains": form}) for field in fields for form in sorted(forms)))
        if count := model.objects.filter(asked).count():
            found.append(Place(str(model._meta.verbose_name_plural), count))
    return found
