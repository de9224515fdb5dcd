"""What a version says of the use of material, as the exchange file has it: one check for file, form and action.

A version that has no key ``terms_of_use`` says nothing of it, and nothing is changed by that.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from django.utils.translation import gettext as _

from accessions.intake.problems import shown
from governance.engine.uses import Ownership, RecipientKind, Said, Use
from governance.papers.codes import country
from governance.papers.document import Node, optional_text

KEY: Final = "terms_of_use"

SAID_OF: Final[Mapping[str, Said]] = {said.code: said for said in Said}
USE_OF: Final[Mapping[str, Use]] = {use.code: use for use in Use}
OWNERSHIP_OF: Final[Mapping[str, Ownership]] = {ownership.code: ownership for ownership in Ownership}
RECIPIENT_OF: Final[Mapping[str, RecipientKind]] = {kind.code: kind for kind in RecipientKind}
"""By the word of the file; an unknown word is told by the schema."""

CONDITIONS: Final = (
    "recipients", "only_in", "not_in", "non_commercial_only", "identification_only", "most_specimens", "amount",
    "parts", "not_before", "duties", "other_condition",
)  # fmt: skip
"""Keys of a use that set limits or ask for something."""

_TEXTS: Final = ("clause", "clause_number", "amount", "duties", "other_condition")
_TEXTS_OF_READING: Final = ("ownership_clause", "ask_whom", "acknowledgement", "note")


def check_terms_of_use(node: Node) -> None:
    """Note what is wrong with the terms of a version, at its keys."""
    for key in _TEXTS_OF_READING:
        optional_text(node[key])
    first: dict[str, Node] = {}
    for item in node["uses"].items():
        _check_term(item, whole_text_read=node["whole_text_read"].value is True)
        use = item["use"]
        if isinstance(use.value, str) and use.value in first:
            use.problem(
                f"{shown(use.value)} stands at {first[use.value].path} already", "Tell of each use once: join the two."
            )
        elif isinstance(use.value, str):
            first[use.value] = item


def _check_term(node: Node, *, whole_text_read: bool) -> None:
    if not isinstance(node.value, dict):
        return
    for key in _TEXTS:
        optional_text(node[key])
    for key in ("only_in", "not_in"):
        for item in node[key].items():
            country(item)
    for item in node["parts"].items():
        if "," in item.text():
            item.problem("a comma stands in it", "Write each part as an entry of its own.")
    node["not_before"].day()
    for key, found, expected in term_problems(node.value, whole_text_read=whole_text_read):
        node[key].problem(found, expected)


def term_problems(told: Mapping[str, Any], *, whole_text_read: bool) -> Iterator[tuple[str, str, str]]:
    """What cannot stand together in one use: the key, what was found, what is expected."""
    said = SAID_OF.get(str(told.get("said")))
    limits = [key for key in CONDITIONS if told.get(key)]
    if said == Said.SILENT and not whole_text_read:
        yield ("said", _("it is said to be silent, but the whole text was not read"),
               _("Only who read the whole text knows that it says nothing of a use: say that it was read, or leave the "
                 "use as not read yet."))  # fmt: skip
    elif said == Said.SILENT and limits:
        yield "said", _("conditions are set for a use of which it says nothing"), _("Choose what the paper says.")
    if said == Said.NOT_ALLOWED and limits:
        yield ("said", _("conditions are set for a use that is not allowed"),
               _("Choose what is allowed under these conditions; all else is then not allowed."))  # fmt: skip
    if said not in (None, Said.SILENT) and not str(told.get("clause") or "").strip():
        yield "clause", _("no clause is quoted"), _("Quote it: an answer stands on the words of the paper.")
    if said == Said.WITH_DUTIES and not (told.get("duties") or told.get("other_condition")):
        yield "duties", _("it is not said which duties"), _("Say what must be done for it.")
    both = sorted(_codes(told.get("only_in")) & _codes(told.get("not_in")))
    if both:
        yield ("not_in", _("%(codes)s stands in both lists of countries") % {"codes": ", ".join(both)},
               _("A country is allowed or it is not: take it out of one list."))  # fmt: skip


def _codes(value: object) -> set[str]:
    return {str(code) for code in value} if isinstance(value, list) else set()


def with_silence(value: Mapping[str, Any]) -> dict[str, Any]:
    """The same, with every use of which nothing is told as silent; in the order of uses."""
    told = {term["use"]: term for term in value.get("uses", ())}
    silent = {code: {"use": code, "said": Said.SILENT.code} for code in USE_OF}
    return {**value, "uses": [told.get(code, silent[code]) for code in USE_OF]}
