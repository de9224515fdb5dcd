"""Why an accession was held to need no paper of the access layer: who decided it, on what, and what else is known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Count
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.material.models import Accession
from accessions.people.wording import in_a_list
from governance.audit.asking import (
    Answer,
    Asked,
    Column,
    ColumnKind,
    Group,
    ListedRows,
    Missing,
    Parameter,
    ParameterKind,
    Question,
    Row,
)
from governance.audit.questions.addresses import link
from governance.audit.questions.wording import long_day, specimens_words
from governance.audit.resolving import accession_of
from governance.engine.explain import BY_DECISION
from governance.engine.tables import Layer, Verdict
from governance.jurisdictions import CutOff
from governance.papers.countries import country_name
from governance.verdicts.models import (
    VERDICT_NAMES,
    LayerDecision,
    OutcomeFinding,
    RulingLayer,
    SheetRule,
    Standing,
)
from governance.verdicts.queries.countries import treaty_facts
from governance.verdicts.queries.file_material import WHOLE, Lot, lots_of
from governance.verdicts.queries.file_way import Split, splits
from governance.verdicts.reason_words import reason_words
from governance.verdicts.standing_columns import strip_of

_LAYER: Final = Layer.ACCESS

_COLUMNS: Final = (
    Column("what", gettext_lazy("What")), Column("says", gettext_lazy("What it says")),
    Column("specimens", gettext_lazy("Specimens"), ColumnKind.NUMBER),
    Column("evidence", gettext_lazy("Evidence or source")), Column("by", gettext_lazy("By")),
    Column("on", gettext_lazy("On"), ColumnKind.DAY),
)  # fmt: skip


@dataclass(frozen=True)
class _Known:
    """What the register holds on it. verdicts: by verdict and reason how many specimens."""

    accession: Accession
    decisions: Sequence[LayerDecision]
    verdicts: Mapping[tuple[Verdict, str, str], int]
    lots: Sequence[Lot]
    rules: Sequence[SheetRule]

    @property
    def standing(self) -> list[LayerDecision]:
        return [one for one in self.decisions if one.withdrawn_at is None]

    @property
    def countries(self) -> dict[str, int]:
        found: Counter[str] = Counter()
        for lot in self.lots:
            found[lot.country] += lot.specimens
        return dict(sorted(found.items()))

    @property
    def specimens(self) -> int:
        return sum(lot.specimens for lot in self.lots)

    def with_verdict(self, verdict: Verdict) -> int:
        return sum(count for (own, _code, _text), count in self.verdicts.items() if own == verdict)


def answer(asked: Asked) -> Answer:
    """Eight queries, whatever the accession holds."""
    known = _known(accession_of(asked))
    return Answer(
        sentence=_decided_words(known) + _verdict_words(known),
        columns=_COLUMNS,
        rows=ListedRows(list(_rows(known, asked))),
        missing=tuple(_missing(known)),
        notes=(
            _("A decision counts as “not required” in the verdict until it is withdrawn (verdicts, section 7.1)."),
            _("A cut-off day says when material was taken, never that nothing was needed: older law of the country may "
              "have applied. One from memory decides nothing."),
        ),
        total=known.with_verdict(Verdict.NOT_REQUIRED),
    )  # fmt: skip


def _known(accession: Accession) -> _Known:
    decisions = LayerDecision.objects.filter(accession=accession, layer=_LAYER)
    lots = lots_of(accession)
    countries = {lot.country for lot in lots} | {""}
    rules = SheetRule.objects.filter(layer=_LAYER, sheet__country__in=countries).select_related("sheet")
    return _Known(
        accession,
        list(decisions.select_related("part", "decided_by", "withdrawn_by").order_by("decided_at", "pk")),
        _verdicts(accession),
        lots,
        list(rules.order_by("sheet__country", "from_on", "pk")),
    )


def _verdicts(accession: Accession) -> dict[tuple[Verdict, str, str], int]:
    """Three queries."""
    rows = Standing.objects.filter(specimen__accession=accession).order_by()
    outcome_of = dict(
        RulingLayer.objects.filter(ruling__in=rows.values("ruling"), layer=_LAYER).values_list("ruling", "outcome")
    )
    first = OutcomeFinding.objects.filter(outcome__in=set(outcome_of.values()), position=0)
    reason_of = {outcome: (code, text) for outcome, code, text in first.values_list("outcome", "code", "sentence")}
    found: Counter[tuple[Verdict, str, str]] = Counter()
    for ruling, cells, count in rows.values_list("ruling", "cells").annotate(n=Count("pk")):
        code, text = reason_of.get(outcome_of.get(ruling, 0), ("", ""))
        verdict = Verdict(int(strip_of(cells)[_LAYER]))
        found[verdict, code, "" if code else _plain(verdict, text)] += count
    return dict(found)


def _rows(known: _Known, asked: Asked) -> Iterator[Row]:
    yield from (_decision_row(known, one) for one in known.decisions)
    for (verdict, code, text), count in sorted(known.verdicts.items()):
        says = f"{VERDICT_NAMES[verdict]}: {reason_words(code) if code else text}"
        what = link("legal-file", known.accession.pk, _("Verdict"))
        key = code or ("decision" if text == BY_DECISION else "rule")
        yield Row(f"verdict:{int(verdict)}:{key}", (what, says, count, "", "", None))
    for cut_off, split in _cut_offs(known):
        yield Row(f"cut-off:{cut_off.code}", _cut_off_cells(cut_off, split))
    yield from (_rule_row(rule, known) for rule in known.rules)
    for code, count in known.countries.items():
        for fact in treaty_facts(code, asked.on) if code else ():
            says = f"{fact.label}: {fact.said}" + (_(" (from memory)") if fact.from_memory else "")
            yield Row(
                f"treaty:{code}:{fact.label}", (country_name(code), says, count, fact.source, "", fact.checked_on)
            )  # fmt: skip


def _plain(verdict: Verdict, text: str) -> str:
    """A covered layer names its paper in words that are the specimen's own; the verdict says it all."""
    return text if verdict == Verdict.NOT_REQUIRED else _("no open question")


def _decision_row(known: _Known, one: LayerDecision) -> Row:
    says = one.reason
    if one.withdrawn_at is not None:
        says = _("%(reason)s Withdrawn on %(day)s by %(who)s: %(why)s") % {
            "reason": one.reason, "day": long_day(_day(one.withdrawn_at)),
            "who": one.withdrawn_by.shown_name if one.withdrawn_by else "",
            "why": one.withdrawn_reason or _("no reason recorded"),
        }  # fmt: skip
    of_part = _("Decision for part %(part)s") % {"part": one.part.letter} if one.part else _("Decision")
    count = sum(lot.specimens for lot in known.lots if one.part_id in (None, lot.part))
    what = link("legal-file", known.accession.pk, of_part)
    return Row(
        f"decision:{one.pk}", (what, says, count, one.evidence, one.decided_by.shown_name, _day(one.decided_at))
    )  # fmt: skip


def _cut_offs(known: _Known) -> list[tuple[CutOff, Split]]:
    """Those of the access layer, for the accession as a whole, by day."""
    found = [pair for pair in splits(known.lots, [WHOLE]).values() if pair[0].layer == _LAYER.code]
    return sorted(found, key=lambda pair: (pair[0].day, pair[0].code))


def _cut_off_cells(cut_off: CutOff, split: Split) -> tuple[Any, ...]:
    says = _("%(what)s on %(day)s: taken before %(before)s, since %(since)s, not known %(unknown)s") % {
        "what": cut_off.what, "day": long_day(cut_off.day), "before": intcomma(split.before),
        "since": intcomma(split.since), "unknown": intcomma(split.cannot_tell),
    }  # fmt: skip
    is_told = cut_off.decides or cut_off.source.casefold().startswith("from memory")
    source = cut_off.source if is_told else _("From memory: %(source)s") % {"source": cut_off.source}
    return (_("Cut-off day"), says, split.before, source, "", cut_off.checked_on)


def _rule_row(rule: SheetRule, known: _Known) -> Row:
    code = rule.sheet.country
    where = country_name(code) if code else _("everywhere")
    says = (_("required") if rule.required else _("not required")) + _period(rule)
    count = known.countries.get(code, 0) if code else known.specimens
    what = link("country", rule.sheet_id, _("Rule for %(where)s") % {"where": where})
    return Row(f"rule:{rule.pk}", (what, says, count, rule.source, rule.sheet.checked_by, rule.sheet.checked_on))


def _period(rule: SheetRule) -> str:
    words = ""
    if rule.from_on:
        words += _(" from %(day)s") % {"day": date_format(rule.from_on, "j F Y")}
    return words + (_(" to %(day)s") % {"day": date_format(rule.to_on, "j F Y")} if rule.to_on else "")


def _decided_words(known: _Known) -> str:
    number = known.accession.number
    if known.decisions and not known.standing:
        words = _("That %(accession)s needed no paper of the access layer was decided, and the decision was withdrawn.")
        return words % {"accession": number}
    if not known.standing:
        return _("Nobody decided that %(accession)s needed no paper of the access layer.") % {"accession": number}
    first = known.standing[0]
    words = _("That %(accession)s needed no paper of the access layer was decided by %(who)s on %(day)s: “%(reason)s”")
    told = words % {
        "accession": number, "who": first.decided_by.shown_name, "day": long_day(_day(first.decided_at)),
        "reason": first.reason.rstrip(),
    }  # fmt: skip
    more = len(known.standing) - 1
    if not more:
        return told
    words = ngettext(" %(n)d more decision stands for a part.", " %(n)d more decisions stand for parts.", more)
    return told + words % {"n": more}


def _day(moment: datetime) -> date:
    return timezone.localtime(moment).date()


def _verdict_words(known: _Known) -> str:
    parts = [
        f"{specimens_words(count)} “{str(VERDICT_NAMES[verdict]).lower()}”"
        for verdict in Verdict
        if (count := known.with_verdict(verdict))
    ]
    if not known.specimens:
        return _(" No specimen of it is in the register yet.")
    if not parts:
        return _(" The access layer has no verdict yet.")
    return _(" The verdicts of the access layer: %(verdicts)s.") % {"verdicts": in_a_list(parts)}


def _missing(known: _Known) -> Iterator[Missing]:
    if not known.standing and not known.with_verdict(Verdict.NOT_REQUIRED):
        yield Missing(_("A decision with evidence, or a sourced rule of a country sheet, that none was needed."))
    if without := known.countries.get("", 0):
        yield Missing(_("The country of collecting."), without)
    undated = sum(lot.specimens for lot in known.lots if lot.first_on is None and lot.last_on is None)
    if undated:
        yield Missing(_("The day of collecting, to hold against the cut-off days."), undated)
    if unchecked := known.specimens - sum(known.verdicts.values()):
        yield Missing(_("Verdicts of specimens that no assessment has taken up yet."), unchecked)


NAGOYA_NOT_APPLIED: Final = Question(
    key="nagoya-not-applied",
    group=Group.PERMISSION,
    title=gettext_lazy("Show why you held that Nagoya did not apply to an accession"),
    shows=gettext_lazy(
        "The decisions of the access layer with their evidence, the verdicts with their reasons, and the rules, "
        "cut-off days and treaty facts with their sources."
    ),
    answer=answer,
    parameters=(
        Parameter("accession", ParameterKind.ACCESSION, gettext_lazy("Accession"), is_required=True),
    ),
)  # fmt: skip
