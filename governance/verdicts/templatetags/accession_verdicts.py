"""Verdicts and papers on the pages of accessions and sites, which know neither: the templates compose.

``{% listed_verdicts page.object_list as listed %}``, ``{% accession_verdicts accession as verdicts %}``,
``{% paper_matrix accession summary.parts %}``, ``{% accession_searches accession as searches %}``,
``{{ delivery.exported_on|written_day }}``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import template
from django.utils.formats import number_format
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.material.models import Accession
from governance.engine.tables import Layer
from governance.papers.models import LAYER_NAMES, PaperLink
from governance.verdicts.cells import Cell
from governance.verdicts.models import Search
from governance.verdicts.queries import accession_verdicts as reads
from governance.verdicts.queries.accession_papers import MatrixRow, links_through_time, matrix
from governance.verdicts.shown_days import written_day

register = template.Library()
register.filter("written_day", written_day)


@register.simple_tag
def listed_verdicts(accessions: Sequence[Accession]) -> dict[int, reads.ListedVerdicts]:
    """Bars and numbers of papers of the accessions of a page, by key."""
    return reads.listed_verdicts(accessions)


@register.filter
def of_key(values: Mapping[Any, Any], key: Any) -> Any:
    """The value of a key, None where there is none."""
    return values.get(key)


@register.simple_tag
def accession_verdicts(accession: Accession) -> reads.AccessionVerdicts:
    """All that stands for an accession."""
    return reads.accession_verdicts(accession)


@register.simple_tag
def accession_searches(accession: Accession) -> list[Search]:
    """The searches for papers of an accession."""
    return reads.searches_of(accession)


@register.simple_tag
def accession_links(accession: Accession) -> list[PaperLink]:
    """Papers linked and taken off, the newest first."""
    return links_through_time(accession)


@register.simple_tag
def accession_matrix(accession: Accession, parts: Sequence[Any]) -> list[MatrixRow]:
    """The rows of the matrix. parts: the summaries of the page."""
    return matrix(accession, [summary.part for summary in parts if summary.part])


@register.filter
def cells_of_part(verdicts: reads.AccessionVerdicts, part: Any) -> tuple[Cell, ...] | None:
    """The worst verdict on each layer of a part (None: of the specimens of no part); None where nothing was checked."""
    return verdicts.part_strips.get(part.pk if part else 0)


@register.simple_tag
def accession_answer(
    verdicts: reads.AccessionVerdicts, papers: Sequence[MatrixRow], parts: Sequence[Any]
) -> SafeString:
    """The answer first: how much there is, and which layers need a look."""
    return format_html("<b>{}</b> {}", _size_words(verdicts, len(papers), _lettered(parts)), _open_words(verdicts))


def _lettered(parts: Sequence[Any]) -> int:
    return sum(1 for summary in parts if summary.part)


def _size_words(verdicts: reads.AccessionVerdicts, papers: int, parts: int) -> str:
    counted = number_format(verdicts.specimens, force_grouping=True)
    words = [
        ngettext("%(n)s paper", "%(n)s papers", papers) % {"n": papers},
        *([ngettext("%(n)s part", "%(n)s parts", parts) % {"n": parts}] if parts else []),
        ngettext("%(n)s specimen", "%(n)s specimens", verdicts.specimens) % {"n": counted},
    ]
    return f"{', '.join(words)}."


def _open_words(verdicts: reads.AccessionVerdicts) -> str:
    if not verdicts.specimens:
        return _("No specimen is recorded yet.")
    if not verdicts.checked:
        return _("None was checked yet.")
    waiting = ""
    if verdicts.unchecked:
        waiting = ngettext(
            " %(n)s specimen was not checked yet.", " %(n)s specimens were not checked yet.", verdicts.unchecked
        ) % {"n": number_format(verdicts.unchecked, force_grouping=True)}
    if not verdicts.open_layers:
        return _("Every layer of every checked specimen is covered or not required.") + waiting
    named = [
        _("%(layer)s for %(n)s") % {"layer": LAYER_NAMES[layer], "n": number_format(count, force_grouping=True)}
        for layer, count in verdicts.open_layers
    ]
    return _("Needs a look: %(layers)s.") % {"layers": ", ".join(named)} + waiting


@register.simple_tag
def layer_name(number: int) -> str:
    """The name of a layer on screens."""
    return str(LAYER_NAMES[Layer(number)])
