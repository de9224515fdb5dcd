"""The rules of many layers of a country, typed on one page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from governance.engine.tables import Layer
from governance.verdicts.models import LAYERS
from governance.verdicts.queries.vocabulary import layer_meanings

_SAYS = [("True", _("Required")), ("False", _("Not required")), ("", _("Say nothing yet"))]


@dataclass(frozen=True)
class LayerRow:
    """One layer on the page."""

    layer: Layer
    words: str
    says: BoundField
    from_on: BoundField
    source: BoundField


class RulesAtOnceForm(Form):
    """One row for each layer without a rule. A layer of which nothing is said stays as it is: cannot tell."""

    source = forms.CharField(
        label=_("Source of the rules that name none of their own"), max_length=500, required=False,
        help_text=_("Where it stands: law, paragraph, date; or who said so and when"),
    )  # fmt: skip

    def __init__(self, layers: Sequence[Layer], *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.layers = layers
        names = dict(LAYERS)
        for layer in layers:
            name = {"layer": names[int(layer)]}
            self.fields[f"says-{layer.code}"] = forms.ChoiceField(
                label=names[int(layer)], choices=_SAYS, required=False, initial="", widget=forms.RadioSelect
            )
            self.fields[f"from-{layer.code}"] = forms.DateField(
                label=_t("%(layer)s: from") % name, required=False, widget=forms.DateInput(format="%Y-%m-%d")
            )
            self.fields[f"source-{layer.code}"] = forms.CharField(
                label=_t("%(layer)s: source") % name, required=False, max_length=500
            )
        for name_of_field, field in self.fields.items():
            if not name_of_field.startswith("says-"):
                field.widget.attrs["class"] = "in"
            if name_of_field.startswith("from-"):
                field.widget.input_type = "date"

    def rows(self) -> Iterator[LayerRow]:
        """What the page shows of each layer."""
        words = layer_meanings()
        for layer in self.layers:
            yield LayerRow(
                layer, words[int(layer)].text, *(self[f"{part}-{layer.code}"] for part in ("says", "from", "source"))
            )

    def clean(self) -> dict[str, Any]:
        """Every rule needs a source, and something has to be said."""
        data = super().clean() or {}
        said = [layer for layer in self.layers if data.get(f"says-{layer.code}")]
        if not said:
            self.add_error(None, _t("Say of at least one layer whether it is required."))
        for layer in said:
            if not data.get(f"source-{layer.code}") and not data.get("source"):
                self.add_error(f"source-{layer.code}", _t("Say where the rule stands: law, paragraph, date."))
        for layer in set(self.layers) - set(said):
            if data.get(f"from-{layer.code}") or data.get(f"source-{layer.code}"):
                self.add_error(f"says-{layer.code}", _t("Say whether it is required, or leave the row blank."))
        return data

    def rules(self) -> list[dict[str, Any]]:
        """The rules that were typed, as ``add_rules`` takes them."""
        data = self.cleaned_data
        return [
            {
                "layer": int(layer),
                "required": data[f"says-{layer.code}"] == "True",
                "from_on": data[f"from-{layer.code}"],
                "source": data[f"source-{layer.code}"] or data["source"],
            }
            for layer in self.layers
            if data[f"says-{layer.code}"]
        ]
