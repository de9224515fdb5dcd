"""What the scan page sends: lines as JSON from its script, one code at a time from the plain form."""

from __future__ import annotations

import hashlib
import json
import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form

MOST_LINES: Final = 100
"""Lines of one sending; the page sends a longer queue in several."""

MOST_CHARACTERS: Final = 4_000
"""Of one code: a square code can hold some thousand, a number has some tens."""

KEY: Final = re.compile(r"[0-9A-Za-z-]{8,64}")
"""What a key looks like that a page made."""


def key_of(key: str, *codes: str) -> str:
    """The key of a page with what it sent: sent twice it is the same, and what is typed after a step back is new."""
    return hashlib.sha256("\x1f".join([key, *codes]).encode("utf-8", "replace")).hexdigest()[:32]


def new_key() -> str:
    """A key that no other line has."""
    return secrets.token_hex(16)


@dataclass(frozen=True)
class Entry:
    """One line of the queue: a code that was read, or the key of a line that is taken out again."""

    key: str
    code: str = ""
    undo: str = ""


def entries_of(body: bytes) -> list[Entry]:
    """The lines of one sending.

    Raises:
        ValidationError: it is none; says what was expected.
    """
    try:
        told = json.loads(body)
        lines = told["lines"]
    except (ValueError, KeyError, TypeError, RecursionError):
        raise ValidationError(_t("Lines were expected: {“lines”: [{“key”: …, “code”: …}]}.")) from None
    if not isinstance(lines, list) or len(lines) > MOST_LINES:
        raise ValidationError(_t("A list of at most %(most)d lines was expected.") % {"most": MOST_LINES})
    return [_entry(number, line) for number, line in enumerate(lines, 1)]


def _entry(number: int, line: Any) -> Entry:
    told: Mapping[str, Any] = line if isinstance(line, dict) else {}
    key, code, undo = (told.get(name, "") for name in ("key", "code", "undo"))
    if not all(isinstance(text, str) for text in (key, code, undo)) or not KEY.fullmatch(key):
        words = _t("Line %(n)d has no key: 8 to 64 letters, digits and hyphens were expected.")
        raise ValidationError(words % {"n": number})
    if bool(code) == bool(undo) or len(code) > MOST_CHARACTERS or (undo and not KEY.fullmatch(undo)):
        words = _t("Line %(n)d needs one of the two: a code of at most %(most)d characters, or the key of a line.")
        raise ValidationError(words % {"n": number, "most": MOST_CHARACTERS})
    return Entry(key, code, undo)


class ScanForm(Form):
    """One code, typed into the plain form. key: made with the page, so that a form that is sent twice counts once."""

    code = forms.CharField(
        label=_("Barcode or number"), required=False, max_length=MOST_CHARACTERS, strip=False,
        widget=forms.TextInput(attrs={
            "class": "in scan-code num", "autocomplete": "off", "autocapitalize": "off", "autocorrect": "off",
            "spellcheck": "false", "autofocus": True, "enterkeyhint": "done",
        }),
    )  # fmt: skip
    key = forms.CharField(widget=forms.HiddenInput, max_length=64)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["key"].initial = new_key

    def clean_key(self) -> str:
        key = str(self.cleaned_data["key"])
        if not KEY.fullmatch(key):
            raise ValidationError(_t("The page is too old. Load it again."))
        return key

    @property
    def line_key(self) -> str:
        """The key of the line."""
        return key_of(self.cleaned_data["key"], self.cleaned_data["code"])
