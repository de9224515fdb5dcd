"""A bundle from its first part to its hashes; each part says what it holds and what it leaves out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import IO, Any

from django.contrib.humanize.templatetags.humanize import intcomma
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.people.sealing import head
from governance.audit.bundle.answer_part import with_answer
from governance.audit.bundle.beside_part import add_duties, add_reports, add_uses
from governance.audit.bundle.difference_part import add_difference
from governance.audit.bundle.frame import Bundle, Step
from governance.audit.bundle.history_part import add_histories
from governance.audit.bundle.packing import Packed
from governance.audit.bundle.paper_part import add_papers
from governance.audit.bundle.specimen_part import add_specimens
from governance.audit.bundle.subjects import Subject, subject_of
from governance.audit.bundle.verdict_part import add_rules, add_verdicts
from governance.audit.clocks import as_known, not_kept
from governance.audit.queries.seal_state import head_in_words


@dataclass(frozen=True)
class Written:
    """What was written. papers, scans: keys of those whose content is in it, for whoever gives the file out later."""

    subject: Subject
    papers: tuple[int, ...]
    scans: tuple[int, ...]


def write_bundle(
    file: IO[bytes], of: str, values: Mapping[str, str], *, reader: Any, on: date, known_at: datetime | None = None,
    step: Step = lambda _words, _done, _of: None,
) -> Written:  # fmt: skip
    """Write the whole bundle.

    Args:
        of: such as ``specimen:LMN-FW-0241873``. values: of a question, as its address writes them, both clocks too.
        reader: what is not open to this person stays out, and the index says so.
        on: the day in the world: which version was in force, how a duty stood.
        known_at: the moment of the register; None: now.
        step: is told how far it is; inside a moment of the register nothing can be written.

    Raises:
        AsKnownError: the register of that moment cannot be shown.
        UnknownValueError: the register holds no such thing, or did not then.
        NotAllowedError: it is a report that is not open to the reader.
    """
    sealed = head()
    with as_known(known_at):
        subject = subject_of(of, values, reader)
    bundle = Bundle(Packed(file), subject, reader, on, known_at, step)
    if subject.question is not None:
        with_answer(bundle)  # sets the clocks itself
    with as_known(known_at):
        for add in (add_specimens, add_verdicts, add_papers, add_uses, add_duties, add_reports, add_rules):
            add(bundle)
    add_difference(bundle)
    add_histories(bundle)
    _add_seal(bundle, *sealed)
    _close(bundle)
    return Written(bundle.subject, tuple(bundle.papers), tuple(bundle.scans))


def _add_seal(bundle: Bundle, number: int, sha256: str) -> None:
    """The head of before the first row was read; what was sealed meanwhile is said."""
    bundle.packed.add("seal.txt", head_in_words(number, sha256, timezone.localtime()).encode())
    words = _("Entry %(n)s of the chain was the newest when this was begun. seal.txt holds its hash, and says how to "
              "check that the register still holds it.") % {"n": intcomma(number)}  # fmt: skip
    bundle.part(_("Seal"), words).tell("seal.txt", _("Number and hash of the newest entry"))
    more = head()[0] - number
    if more:
        said = ngettext(
            "While this was written the register changed: %(n)s more entry was sealed, and some of it may be here.",
            "While this was written the register changed: %(n)s more entries were sealed, and some may be here.", more,
        )  # fmt: skip
        bundle.not_known.append(said % {"n": intcomma(more)})


def _close(bundle: Bundle) -> None:
    if bundle.known_at is not None:
        bundle.not_known += not_kept()
    bundle.packed.add("style.css", render_to_string("audit/in_bundle/style.css").encode())
    context = {
        "subject": bundle.subject, "parts": bundle.parts, "left_out": list(Counter(bundle.left_out).items()),
        "not_known": list(dict.fromkeys(bundle.not_known)), "reader": bundle.reader,
        "made_at": timezone.localtime(), "on": bundle.on, "known_at": bundle.known_at,
        "files": len(bundle.packed.hashes) + 2,
    }  # fmt: skip
    bundle.page("index.html", "index", context)
    bundle.packed.close()
