"""Files of taxa: read like files of specimens, loaded into the classification."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

from django.db import transaction

from accessions.intake.problems import refusal
from accessions.intake.tables import read_table
from accessions.material.touches import Scope, touch
from accessions.names.actions import LoadedList, TaxonListError, load_taxa
from accessions.names.listed import listed_taxa


def load_taxa_file(path: str | Path, *, name: str, source: str, checked_on: date | None = None, by: Any,
                   why: str) -> LoadedList:  # fmt: skip
    """Read a list of taxa and add it to the classification, in one transaction.

    Raises:
        FileProblems: the file is no table, or a row cannot be placed.
        NotAllowedError: the person may not enter facts.
    """
    table = read_table(path)
    rows = list(zip(*table.data, strict=True))
    try:
        taxa = listed_taxa(table.columns, rows)
        with transaction.atomic():
            loaded = load_taxa(taxa, name=name, source=source, checked_on=checked_on, by=by, why=why)
            if loaded.made:
                touch(Scope.NAMES, by=by, why=why)
    except (TaxonListError, ValueError) as error:
        raise refusal(table.file, table.where(), str(error), "Nothing was loaded.") from error
    return loaded
