"""Accession numbers of sequences: which specimen of a use each was read from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.bulk import insert, reserve_keys
from accessions.people.history import remove
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.actions.making import held
from governance.usedesk.models import MadeUse, UseItem
from governance.usedesk.models import Sequence as Archived
from governance.usedesk.queries.chosen import told


def add_sequences(made: MadeUse, numbers: Mapping[int, Sequence[tuple[str, str]]], *, by: Any, why: str) -> int:
    """Record accession numbers; one that the specimen has already is passed over.

    Args:
        numbers: by specimen, accession numbers of a checked form, each with its marker.

    Returns:
        how many are new.

    Raises:
        DeskError: a specimen is not in the entry; all of these at once.
    """
    check(by, Verb.RECORD_USES)
    with transaction.atomic():
        current = held(made)
        items = dict(current.items.values_list("specimen", "pk"))
        others = [key for key in numbers if key not in items]
        if others:
            raise DeskError(_("Not in this entry: %(list)s.") % {"list": told(others)})
        known = set(Archived.objects.filter(item__use=current).values_list("item", "accession_number"))
        rows = {
            (items[key], number): marker[:100]
            for key, of in numbers.items() for number, marker in of if (items[key], number) not in known
        }  # fmt: skip
        columns = [(item, number, marker) for (item, number), marker in rows.items()]
        keys = reserve_keys(Archived, len(columns))
        insert(Archived, ("item_id", "accession_number", "marker"), columns, keys, by=by, why=why)
    return len(rows)


def remove_sequence(sequence: Archived, *, by: Any, why: str) -> None:
    """Take an accession number away that was recorded by mistake; its history stays."""
    check(by, Verb.RECORD_USES)
    with transaction.atomic():
        held(UseItem.objects.select_related("use").get(pk=sequence.item_id).use)
        remove(sequence, by=by, why=why)
