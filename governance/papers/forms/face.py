"""The face of a paper, and a turn in its life, as forms."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form, why_field
from governance.engine.tables import Layer
from governance.papers.countries import country_name
from governance.papers.forms.places import code_of
from governance.papers.models import LAYER_NAMES, PaperKind, PaperStatus

LAYERS_OF_KIND: Mapping[str, tuple[Layer, ...]] = {
    PaperKind.LANDOWNER_CONSENT: (Layer.LAND,), PaperKind.OCCUPIER_CONSENT: (Layer.LAND,),
    PaperKind.COMMUNITY_CONSENT: (Layer.LAND,), PaperKind.COLLECTING_PERMIT: (Layer.COLLECTING,),
    PaperKind.RESEARCH_PERMIT: (Layer.COLLECTING,), PaperKind.SPECIES_LICENCE: (Layer.SPECIES,),
    PaperKind.PROTECTED_SITE_CONSENT: (Layer.PROTECTED_SITE,), PaperKind.PRIOR_INFORMED_CONSENT: (Layer.ACCESS,),
    PaperKind.MUTUALLY_AGREED_TERMS: (Layer.ACCESS,), PaperKind.ACCESS_PERMIT: (Layer.ACCESS,),
    PaperKind.CERTIFICATE_OF_COMPLIANCE: (Layer.ACCESS,), PaperKind.EXPORT_PERMIT: (Layer.EXPORT,),
    PaperKind.IMPORT_PERMIT: (Layer.IMPORT,), PaperKind.CITES_EXPORT_PERMIT: (Layer.CITES,),
    PaperKind.CITES_IMPORT_PERMIT: (Layer.CITES,), PaperKind.CITES_REEXPORT_CERTIFICATE: (Layer.CITES,),
    PaperKind.CITES_CERTIFICATE_OF_ORIGIN: (Layer.CITES,), PaperKind.CITES_EXCHANGE_LABEL: (Layer.CITES,),
    PaperKind.PHYTOSANITARY_CERTIFICATE: (Layer.IMPORT,), PaperKind.VETERINARY_CERTIFICATE: (Layer.IMPORT,),
    PaperKind.MATERIAL_TRANSFER_AGREEMENT: (Layer.TRANSFER,), PaperKind.DEED_OF_TRANSFER: (Layer.TRANSFER,),
    PaperKind.DEED_OF_GIFT: (Layer.TRANSFER,), PaperKind.BEQUEST: (Layer.TRANSFER,),
    PaperKind.PROOF_OF_PURCHASE: (Layer.TRANSFER,), PaperKind.EXCHANGE_AGREEMENT: (Layer.TRANSFER,),
    PaperKind.SALVAGE_PERMIT: (Layer.COLLECTING,),
}  # fmt: skip
"""What a kind answers if the person ticks no layer. An exemption, and other papers, answer what they say: no preset."""


_TEXTS = ("reference", "kind", "issuer", "jurisdiction", "holder", "second_number", "language", "remarks")


class FaceForm(Form):
    """Numbers, kind, layers, parties."""

    reference = forms.CharField(label=_("Reference"), max_length=100, help_text=_("The number on the paper"))
    kind = forms.ChoiceField(label=_("Kind"), choices=[("", _("Choose")), *PaperKind.choices])
    layers = forms.MultipleChoiceField(
        label=_("Layers it answers"), required=False, choices=[(x.code, LAYER_NAMES[x]) for x in Layer],
        widget=forms.CheckboxSelectMultiple, help_text=_("None ticked: what the kind usually answers"),
    )  # fmt: skip
    issuer = forms.CharField(label=_("Given by"), required=False, max_length=300)
    jurisdiction = forms.CharField(
        label=_("Country or province"), required=False, max_length=200,
        help_text=_("Where its word holds; stands in for the place if the paper names none"),
    )  # fmt: skip
    holder = forms.CharField(label=_("Held by"), required=False, max_length=300)
    issued_on = forms.DateField(label=_("Issued on"), required=False)
    second_number = forms.CharField(label=_("Second number"), required=False, max_length=100)
    language = forms.CharField(label=_("Language"), required=False, max_length=20, help_text=_("Such as es, fr, sv"))
    remarks = forms.CharField(label=_("Remarks"), required=False, widget=forms.Textarea(attrs={"lines": 2}))

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["jurisdiction"].widget.attrs |= {"list": "countries-known", "autocomplete": "off"}

    def clean_jurisdiction(self) -> str:
        """The code that was meant."""
        text = str(self.cleaned_data["jurisdiction"]).strip()
        code = code_of(text) if text else ""
        if text and not code:
            raise ValidationError(
                _t("“%(text)s” is no country or province of ISO 3166. Choose one of the list, or write CR or CR-A.")
                % {"text": text[:60]}
            )
        return code

    def clean(self) -> dict[str, Any]:
        """Layers that nobody ticked come from the kind."""
        told = super().clean() or {}
        if not told.get("layers") and told.get("kind"):
            told["layers"] = [layer.code for layer in LAYERS_OF_KIND.get(told["kind"], ())]
            if not told["layers"]:
                self.add_error("layers", _t("This kind can answer any layer: tick what the paper answers."))
        return told

    def object(self) -> dict[str, Any]:
        """The face as keys of the exchange file."""
        told = self.cleaned_data
        order = [layer.code for layer in Layer]
        return {
            **{key: told[key] or None for key in _TEXTS},
            "layers": sorted(told["layers"], key=order.index),
            "issued_on": told["issued_on"].isoformat() if told["issued_on"] else None,
        }  # fmt: skip


def face_initial(value: Mapping[str, Any]) -> dict[str, Any]:
    """The face of a paper of the register as the form shows it."""
    code = value.get("jurisdiction", "")
    return dict(value) | {"jurisdiction": f"{country_name(code)} ({code})" if len(code) == 2 else code}


class EditFaceForm(FaceForm):
    """A correction: with the reason, and the stamp of what the person saw."""

    why = why_field(required=True)
    seen = forms.CharField(widget=forms.HiddenInput, required=False)


CONSENTS = frozenset({
    PaperKind.LANDOWNER_CONSENT, PaperKind.OCCUPIER_CONSENT, PaperKind.COMMUNITY_CONSENT,
    PaperKind.PROTECTED_SITE_CONSENT, PaperKind.PRIOR_INFORMED_CONSENT,
})  # fmt: skip
"""Papers that whoever gave them can withdraw; permits are revoked."""


class StatusForm(Form):
    """A turn in the life of a paper. kind: of the paper; only a consent can be withdrawn."""

    state = forms.ChoiceField(label=_("What happened"), choices=PaperStatus.State.choices)
    from_on = forms.DateField(label=_("From"))
    to_on = forms.DateField(
        label=_("To"), required=False, help_text=_("Of a suspension, its last day; blank: until told otherwise")
    )
    note = forms.CharField(label=_("Note"), required=False, max_length=300, help_text=_("Letter, date, by whom"))
    why = why_field(required=False)
    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, kind: str, **more: Any) -> None:
        super().__init__(*args, **more)
        if kind not in CONSENTS:
            states = [choice for choice in PaperStatus.State.choices if choice[0] != PaperStatus.State.WITHDRAWN]
            self.fields["state"].choices = states  # type: ignore[attr-defined]

    def object(self) -> dict[str, Any]:
        """The entry of ``statuses``."""
        told = self.cleaned_data
        turn = {"state": told["state"], "from": told["from_on"].isoformat()}
        if told["to_on"]:
            turn["to"] = told["to_on"].isoformat()
        return turn | ({"note": told["note"]} if told["note"] else {})
