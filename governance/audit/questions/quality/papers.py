"""Papers: used before they were issued, valid to a day before that, without a scan."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Exists, F, Max, OuterRef
from django.utils.translation import gettext_lazy, ngettext

from governance.audit.asking import Cell, Column, ColumnKind
from governance.audit.queries.quality import kept_while_unchanged
from governance.audit.questions.addresses import paper_link
from governance.audit.questions.quality.found import Fact, Found, FoundList, FoundQuery
from governance.audit.questions.quality.rule import Cells, Rule
from governance.audit.questions.quality.telling import EASE
from governance.engine.tables import Layer, Verdict
from governance.papers.models import LAYER_NAMES, Paper, PaperScan
from governance.papers.restriction import opens
from governance.usedesk.queries.by_keys import day_of_row
from governance.verdicts.feed.rows import select
from governance.verdicts.models import Override

_BY_COLLECTING_DAY: Final = (Layer.LAND, Layer.COLLECTING, Layer.SPECIES, Layer.PROTECTED_SITE, Layer.ACCESS)
"""Layers that are tested on the day of collecting (the contract of verdicts, section 2)."""

_COVERING: Final = f"""
SELECT DISTINCT op.paper_id, rl.ruling_id, p.issued_on
FROM verdicts_outcomepaper op
JOIN verdicts_outcome o ON o.id = op.outcome_id
JOIN verdicts_rulinglayer rl ON rl.outcome_id = o.id
JOIN papers_paper p ON p.id = op.paper_id
WHERE o.verdict = {int(Verdict.COVERED)} AND p.issued_on IS NOT NULL
  AND o.layer IN ({", ".join(str(int(layer)) for layer in _BY_COLLECTING_DAY)})
"""
_USED: Final = f"""
SELECT g.paper_id, MIN(k.first_on)
FROM (SELECT ruling_id, MIN(last_on) AS first_on FROM verdicts_standing GROUP BY ruling_id) k
JOIN ({_COVERING}) g ON g.ruling_id = k.ruling_id
WHERE k.first_on < g.issued_on
GROUP BY g.paper_id
ORDER BY g.paper_id
"""
_HOW_MANY: Final = f"""
SELECT g.paper_id, COUNT(DISTINCT s.specimen_id)
FROM ({_COVERING}) g JOIN verdicts_standing s ON s.ruling_id = g.ruling_id
WHERE s.last_on < g.issued_on AND g.paper_id IN ({{papers}})
GROUP BY g.paper_id
"""


def _used(_on: date) -> Found:
    rows = kept_while_unchanged("used", (Paper, Override), lambda: list(select(_USED)))
    return FoundList([(key, day_of_row(first)) for key, first in rows])


def _used_cells(facts: Sequence[Fact], reader: Any) -> list[Cells]:
    """How many specimens it is, is counted for the papers that are shown."""
    keys = [key for key, _first in facts]
    counts = dict(select(_HOW_MANY.format(papers=", ".join(["%s"] * len(keys))), keys)) if keys else {}
    papers = Paper.objects.in_bulk(keys)
    return [
        (paper_link(papers[key]), str(papers[key].get_kind_display()), _issued(papers[key], reader), first,
         counts.get(key, 0))
        for key, first in facts
    ]  # fmt: skip


def _issued(paper: Paper, reader: Any) -> Cell:
    """The day of issue is for those who may read the paper."""
    return paper.issued_on if reader is None or opens(paper, reader) else None


_PAPER: Final = (Column("paper", gettext_lazy("Paper"), ColumnKind.CODE), Column("kind", gettext_lazy("Kind")))

USED: Final = Rule(
    "quality-paper-before-issue", "paper", gettext_lazy("Which papers cover what was taken before they were issued?"),
    gettext_lazy("Papers on which a verdict of “covered” rests for material that was collected before the day on which "
                 "the paper was issued."),
    (*_PAPER, Column("issued", gettext_lazy("Issued"), ColumnKind.DAY),
     Column("first", gettext_lazy("Earliest collected"), ColumnKind.DAY),
     Column("specimens", gettext_lazy("Specimens"), ColumnKind.NUMBER)),
    _used, _used_cells,
    lambda n: ngettext("%(n)s paper covers what was taken before it was issued.",
                       "%(n)s papers cover what was taken before they were issued.", n) % {"n": intcomma(n)},
    gettext_lazy("A paper is issued before it is used; some are valid from an earlier day by their own words."),
    (gettext_lazy("Specimens without a verdict, and papers whose day of issue is not recorded, are not looked at."),),
)  # fmt: skip


def _ended(_on: date) -> Found:
    """A version that ends before it starts is refused by the database; this holds the day of issue against all."""
    papers = Paper.objects.annotate(last=Max("versions__in_force_to")).filter(issued_on__gt=F("last"))
    open_ended = Paper.objects.filter(versions__in_force_to__isnull=True, versions__isnull=False).values("pk")
    return FoundQuery(papers.exclude(pk__in=open_ended).order_by("reference"), ("last",))


def _ended_cells(facts: Sequence[Fact], reader: Any) -> list[Cells]:
    papers = Paper.objects.in_bulk([key for key, _last in facts])
    return [
        (paper_link(papers[key]), str(papers[key].get_kind_display()), _issued(papers[key], reader), last)
        for key, last in facts
    ]  # fmt: skip


ENDED: Final = Rule(
    "quality-paper-days", "paper", gettext_lazy("Which papers were issued after they had ended?"),
    gettext_lazy("Papers whose day of issue is after the last day of every version."),
    (*_PAPER, Column("issued", gettext_lazy("Issued"), ColumnKind.DAY),
     Column("last", gettext_lazy("Valid to"), ColumnKind.DAY)),
    _ended, _ended_cells,
    lambda n: ngettext("%(n)s paper was issued after it had ended.", "%(n)s papers were issued after they had ended.",
                       n) % {"n": intcomma(n)},
    EASE, (gettext_lazy("A version that ends before it starts is refused where it is entered."),),
)  # fmt: skip


def _scanless(_on: date) -> Found:
    filed = PaperScan.objects.filter(paper=OuterRef("pk"), taken_off_at__isnull=True)
    return FoundQuery(Paper.objects.filter(~Exists(filed)).order_by("reference"))


def _scanless_cells(facts: Sequence[Fact], _reader: Any) -> list[Cells]:
    papers = Paper.objects.in_bulk([key for (key,) in facts])
    layers = {key: ", ".join(str(LAYER_NAMES[layer]) for layer in paper.layer_list) for key, paper in papers.items()}
    return [(paper_link(papers[key]), str(papers[key].get_kind_display()), layers[key]) for (key,) in facts]


SCANLESS: Final = Rule(
    "quality-paper-without-scan", "paper", gettext_lazy("Which papers have no scan?"),
    gettext_lazy("Papers for which no scan is filed: only what somebody typed is known of them."),
    (*_PAPER, Column("layers", gettext_lazy("Layers"))),
    _scanless, _scanless_cells,
    lambda n: ngettext("%(n)s paper has no scan.", "%(n)s papers have no scan.", n) % {"n": intcomma(n)},
    EASE,
)  # fmt: skip

RULES: Final = (USED, ENDED, SCANLESS)
