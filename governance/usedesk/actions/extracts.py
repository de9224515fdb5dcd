"""Extracts that were made: specimens of their own, taken from the one that was sampled, with all that bears on it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from accessions.material.actions.specimens import enter_specimen
from accessions.material.models import Specimen
from accessions.material.statements import written_event, written_name
from accessions.people.access import Verb, may
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.queries.chosen import listed
from governance.usedesk.queries.codes import read_code
from governance.usedesk.queries.resolving import specimens_of


def extracts(wanted: Mapping[int, str], *, by: Any, why: str) -> dict[int, int]:
    """The extracts of some specimens, found by their numbers or entered. Inside the transaction of the use.

    Args:
        wanted: number of the extract by key of the specimen that it was made from; "" is none.

    Raises:
        DeskError: a number is that of something else, or the person may not enter specimens.
    """
    numbers = {key: number for key, number in wanted.items() if number}
    known = dict(zip(numbers, specimens_of([read_code(number) for number in numbers.values()]), strict=True))
    on_file = Specimen.objects.in_bulk([key for keys in known.values() for key in keys])
    problems = [*_twice(numbers), *_of_others(numbers, known, on_file)]
    missing = [key for key, keys in known.items() if not keys]
    if missing and not may(by, Verb.ENTER_FACTS):
        words = _(
            "No specimen has these numbers: %(list)s. Your role enters none; name extracts that are entered already."
        )
        problems.append(words % {"list": listed([numbers[key] for key in missing])})
    if problems:
        raise DeskError(" ".join(problems))
    made = _entered(missing, numbers, by=by, why=why)
    return {key: keys[0] for key, keys in known.items() if keys} | made


def _twice(numbers: Mapping[int, str]) -> list[str]:
    texts = [number.casefold() for number in numbers.values()]
    twice = sorted({number for number in numbers.values() if texts.count(number.casefold()) > 1})
    words = _(
        "An extract is of one specimen; of several it is a pool, which is made first. Named more than once: %(list)s."
    )
    return [words % {"list": listed(twice)}] if twice else []


def _of_others(
    numbers: Mapping[int, str], known: Mapping[int, tuple[int, ...]], on_file: Mapping[int, Specimen]
) -> list[str]:
    others = [numbers[key] for key, keys in known.items() if keys and not _is_of(key, keys, on_file)]
    words = _("In the register these are not taken from the specimen that they stand beside: %(list)s.")
    return [words % {"list": listed(others)}] if others else []


def _is_of(key: int, keys: tuple[int, ...], on_file: Mapping[int, Specimen]) -> bool:
    return len(keys) == 1 and on_file[keys[0]].parent_id == key


def _entered(keys: list[int], numbers: Mapping[int, str], *, by: Any, why: str) -> dict[int, int]:
    rows = Specimen.objects.select_related("accession", "event", "name", "part").in_bulk(keys)
    return {key: _enter(rows[key], numbers[key], by=by, why=why).pk for key in keys}


def _enter(parent: Specimen, number: str, *, by: Any, why: str) -> Specimen:
    try:
        return enter_specimen(
            parent.accession, written_event(parent.event), written_name(parent.name), catalog_number=number,
            parent=parent, part=parent.part, kind=Specimen.Kind.PART, preparation="extract", by=by, why=why,
        )  # fmt: skip
    except ValidationError as error:
        raise DeskError(
            _("Extract %(number)s: %(problem)s") % {"number": number, "problem": " ".join(error.messages)}
        ) from error
