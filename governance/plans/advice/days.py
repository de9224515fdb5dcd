"""Runs that cross an end or a hole of papers: which days are covered, when to set and to empty traps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from functools import partial

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from accessions.people.wording import in_a_list
from governance.engine.tables import Layer, Verdict
from governance.plans.advice.saying import (
    STOPS,
    Deed,
    Draft,
    day_words,
    days_words,
    papers_words,
    span_words,
)
from governance.plans.advice.trials import Case, Choice, Proposal, are_covered, trial
from governance.plans.judging import Answer
from governance.plans.planned_rows import PlannedRow

Span = tuple[date, date]
"""First and last day, both counted."""

_CODES = ("straddles", "revoked", "suspended", "closed-season", "between-versions", "before-start", "after-end")
_MOST_PIECES = 12
_INNER_PIECES = 5
_DAY = timedelta(1)


def advice_on_days(case: Case) -> Iterator[Choice]:
    """For a stop on the collecting layers, whose days are those of the row."""
    first, last = case.row.first_on, case.row.last_on
    if case.layer >= Layer.EXPORT or first is None or last is None or first == last or not case.fails_only_by(_CODES):
        return
    pieces = _pieces(first, last, case.papers.borders(case.row, case.layer, first, last))
    if 1 < len(pieces) <= _MOST_PIECES:
        yield list(_of_traps(case, pieces) if case.row.trap else _of_team(case, pieces))


def _pieces(first: date, last: date, borders: Sequence[date]) -> list[Span]:
    """The run cut where a paper begins or is over."""
    starts = [first, *borders]
    return list(zip(starts, [*(day - _DAY for day in borders), last], strict=True))


def _runs(pieces: Sequence[Span]) -> list[Span]:
    """Shorter runs of whole pieces: those from the first day on first, then the longest, then the earliest.

    Of many pieces only those that begin on the first day or end on the last.
    """
    (start, _), (_, end) = pieces[0], pieces[-1]
    runs = [(a, b) for n, (a, _) in enumerate(pieces) for _, b in pieces[n:] if (a, b) != (start, end)]
    if len(pieces) > _INNER_PIECES:
        runs = [run for run in runs if run[0] == start or run[1] == end]
    return sorted(runs, key=lambda run: (run[0] != start, run[0] - run[1], run[0]))


def _on(row: PlannedRow, span: Span) -> PlannedRow:
    return trial(row, first_on=span[0], last_on=span[1])


def _of_traps(case: Case, pieces: Sequence[Span]) -> Iterator[Proposal]:
    """Two runs with a pause between them before one shorter run."""
    runs = _runs(pieces)
    for end, start in _pauses(pieces):
        both = (_on(case.row, (pieces[0][0], end)), _on(case.row, (start, pieces[-1][1])))
        yield Proposal(both, case.layer, partial(_pause, case, end, start))
    for run in runs:
        yield Proposal((_on(case.row, run),), case.layer, partial(_shorter, case, run))


def _pauses(pieces: Sequence[Span]) -> list[Span]:
    """Last day before and first day after each hole of whole pieces inside the run, the shortest hole first.

    A hole of no days is one as well: two papers that meet do not always cover a run together.
    """
    found = [(pieces[a][1], pieces[b][0]) for a in range(len(pieces) - 1) for b in range(a + 1, len(pieces))]
    return sorted(found, key=lambda hole: hole[1] - hole[0])


def _pause(case: Case, end: date, start: date, answers: Sequence[Answer]) -> Draft | None:
    if not are_covered(answers):
        return None
    before, after = (papers_words(answer.papers) for answer in answers)
    days = (start - end).days - 1
    told = {"stops": STOPS, "end": day_words(end), "start": day_words(start), "before": before, "after": after}
    if days:
        words = ngettext(
            "Empty the traps at %(stops)s on %(end)s and set them anew on %(start)s: %(hole)s between is not covered "
            "(%(before)s before, %(after)s after).",
            "Empty the traps at %(stops)s on %(end)s and set them anew on %(start)s: %(hole)s between are not covered "
            "(%(before)s before, %(after)s after).",
            days,
        )
    else:
        words = _(
            "Empty the traps at %(stops)s on %(end)s, the last day that %(before)s covers, and set them anew the next "
            "day, under %(after)s: a catch that runs over both cannot be split."
        )
    words %= {**told, "hole": days_words(days)}
    return case.draft("pause-trap", words, answers, by_day=end, deed=_deed(case))


def _shorter(case: Case, run: Span, answers: Sequence[Answer]) -> Draft | None:
    if not are_covered(answers):
        return None
    (start, end), whole = run, (case.row.first_on, case.row.last_on)
    told = {"stops": STOPS, "end": day_words(end), "start": day_words(start), "papers": papers_words(answers[0].papers)}
    if start == whole[0]:
        words = (
            _(
                "Empty the traps at %(stops)s on %(end)s, the last day covered (%(papers)s); a catch that runs over it "
                "cannot be split."
            )
            % told
        )
        return case.draft("empty-trap", words, answers, by_day=end, deed=_deed(case))
    if end == whole[1]:
        words = _("Set the traps at %(stops)s on %(start)s, the first day covered (%(papers)s), not before.") % told
    else:
        words = (
            _("Set the traps at %(stops)s on %(start)s and empty them on %(end)s: these days are covered (%(papers)s).")
            % told
        )
    return case.draft("set-trap", words, answers, by_day=start, deed=_deed(case))


def _of_team(case: Case, pieces: Sequence[Span]) -> Iterator[Proposal]:
    yield Proposal(tuple(_on(case.row, piece) for piece in pieces), case.layer, partial(_days, case, pieces))


def _days(case: Case, pieces: Sequence[Span], answers: Sequence[Answer]) -> Draft | None:
    """Which of the days are covered, and which are not."""
    covered = [answer.verdict == Verdict.COVERED for answer in answers]
    if not any(covered):
        return None
    yes, no = (_merged(pieces, [c is wanted for c in covered]) for wanted in (True, False))
    if not no:
        return _apart(case, pieces, answers)
    told = {
        "stops": STOPS, "covered": in_a_list([span_words(*span) for span in yes]), "n": _count(yes),
        "papers": papers_words({u.pk: u for a in answers if a.verdict == Verdict.COVERED for u in a.papers}.values()),
    }  # fmt: skip
    code, rest = _why_not(pieces, answers, covered, no)
    words = (
        ngettext(
            "At %(stops)s %(covered)s is covered (%(papers)s).",
            "At %(stops)s %(covered)s are covered (%(papers)s).",
            _count(yes),
        )
        % told
    )
    return case.draft(code, f"{words} {rest}", answers, deed=_deed(case))


def _apart(case: Case, pieces: Sequence[Span], answers: Sequence[Answer]) -> Draft:
    """Every piece is covered, the whole is not: it is for the events to be kept apart."""
    words = _(
        "At %(stops)s each of these is covered by itself, not all of it as one event: %(spans)s. Keep the catch of "
        "each apart, as a stop of its own."
    ) % {"stops": STOPS, "spans": in_a_list([span_words(*piece) for piece in pieces])}
    return case.draft("days-covered", words, answers, deed=_deed(case))


def _why_not(
    pieces: Sequence[Span], answers: Sequence[Answer], covered: Sequence[bool], no: Sequence[Span]
) -> tuple[str, str]:
    """The code, and the sentence on the days that are not covered."""
    spans = in_a_list([span_words(*span) for span in no])
    codes = {
        code for answer, is_covered in zip(answers, covered, strict=True) if not is_covered for code in answer.codes
    }
    told = {"days": spans, "n": days_words(_count(no))}
    if "closed-season" in codes:
        return "closed-season", _("In a closed season: %(days)s (%(n)s).") % told
    if "suspended" in codes:
        return "suspended", _("Suspended: %(days)s (%(n)s).") % told
    inside = [n for n, is_covered in enumerate(covered) if not is_covered and any(covered[:n]) and any(covered[n:])]
    if inside:
        return "hole", _("A hole of %(n)s is not: %(days)s.") % told
    return "days-covered", ngettext("%(days)s is not.", "%(days)s are not.", _count(no)) % told


def _merged(pieces: Sequence[Span], wanted: Sequence[bool]) -> list[Span]:
    """Pieces that are wanted, those that meet as one."""
    found: list[Span] = []
    for piece, is_wanted in zip(pieces, wanted, strict=True):
        if not is_wanted:
            continue
        if found and found[-1][1] + _DAY == piece[0]:
            found[-1] = (found[-1][0], piece[1])
        else:
            found.append(piece)
    return found


def _count(spans: Sequence[Span]) -> int:
    return sum((last - first).days + 1 for first, last in spans)


def _deed(case: Case) -> Deed:
    return Deed("stop", case.row.stop)
