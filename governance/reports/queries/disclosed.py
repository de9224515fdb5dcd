"""Who will read a report and what it tells them; and what to look at before it is issued."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from governance.reports.contents import Composed, Proof
from governance.reports.models import Report
from governance.reports.tables import TEXTS
from governance.reports.words import text_words


@dataclass(frozen=True)
class Look:
    """Something to look at before a report is issued. proof: the rows that show it, if there are any."""

    key: str
    words: str
    count: int
    proof: Proof | None = None


def looks(report: Report, composed: Composed) -> list[Look]:
    """What to look at, the gravest first. None of it stands in the way: a person looks, and issues or does not."""
    return [*_exceptions(composed), *_promises(composed), *_unknown(composed), *_texts(report)]


def _exceptions(composed: Composed) -> Iterator[Look]:
    count = _count(composed, Proof("exceptions"))
    remedies = _count(composed, Proof("remedies"))
    words = ngettext(
        "%(n)s exception is told in it: one a specimen and layer.",
        "%(n)s exceptions are told in it: one a specimen and layer.", count,
    ) % {"n": intcomma(count)}  # fmt: skip
    if not remedies and not report_says(composed, "remedies"):
        words = f"{words} {_('No remedy stands beside them: neither recorded nor in the text.')}"
    if count:
        yield Look("exceptions", words, count, Proof("exceptions"))


def report_says(composed: Composed, text: str) -> bool:
    """Whether people wrote a text."""
    return bool(composed.contents.texts.get(text, "").strip())


def _promises(composed: Composed) -> Iterator[Look]:
    for state in ("overdue", "open"):
        proof = Proof("promises", {"state": state})
        if not (count := _count(composed, proof)):
            continue
        words = {
            "overdue": ngettext("%(n)s promised benefit is late.", "%(n)s promised benefits are late.", count),
            "open": ngettext("%(n)s promised benefit is still to be given.",
                             "%(n)s promised benefits are still to be given.", count),
        }[state]  # fmt: skip
        yield Look(state, words % {"n": intcomma(count)}, count, proof)


def _unknown(composed: Composed) -> Iterator[Look]:
    if count := _count(composed, Proof("unknown")):
        words = ngettext("%(n)s thing is not known, and the report says so.",
                         "%(n)s things are not known, and the report says so.", count)  # fmt: skip
        yield Look("unknown", words % {"n": intcomma(count)}, count, Proof("unknown"))


def _texts(report: Report) -> Iterator[Look]:
    missing = [str(text_words(key)) for key in TEXTS[report.kind] if not report.texts.get(key)]
    if missing:
        words = ngettext("%(n)d text is not written: %(list)s.", "%(n)d texts are not written: %(list)s.", len(missing))
        yield Look("texts", words % {"n": len(missing), "list": ", ".join(missing)}, len(missing))


def _count(composed: Composed, proof: Proof) -> int:
    table = composed.tables.get(proof.table)
    if table is None:
        return 0
    if not proof.where:
        return len(table.rows)
    tests = [(table.place(key), value) for key, value in proof.where.items()]
    return sum(all(row[place] == value for place, value in tests) for row in table.rows)
