"""Peer C, the tidy script extended until it gives what the engine gives on the generated data.

It follows the verdict contract, sections 3, 4, 5 and 7, for papers of one version with one polygon, no exclusion of
places, and no limits on methods, people, sexes, stages or numbers: three answers, the union of two or more papers,
the paper that came nearest, and each reason with its measure in days or metres. Plain pandas, numpy, shapely and
pyproj, each question asked once for an event, a taxon or a distinct (event, taxon) pair.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from .generate import Frames
from .peer_c_places import Places
from .peer_c_union import join_papers
from .world import LEVELS

YES, UNKNOWN, NO = 0, 1, 2
COVERED, CANNOT_TELL, STRADDLES, OUTSIDE = "covered", "cannot-tell", "straddles", "outside"
RESULTS = np.array([CANNOT_TELL, STRADDLES, OUTSIDE], dtype=object)
CHUNK = 20_000
"""Pairs in one go: bounds the memory of the (pairs, papers) tables."""

Table = npt.NDArray[Any]


@dataclass
class DateAnswers:
    """Each of shape (events, papers). miss: days to the nearest valid day, or days not inside; inf without measure."""

    answer: Table
    straddles: Table
    code: Table
    measure: Table
    against: Table
    miss: Table


def assess(frames: Frames) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """(specimens: specimen_id, pair; verdicts: pair, verdict, paper; findings: pair, code, measure, against, unit).

    The answers stay with the pairs, as the engine's stay with its distinct outcomes; ``by_specimen`` spreads them.
    """
    key = frames.specimens["event_id"].to_numpy().astype(np.int64) * len(frames.taxa) + frames.specimens["taxon_id"]
    codes, distinct = pd.factorize(key)
    pairs = pd.DataFrame({"pair": np.arange(len(distinct)), "event_id": distinct // len(frames.taxa),
                          "taxon_id": distinct % len(frames.taxa)})  # fmt: skip
    dates, places, taxa = date_answers(frames), Places(frames), taxon_answers(frames)
    verdicts, findings = [], []
    for start in range(0, len(pairs), CHUNK):
        verdict, finding = assess_pairs(pairs.iloc[start : start + CHUNK], frames, dates, places, taxa)
        verdicts.append(verdict)
        findings.append(finding)
    specimens = pd.DataFrame({"specimen_id": frames.specimens["specimen_id"], "pair": codes})
    return specimens, pd.concat(verdicts), pd.concat(findings)


def by_specimen(answers: tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """(verdicts, findings in order), with specimen_id in the place of pair."""
    specimens, verdicts, findings = answers
    return (specimens.merge(verdicts, on="pair").drop(columns="pair"),
            specimens.merge(findings, on="pair").drop(columns="pair"))  # fmt: skip


def date_answers(frames: Frames) -> DateAnswers:
    """Section 3: the written interval against the days of each paper."""
    events, papers = frames.events, frames.papers
    first, last = events["earliest"].to_numpy()[:, None], events["latest"].to_numpy()[:, None]
    kind = events["date_kind"].to_numpy()[:, None]
    start, end = papers["from_day"].to_numpy()[None, :], papers["to_day"].to_numpy()[None, :]
    inside = np.minimum(last, end) - np.maximum(first, start) + 1
    days = np.broadcast_to(last - first + 1, inside.shape)
    none, before, after = np.broadcast_to(kind == 2, inside.shape), last < start, first > end
    whole = inside == days
    cases = [none, before, after, whole, np.broadcast_to(kind == 1, inside.shape)]
    answer = np.select(cases, [UNKNOWN, NO, NO, YES, UNKNOWN], NO).astype(np.uint8)
    code = np.select(cases, ["date-missing", "before-start", "after-end", "", "date-vague"], "straddles").astype(object)
    measure = np.select(cases, [np.nan, start - last, first - end, np.nan, inside], inside)
    against = np.select(cases, [np.nan, np.nan, np.nan, np.nan, days], days)
    miss = np.select(cases, [np.inf, start - last, first - end, 0, days - inside], days - inside)
    straddles = code == "straddles"
    return DateAnswers(answer, straddles, code, measure, against, miss)


def taxon_answers(frames: Frames) -> tuple[Table, Table]:
    """Section 5: (answer, code), each of shape (taxa, papers)."""
    own = frames.taxa.drop(columns="name").melt("taxon_id", list(LEVELS), value_name="name")[["taxon_id", "name"]]
    listed = frames.paper_taxa.merge(frames.taxa[["taxon_id", "name"]], on="name")
    below = own.dropna().merge(frames.paper_taxa, on="name")
    # Above a listed name stand the names of its own path, itself left out.
    ancestors = own.dropna().rename(columns={"taxon_id": "listed_id", "name": "above"})
    above = listed.rename(columns={"taxon_id": "listed_id"}).merge(ancestors, on="listed_id")
    above = above[above["name"] != above["above"]].drop(columns="name").rename(columns={"above": "name"})
    above = above.merge(frames.taxa[["taxon_id", "name"]], on="name")
    shape = (len(frames.taxa), len(frames.papers))
    answer = np.full(shape, NO, dtype=np.uint8)
    code = np.full(shape, "taxon-not-included", dtype=object)
    # Written from the last case of the contract's table to the first, so that the first that holds stands.
    for rows, listing, result, name in (
        (above, "include", UNKNOWN, "taxon-broad"), (below, "include", YES, ""),
        (above, "exclude", UNKNOWN, "taxon-broad"), (below, "exclude", NO, "taxon-excluded"),
    ):  # fmt: skip
        chosen = rows[rows["listed"] == listing]
        answer[chosen["taxon_id"], chosen["paper_id"]] = result
        code[chosen["taxon_id"], chosen["paper_id"]] = name
    return answer, code


def assess_pairs(
    pairs: pd.DataFrame, frames: Frames, dates: DateAnswers, places: Places, taxa: tuple[Table, Table]
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Verdicts and findings of some (event, taxon) pairs (section 7), keyed by pair."""
    event, taxon = pairs["event_id"].to_numpy(), pairs["taxon_id"].to_numpy()
    number = pairs["pair"].to_numpy()
    date, place, name = dates.answer[event], places.answer[event], taxa[0][taxon]
    yes = (date == YES) & (place == YES) & (name == YES)
    covered = yes.any(axis=1)
    reference = frames.papers["reference"].to_numpy()
    paper = reference[yes.argmax(axis=1)].astype(object)
    open_rows = np.flatnonzero(~covered)
    joined = join_papers(open_rows, event, date, dates, place, name, frames, places)
    for row, papers in joined.items():
        paper[row], covered[row] = " | ".join(reference[list(papers)]), True
    rest = np.flatnonzero(~covered)
    nearest = nearest_paper(rest, event, date, place, name, dates, places)
    paper[rest] = reference[nearest]
    verdict = np.full(len(pairs), COVERED, dtype=object)
    verdict[rest] = RESULTS[_result(dates.straddles[event], date, place, name)[rest, nearest]]
    findings = pd.concat([
        places.remarks(number[covered], event[covered]),
        _findings(number[rest], event[rest], taxon[rest], nearest, dates, places, taxa),
    ])  # fmt: skip
    return pd.DataFrame({"pair": number, "verdict": verdict, "paper": paper}), findings


def _result(straddles: Table, date: Table, place: Table, name: Table) -> Table:
    """0 cannot-tell, 1 straddles, 2 outside, for each pair and paper."""
    other_no = (place == NO) | (name == NO) | ((date == NO) & ~straddles)
    return np.where(other_no, 2, straddles).astype(np.uint8)


def nearest_paper(
    rows: Table, event: Table, date: Table, place: Table, name: Table, dates: DateAnswers, places: Places
) -> Table:
    """Column of the paper that came nearest: best result, fewest tests not yes, smallest miss, order in the file."""
    if not len(rows):
        return np.empty(0, dtype=np.int64)
    straddles, date, place, name = dates.straddles[event[rows]], date[rows], place[rows], name[rows]
    fails = ((date != YES) * 4 + (place != YES) * 2 + (name != YES)).astype(np.uint8)
    few = np.array([0, 1, 1, 2, 1, 2, 2, 3], dtype=np.uint8)[fails]
    rank = _result(straddles, date, place, name) * 4 + few
    left = rank == rank.min(axis=1, keepdims=True)
    first = left.argmax(axis=1)
    left &= fails == np.take_along_axis(fails, first[:, None], axis=1)
    row, paper = np.nonzero(left)
    tied = pd.DataFrame({"row": row, "event_id": event[rows[row]], "paper": paper})
    tied["days"] = dates.miss[tied["event_id"], paper]
    tied["metres"] = places.miss(tied["event_id"].to_numpy(), paper)
    best = tied.sort_values(["row", "days", "metres", "paper"]).drop_duplicates("row")
    return best["paper"].to_numpy()


def _findings(
    number: Table,
    event: Table,
    taxon: Table,
    paper: Table,
    dates: DateAnswers,
    places: Places,
    taxa: tuple[Table, Table],
) -> pd.DataFrame:
    """The reasons of the nearest paper, in the order date, place, taxon."""
    blank = np.full(len(number), np.nan)
    parts = [
        pd.DataFrame({"pair": number, "code": dates.code[event, paper], "measure": dates.measure[event, paper],
                      "against": dates.against[event, paper], "unit": "days"}),
        pd.DataFrame({"pair": number, "code": places.code(event, paper), "measure": places.metres(event, paper),
                      "against": places.radius_m[event], "unit": "m"}),
        pd.DataFrame({"pair": number, "code": taxa[1][taxon, paper], "measure": blank, "against": blank, "unit": ""}),
    ]  # fmt: skip
    rows = pd.concat(parts)
    rows = rows[rows["code"] != ""].sort_values("pair", kind="stable")
    rows.loc[rows["measure"].isna(), ["against", "unit"]] = [np.nan, ""]
    return rows
