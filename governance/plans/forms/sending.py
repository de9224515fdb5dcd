"""What was sent by a form, with one box filled otherwise, for a page that comes back."""

from __future__ import annotations

from typing import Any

from accessions.people.entry_forms import Form


def sent_with(form: Form, field: str, text: str) -> Any:
    """A copy of what was sent in which a box holds this text."""
    sent: Any = form.data.copy()  # type: ignore[attr-defined]  # a QueryDict, which the stubs take for a Mapping
    sent[form.add_prefix(field)] = text
    return sent
