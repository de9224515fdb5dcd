"""Single specimens: entered by hand, their facts changed, a new determination."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from accessions.material.models import Accession, Determination, SamplingEvent, Specimen
from accessions.material.statements import count_of, place_event, place_name, written_event
from accessions.material.touches import Scope, touch
from accessions.people.access import Verb, check
from accessions.people.bulk import update
from accessions.people.editing import change
from accessions.people.history import record

FIELDS: Final = frozenset({
    "catalog_number", "part", "delivery", "parent", "kind", "preparation", "individual_count", "count_range", "unit",
    "basis_of_record", "organism_quantity", "sex", "life_stage", "remarks",
})  # fmt: skip
_COUNTED: Final = ("count_low", "count_high", "count_assumed")


def change_specimen(specimen: Specimen, *, by: Any, why: str, **values: Any) -> list[str]:
    """Change what is written of a specimen. Returns the names of the fields that changed.

    Raises:
        ValidationError: a value may not be so, or the parent was itself taken from this specimen.
    """
    check(by, Verb.ENTER_FACTS)
    with transaction.atomic():
        _lock(specimen)
        changed = change(specimen, values, editable=FIELDS, by=by, why=why)
        if "part" in changed:
            check(by, Verb.LINK_PAPERS)  # papers are linked to parts: another part has other papers
        if changed:
            _check_belongings(specimen)
            _recount(specimen, by=by, why=why)
            touch(Scope.SPECIMEN, [specimen.pk], by=by, why=why)
    return changed


def _lock(specimen: Specimen) -> None:
    """One person at a time: bounds are read from several columns, and one determination is the current one."""
    Specimen.objects.select_for_update().get(pk=specimen.pk)


def _recount(specimen: Specimen, *, by: Any, why: str) -> None:
    read = count_of(specimen)
    bounds = (read.low, read.high, read.assumed)
    if tuple(getattr(specimen, name) for name in _COUNTED) == bounds:
        return
    for name, value in zip(_COUNTED, bounds, strict=True):
        setattr(specimen, name, value)
    record(specimen, by=by, why=why, fields=_COUNTED)


def _check_belongings(specimen: Specimen) -> None:
    """Part and delivery are of the accession; nothing is taken from its own child."""
    for name in ("part", "delivery"):
        belonging = getattr(specimen, name)
        if belonging is not None and belonging.accession_id != specimen.accession_id:
            raise ValidationError({name: _("It belongs to another accession. Choose one of this accession.")})
    ancestor = specimen.parent
    while ancestor is not None:
        if ancestor.pk == specimen.pk:
            raise ValidationError({"parent": _("That one was itself taken from this specimen.")})
        ancestor = ancestor.parent


def change_event(
    specimen: Specimen, written: Mapping[str, str], *, everyone: bool, by: Any, why: str
) -> tuple[SamplingEvent, int]:
    """Change when, where, how and by whom a specimen was taken: it points at another statement, the old one stays.

    Args:
        written: the changed terms; those absent stay as they are.
        everyone: all specimens that share the present statement follow.

    Returns:
        the statement that now holds, and how many specimens point at it anew.
    """
    check(by, Verb.ENTER_FACTS)
    with transaction.atomic():
        _lock(specimen)
        specimen.refresh_from_db()
        before = specimen.event
        event = place_event(written_event(before) | dict(written), by=by, why=why)
        if event.pk == before.pk:
            return event, 0
        sharing = list(before.specimens.order_by("pk").values_list("pk", flat=True)) if everyone else [specimen.pk]
        update(Specimen, ("event_id",), [(event.pk,)] * len(sharing), sharing, by=by, why=why)
        if everyone:
            touch(Scope.EVENT, [before.pk, event.pk], by=by, why=why)  # caps that counted them as of the old one too
        else:
            touch(Scope.SPECIMEN, sharing, by=by, why=why)
    specimen.refresh_from_db()
    return event, len(sharing)


def determine(
    specimen: Specimen, written: Mapping[str, str], *, identified_by: str, date_identified: str, remarks: str = "",
    by: Any, why: str,
) -> Determination:  # fmt: skip
    """Give a specimen a new name; the earlier determinations stay, no longer current.

    Args:
        written: the name as written, text by term.

    Raises:
        ValidationError: there is no name in it.
    """
    check(by, Verb.ENTER_FACTS)
    if not any(text.strip() for text in written.values()):
        raise ValidationError({"scientificName": _("Write the name.")})
    with transaction.atomic():
        _lock(specimen)
        name = place_name(written, by=by, why=why)
        for earlier in specimen.determinations.filter(is_current=True):
            earlier.is_current = False
            record(earlier, by=by, why=why, fields=["is_current"])
        determination = Determination(
            specimen=specimen, name=name, identified_by=identified_by, date_identified=date_identified, remarks=remarks
        )
        record(determination, by=by, why=why)
        specimen.name = name
        record(specimen, by=by, why=why, fields=["name"])
        touch(Scope.SPECIMEN, [specimen.pk], by=by, why=why)
    return determination


def enter_specimen(
    accession: Accession, event: Mapping[str, str], name: Mapping[str, str], *, identified_by: str = "",
    date_identified: str = "", by: Any, why: str, **values: Any,
) -> Specimen:  # fmt: skip
    """Enter one specimen, lot or part by hand.

    Args:
        event: when, where, how and by whom, as written, text by term.
        name: the name as written, text by term.
        values: the fields of ``FIELDS``.

    Raises:
        ValidationError: its number is taken, or a value may not be so.
    """
    check(by, Verb.ENTER_FACTS)
    with transaction.atomic():
        specimen = Specimen(
            accession=accession,
            event=place_event(event, by=by, why=why),
            name=place_name(name, by=by, why=why),
            **values,
        )
        specimen.count_low, specimen.count_high, specimen.count_assumed = _bounds(specimen)
        _check_belongings(specimen)
        specimen.full_clean()
        record(specimen, by=by, why=why)
        determination = Determination(
            specimen=specimen, name=specimen.name, identified_by=identified_by, date_identified=date_identified
        )
        record(determination, by=by, why=why)
        touch(Scope.SPECIMEN, [specimen.pk], by=by, why=why)
    return specimen


def _bounds(specimen: Specimen) -> tuple[int, int | None, bool]:
    read = count_of(specimen)
    return read.low, read.high, read.assumed
