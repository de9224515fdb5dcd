"""Words of layers, verdicts and searches on screens, and as choices of fields."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from governance.engine.tables import SearchState, Verdict
from governance.papers.models import LAYER_NAMES

LAYERS = [(int(layer), name) for layer, name in LAYER_NAMES.items()]

VERDICT_NAMES = {
    Verdict.COVERED: _("Covered"),
    Verdict.NOT_REQUIRED: _("Not required"),
    Verdict.CANNOT_TELL: _("Cannot tell"),
    Verdict.STRADDLES: _("Straddles"),
    Verdict.OUTSIDE: _("Outside terms"),
    Verdict.MISSING: _("No paper on file"),
}
"""Words of the verdicts on screens, best first."""

VERDICTS = [(int(verdict), name) for verdict, name in VERDICT_NAMES.items()]

SEARCH_STATES = [
    (int(SearchState.NOT_SEARCHED), _("Not searched yet")),
    (int(SearchState.KNOWN_NOT_LOCATED), _("Known to exist, not located")),
    (int(SearchState.NONE_FOUND), _("None found")),
]
