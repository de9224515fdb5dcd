"""What stands for specimens that are removed from the register goes with them; the results of assessments stay."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django.utils.translation import gettext as _

from accessions.material.bonds import LetGoError
from accessions.people.bulk import remove_rows
from governance.verdicts.models import Override, Standing
from governance.verdicts.one_run import RunGoesOnError, no_run_until_commit


def let_go(specimens: Collection[int], *, by: Any, why: str) -> None:
    """Delete the rows of lists, and decisions that were withdrawn, with their history. No assessment writes a verdict
    for one of them meanwhile.

    Raises:
        LetGoError: an assessment goes on.
    """
    try:
        no_run_until_commit()
    except RunGoesOnError as error:
        words = _("An assessment goes on just now. Try again when it is done.")
        raise LetGoError(words) from error
    remove_rows(Override, "specimen", specimens, by=by, why=why)
    remove_rows(Standing, "specimen", specimens, by=by, why=why)
