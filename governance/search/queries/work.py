"""What people are at: field plans, requests, uses that were made, duties, reports, questions of the audit."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.http import urlencode
from django.utils.translation import gettext as _

from accessions.people.access import is_open_to
from governance.audit import questions as registry
from governance.audit.models import SavedQuestion
from governance.audit.queries.saved import address_of, visible, words_of
from governance.duties.models import Duty
from governance.duties.queries import listing as duty_list
from governance.papers.restriction import opens
from governance.plans.models import FieldPlan, Stop
from governance.plans.queries.listing import PlanFilter, plans
from governance.reports.queries import listing as report_list
from governance.reports.subjects import heading_of
from governance.search.asked import Asked, ranked
from governance.search.queries.kinds import Hit, Matches, of_ranked, why
from governance.usedesk.models import MadeUse, UseRequest
from governance.usedesk.queries import listing as request_list


def find_plans(asked: Asked, user: Any) -> Matches:
    """Field plans by number, title, leader and stops. Two queries."""
    stops: defaultdict[int, list[str]] = defaultdict(list)
    for plan, name in Stop.objects.order_by("position", "pk").values_list("plan", "name").iterator():
        stops[plan].append(name)
    rows = FieldPlan.objects.order_by("-pk").values_list("pk", "reference", "title", "leader").iterator()
    found = ranked(((pk, number, " ".join([*told, *stops[pk]])) for pk, number, *told in rows), asked)
    address = f"{reverse('plans:plans')}?{urlencode({'q': asked.text})}"
    return of_ranked(found, lambda keys: _plans(keys, asked), address,
                     lambda: plans(PlanFilter(q=asked.text)).count())  # fmt: skip


def _plans(keys: Sequence[int], asked: Asked) -> list[Hit]:
    rows = FieldPlan.objects.prefetch_related("stops").in_bulk(list(keys))
    return [
        Hit(
            one.reference, reverse("plans:plan", args=[one.pk]), one.title,
            why(asked, (_("Led by"), one.leader), *((_("Stop"), stop.name) for stop in one.stops.all()))[:3],
        )
        for key in keys if (one := rows.get(key))
    ]  # fmt: skip


def find_requests(asked: Asked, user: Any) -> Matches:
    """Requests by number, title, who asks, and purpose. One query."""
    rows = UseRequest.objects.order_by("-pk")
    told = rows.values_list("pk", "reference", "title", "asked_by", "purpose", "recipient__name").iterator()
    found = ranked(((pk, number, " ".join(filter(None, rest))) for pk, number, *rest in told), asked)
    address = f"{reverse('usedesk:requests')}?{urlencode({'q': asked.text})}"
    wanted = request_list.Wanted(q=asked.text)
    return of_ranked(found, lambda keys: _requests(keys, asked), address,
                     lambda: request_list.use_requests(wanted, timezone.localdate()).count())  # fmt: skip


def _requests(keys: Sequence[int], asked: Asked) -> list[Hit]:
    rows = UseRequest.objects.select_related("recipient").in_bulk(list(keys))
    return [
        Hit(
            one.reference, reverse("usedesk:request", args=[one.pk]), one.title,
            why(asked, (_("Asked by"), one.asked_by), (_("For"), one.recipient.name if one.recipient else ""),
                (_("Purpose"), one.purpose)),
        )
        for key in keys if (one := rows.get(key))
    ]  # fmt: skip


def find_uses(asked: Asked, user: Any) -> Matches:
    """Uses that were made by number, words, recipient, citation and DOI. One query."""
    rows = MadeUse.objects.order_by("-on", "-pk")
    told = rows.values_list("pk", "reference", "title", "citation", "doi", "recipient__name").iterator()
    found = ranked(((pk, number, " ".join(filter(None, rest))) for pk, number, *rest in told), asked)
    return of_ranked(found, lambda keys: _uses(keys, asked))


def _uses(keys: Sequence[int], asked: Asked) -> list[Hit]:
    rows = MadeUse.objects.select_related("recipient").in_bulk(list(keys))
    return [
        Hit(
            one.reference or one.title or str(one.get_deed_display()), reverse("usedesk:use", args=[one.pk]),
            _deed_and_day(one),
            why(asked, (_("In words"), one.title if one.reference else ""),
                (_("By or to"), one.recipient.name if one.recipient else ""), (_("Citation"), one.citation),
                (_("DOI"), one.doi)),
        )
        for key in keys if (one := rows.get(key))
    ]  # fmt: skip


def _deed_and_day(one: MadeUse) -> str:
    """What was done and when; the day alone where the deed is the title already."""
    day = date_format(one.on, "j M Y")
    return f"{one.get_deed_display()}, {day}" if one.reference or one.title else day


def find_duties(asked: Asked, user: Any) -> Matches:
    """Duties, by what everybody sees of them and, where the paper is open to the person, by their words. One query."""
    found = ranked(_duty_words(user), asked)
    address = f"{reverse('duties:duties')}?{urlencode({'q': asked.text, 'state': 'all'})}"
    wanted = duty_list.Wanted(q=asked.text, state="all")
    return of_ranked(found, lambda keys: _duties(keys, asked, user), address,
                     lambda: duty_list.duties(wanted, user, timezone.localdate()).count())  # fmt: skip


def _duty_words(user: Any) -> Iterator[tuple[int, str, str]]:
    rows = Duty.objects.order_by("-due_on", "pk").values_list(
        "pk", "paper__restricted_to", "paper__reference", "label", "what", "to_whom", "note"
    )
    for pk, bits, reference, label, *words in rows.iterator():
        shown = words if bits is None or is_open_to(user, bits) else []
        yield pk, "", " ".join([reference or "", label, *shown])


def _duties(keys: Sequence[int], asked: Asked, user: Any) -> list[Hit]:
    rows = Duty.objects.select_related("paper", "promise").in_bulk(list(keys))
    return [_duty(one, asked, user) for key in keys if (one := rows.get(key))]


def _duty(one: Duty, asked: Asked, user: Any) -> Hit:
    address = reverse("duties:duty", args=[one.pk])
    due = _("due on %(day)s") % {"day": date_format(one.due_on, "j M Y")} if one.due_on else _("day not known")
    reference = one.paper.reference if one.paper else ""
    of = [(_("About"), one.label)]
    if one.paper is not None and not opens(one.paper, user):
        closed = duty_list.hidden_words(one, user)
        return Hit(str(one.get_kind_display()), address, ", ".join(filter(None, [reference, due])), why(asked, *of),
                   closed=closed)  # fmt: skip
    words = [
        (_("To whom"), one.to_whom),
        (_("Note"), one.note),
        (_("In words"), one.what if one.what != _short(one.what) else ""),
    ]
    return Hit(_short(one.what), address, ", ".join(filter(None, [reference, due])), why(asked, *of, *words))


def _short(text: str) -> str:
    return text if len(text) <= 120 else f"{text[:119]}…"


def find_reports(asked: Asked, user: Any) -> Matches:
    """Reports that the person may see, by number, title, addressee and what they are about. One query."""
    rows = report_list.visible(user).order_by("-pk")
    told = rows.values_list(
        "pk", "reference", "title", "addressee", "paper__reference", "agent__name", "accession__number"
    )
    found = ranked(((pk, number, " ".join(filter(None, rest))) for pk, number, *rest in told.iterator()), asked)
    address = f"{reverse('reports:reports')}?{urlencode({'q': asked.text})}"
    wanted = report_list.Wanted(q=asked.text)
    return of_ranked(found, lambda keys: _reports(keys, asked, user), address,
                     lambda: report_list.reports(wanted, user).count())  # fmt: skip


def _reports(keys: Sequence[int], asked: Asked, user: Any) -> list[Hit]:
    rows = report_list.reports(report_list.Wanted(), user).in_bulk(list(keys))
    return [
        Hit(
            one.reference, reverse("reports:report", args=[one.pk]), str(heading_of(one)),
            why(asked, (_("Title"), one.title), (_("Addressed to"), one.addressee)),
        )
        for key in keys if (one := rows.get(key))
    ]  # fmt: skip


def find_questions(asked: Asked, user: Any) -> Matches:
    """Questions of the audit: the ready ones, by title and explanation, and those that the person saved or was shown.
    One query."""
    saved = [one for one in visible(user).select_related("owner") if address_of(one)]
    told: list[tuple[Any, str, str]] = [(one, "", one.title) for one in saved]
    told += [(one, "", f"{one.title} {one.shows}") for one in registry.QUESTIONS]
    return of_ranked(ranked(told, asked), lambda rows: [_question(one, asked) for one in rows])


def _question(one: Any, asked: Asked) -> Hit:
    if isinstance(one, SavedQuestion):
        return Hit(one.title, address_of(one), _("saved by %(name)s") % {"name": one.owner.shown_name},
                   why(asked, (_("Asks"), words_of(one))))  # fmt: skip
    return Hit(str(one.title), reverse("audit:ask", args=[one.key]), "", why(asked, ("", str(one.shows))))
