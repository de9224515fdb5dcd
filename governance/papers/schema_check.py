"""The published schema of papers files held against a file, its findings in words."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from itertools import islice
from typing import Any, Final

from accessions.intake.limits import MAX_PROBLEMS
from accessions.intake.problems import shown
from governance.papers.codes import advice
from governance.papers.document import Report
from governance.papers.json_text import joined

_TOLD_ELSEWHERE: Final = frozenset({"pattern", "oneOf", "allOf", "anyOf", "not", "dependentRequired"})
"""Rules whose breach is told in better words, and without exception, by ``versions`` and ``place_items``."""
_TYPE_WORDS: Final = {
    "object": "an object {...}",
    "array": "a list [...]",
    "string": "a text",
    "null": "null",
    "integer": "a whole number",
    "number": "a number",
    "boolean": "true or false",
}


@cache
def papers_schema() -> dict[str, Any]:
    """The schema as published."""
    text = files("governance.papers").joinpath("schema/papers.schema.json").read_text("utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def check_schema(value: Any, report: Report) -> None:
    """Note every breach of the schema, each at its key."""
    import jsonschema

    validator = jsonschema.Draft202012Validator(_without(_TOLD_ELSEWHERE, papers_schema()))
    for error in islice(validator.iter_errors(value), 10 * MAX_PROBLEMS):
        _note(error, _paper(value, error.absolute_path), report)


def _without(rules: frozenset[str], schema: Any) -> Any:
    """The schema less some rules: what is told elsewhere need not be tested twice."""
    if isinstance(schema, dict):
        return {key: _without(rules, part) for key, part in schema.items() if key not in rules}
    return [_without(rules, part) for part in schema] if isinstance(schema, list) else schema


def _paper(value: Any, path: Iterable[Any]) -> str:
    steps = list(path)[:2]
    try:
        reference = value[steps[0]][steps[1]]["reference"]
    except (KeyError, IndexError, TypeError):
        return ""
    return reference if isinstance(reference, str) else ""


def _note(error: Any, paper: str, report: Report) -> None:
    path = key_path(error.absolute_path)
    if error.validator == "additionalProperties":
        known = list(error.schema["properties"])
        for key in error.instance:
            if key not in error.schema["properties"]:
                report.add_if_new(
                    joined(path, key),
                    paper,
                    f"the key {shown(key)} is not known",
                    advice(key, known, f"Keys here are {', '.join(known)}."),
                )
    elif error.validator == "required":
        for key in error.validator_value:
            if key not in error.instance:
                report.add_if_new(joined(path, key), paper, f"the key {shown(key)} is missing", _described(error, key))
    else:
        found, expected = _words(error)
        report.add_if_new(path or "(the whole file)", paper, found, expected)


def _described(error: Any, key: str) -> str:
    described: Mapping[str, Any] = error.schema.get("properties", {}).get(key, {})
    return str(described.get("description", "Add it."))


def _words(error: Any) -> tuple[str, str]:
    rule, limit, value = error.validator, error.validator_value, error.instance
    if rule == "type":
        types = [limit] if isinstance(limit, str) else limit
        return f"{value_words(value)} stands there", f"Expected {' or '.join(_TYPE_WORDS[t] for t in types)}."
    if rule == "enum":
        return f"{value_words(value)} is not known", advice(str(value)[:60], limit, f"Known are {', '.join(limit)}.")
    if rule == "minLength":
        return "the text is blank", "Write something there, or leave the key out."
    if rule in ("minItems", "maxItems"):
        return (
            f"a list of {len(value)} stands there",
            f"Expected at {'least' if rule == 'minItems' else 'most'} {limit}.",
        )
    if rule in ("minimum", "exclusiveMinimum"):
        return (
            f"{value_words(value)} is too small",
            f"Expected {'at least' if rule == 'minimum' else 'more than'} {limit}.",
        )
    return f"{value_words(value)} does not fit the schema ({rule})", "See the schema of papers files."


def value_words(value: Any) -> str:
    """A JSON value as a message quotes it."""
    if isinstance(value, str):
        return shown(value)
    if isinstance(value, dict):
        return "an object {...}"
    if isinstance(value, list):
        return "a list [...]"
    return json.dumps(value)[:60]


def key_path(path: Iterable[Any]) -> str:
    """``papers[3].versions[0].in_force_to``."""
    words = ""
    for step in path:
        words = f"{words}[{step}]" if isinstance(step, int) else joined(words, str(step))
    return words
