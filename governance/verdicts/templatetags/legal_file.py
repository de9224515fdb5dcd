"""The legal file in short, for the page of the accession: ``{% legal_file_summary accession verdicts searches %}``."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import template

from accessions.material.models import Accession
from governance.engine.tables import Layer, Verdict
from governance.verdicts.cells import Cell
from governance.verdicts.models import Search
from governance.verdicts.queries.accession_verdicts import AccessionVerdicts

register = template.Library()


@register.inclusion_tag("verdicts/_file_summary.html")
def legal_file_summary(accession: Accession, verdicts: AccessionVerdicts, searches: Sequence[Search]) -> dict[str, Any]:
    """The worst verdict of each layer, and how many layers are complete; from what the page has read already."""
    cells = [
        Cell(max((verdict for verdict, count in verdicts.counts[layer].items() if count), default=Verdict.CANNOT_TELL),
             layer)
        for layer in Layer
    ]  # fmt: skip
    return {
        "accession": accession, "verdicts": verdicts, "cells": cells if verdicts.checked else [],
        "complete": 0 if verdicts.unchecked else len(Layer) - len(verdicts.open_layers), "of": len(Layer),
        "open": verdicts.open_layers, "searches": len(searches),
    }  # fmt: skip
