"""Disposes of a paper after its day: its files and read words go, what it was and why stays."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db import transaction
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from accessions.people.access import Verb, check
from accessions.people.history import record
from governance.audit.actions.errors import AuditError
from governance.audit.models import Disposal
from governance.audit.queries.disposing import going
from governance.audit.queries.keeping import Kept, State, kept_paper
from governance.papers.models import Paper
from governance.papers.restriction import check_readable
from governance.scans.actions.disposing import empty_scans
from governance.scans.models import Scan

_LONGEST_RULE = 400


def dispose(*, paper: Paper, why: str, seen: str, by: Any, today: date) -> Disposal:
    """Destroy the files of a paper and the words that were read from them. Reference, readings, links and verdicts
    stay, and the disposal keeps name, size and hash of each file. It cannot be undone.

    seen: the keys of the scans that the person saw going, with commas between.

    Raises:
        NotAllowedError: the person may not dispose, or may not read the paper.
        AuditError: no reason; before its day, by which rule; something still needs it; what goes is something else by
            now than what was seen.
    """
    check(by, Verb.DISPOSE)
    why = " ".join(why.split())
    if not why:
        raise AuditError(_("Say why it is disposed of."))
    with transaction.atomic():
        held = Paper.objects.select_for_update().get(pk=paper.pk)
        check_readable(held, by)
        kept = kept_paper(held, today)
        due_on = _due_on(kept)
        list(Scan.objects.select_for_update().filter(paperscans__paper=held).order_by("pk"))
        found = going(held)
        if found.seen != seen:
            raise AuditError(_("What goes is something else by now. Look at the list again."))
        made = Disposal(paper=held, rule=kept.rule.told[:_LONGEST_RULE], due_on=due_on, files=found.files, why=why,
                        disposed_by=by)  # fmt: skip
        record(made, by=by, why=why)
        empty_scans(scans=found.scans, on=today, by=by, why=why)
    return made


def _due_on(kept: Kept) -> date:
    """The last day of keeping of what may go; anything else is refused."""
    if kept.state is State.MAY_GO and kept.until is not None:
        return kept.until
    told = {"paper": kept.paper.reference, "why": kept.why, "rule": kept.rule.told}
    if kept.until is not None and kept.state is State.UNTIL:
        told["day"] = date_format(kept.until, "j F Y")
        raise AuditError(_("%(paper)s is kept up to %(day)s, by the rule: %(rule)s.") % told)
    raise AuditError(_("%(paper)s is not disposed of: %(why)s. The rule: %(rule)s.") % told)
