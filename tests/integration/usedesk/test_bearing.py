"""Which papers bear on which specimens: the same pairs as the engine of verdicts holds against each other.

The engine's own matching (``governance.engine.pairs.linked``, over the whole feed) is what the desk's quick one is held
against: two papers of which only one is asked would be two rules.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from typing import Any

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from accessions.material.models import Accession, PoolMember, Specimen
from governance.engine.pairs import Events, linked
from governance.papers.models import Paper, PaperLink, TitleRecord
from governance.usedesk.queries.bearing import SpecimenRow, bearing
from governance.usedesk.queries.holding import held
from governance.usedesk.queries.listed import NOT_ASKED
from governance.verdicts.feed import feed
from tests.factories.register import accession, event, link, paper, part, site, specimen

pytestmark = pytest.mark.django_db


def _rows(specimens: Iterable[Specimen]) -> list[SpecimenRow]:
    return [
        SpecimenRow(s.pk, s.accession_id, s.part_id or -1, s.event_id, s.name_id, s.parent_id or -1) for s in specimens
    ]


def _pairs_of_desk(specimens: list[Specimen]) -> set[tuple[int, int]]:
    found = bearing(_rows(specimens))
    return {(paper, s.pk) for s, papers in zip(specimens, found.papers, strict=True) for paper in papers if paper > 0}


def _pairs_of_engine() -> set[tuple[int, int]]:
    """All linked pairs of the register by the engine of verdicts."""
    fed = feed()
    s = fed.material.specimens
    events = Events(s.date, s.date, s.place, s.methods, s.people, s.event, s.accession, s.catalog)
    rows, columns = np.nonzero(linked(fed.papers.papers, events, fed.material))
    return {
        (fed.papers.ids[row], int(fed.specimens.ids[column]))
        for row, column in zip(rows.tolist(), columns.tolist(), strict=True)
    }


SHARED_NAME = "Old mill"


def _generated(seed: int) -> list[Specimen]:
    """A register with all that makes links hard: events of one number in several accessions and statements, sites that
    share a name, codes that a record writes itself, parts, and links of every kind."""
    rng = random.Random(seed)
    sites = [site(f"GE-S{n}", name=SHARED_NAME if n < 2 else f"Bank {n}") for n in range(5)]
    accessions = [accession(f"LMN-{seed}-{n}") for n in range(4)]
    parts = [part(of, letter) for of in accessions[:3] for letter in "AB"]
    events = [
        event(
            rng.choice(["", "1", "2", "17"]), f"2024-06-{n + 1:02d}", site=rng.choice([None, *sites]),
            location_id=rng.choice(["", "ge-s3", "GE-S4 "]), site_name=rng.choice(["", SHARED_NAME, "BANK  2"]),
        )
        for n in range(14)
    ]  # fmt: skip
    made = []
    for _ in range(60):
        own = rng.choice(accessions)
        own_parts = [one for one in parts if one.accession == own]
        made.append(specimen(accession=own, event=rng.choice(events), part=rng.choice([None, *own_parts])))
    targets = [*sites, *accessions, *parts, *events, *made]
    for n in range(24):
        one = paper(f"P-{seed}-{n}")
        for target in rng.sample(targets, rng.randint(0, 3)):
            kind = str(target._meta.model_name)
            name = {"samplingevent": "event"}.get(kind, kind)
            targets_of: dict[str, Any] = {name: target}
            link(one, **targets_of)
    link(paper(f"P-{seed}-all"), all_accessions=True)
    PaperLink.objects.filter(pk__in=rng.sample(list(PaperLink.objects.values_list("pk", flat=True)), 3)).update(
        unlinked_at="2026-01-01T00:00Z"
    )
    return made


@pytest.mark.parametrize("seed", range(8))
def test_the_same_pairs_as_the_engine_of_verdicts(seed: int) -> None:
    made = _generated(seed)

    pairs = _pairs_of_engine()

    assert pairs, "the generated register has no pair to compare"
    assert _pairs_of_desk(made) == pairs


@pytest.mark.parametrize("seed", range(3))
def test_one_specimen_alone_has_the_papers_that_it_has_among_all(seed: int) -> None:
    """A scan asks of one specimen: the narrower question must not find fewer papers, nor more."""
    made = _generated(seed)
    together = _pairs_of_desk(made)

    alone = {pair for one in made for pair in _pairs_of_desk([one])}

    assert alone == together


def test_an_event_number_speaks_in_accessions_from_which_the_event_was_known_also_before_a_correction() -> None:
    """Event 1 was once stated in LMN-A and then corrected to another statement: the paper still speaks there."""
    here = accession("LMN-A")
    first, corrected = event("1", "2024-06-17"), event("1", "2024-06-18")
    moved = specimen(accession=here, event=first)
    moved.event = corrected
    moved.save()
    one = paper("COL-1")
    link(one, event=first)

    assert _pairs_of_desk([moved]) == _pairs_of_engine() == {(one.pk, moved.pk)}


def test_a_paper_that_was_never_granted_bears_all_the_same() -> None:
    """The verdicts hold nothing against an application; the desk says that it is not known to have been granted."""
    one, applied = specimen(), paper("APP-1")
    applied.statuses.create(state="applied", from_on="2024-01-01")
    link(applied, specimen=one)

    assert _pairs_of_desk([one]) == {(applied.pk, one.pk)}
    assert _pairs_of_engine() == set()


def test_a_paper_of_title_bears_on_its_accession_or_on_its_part_alone() -> None:
    whole, split = accession("LMN-W"), accession("LMN-S")
    a, b = part(split, "A"), part(split, "B")
    deed, of_part = paper("DEED-1", kind="deed-of-gift"), paper("DEED-2", kind="deed-of-gift")
    TitleRecord.objects.create(accession=whole, kind="gift", paper=deed)
    TitleRecord.objects.create(accession=split, part=a, kind="gift", paper=of_part)
    of_whole = specimen(accession=whole)
    in_a, in_b = specimen(accession=split, part=a), specimen(accession=split, part=b)

    assert _pairs_of_desk([of_whole, in_a, in_b]) == {(deed.pk, of_whole.pk), (of_part.pk, in_a.pk)}


def test_a_deposit_without_a_paper_bears_as_one_without_a_name() -> None:
    deposited, recorded = accession("LMN-D", kind=Accession.Kind.DEPOSIT), accession("LMN-R", kind="deposit")
    TitleRecord.objects.create(accession=recorded, kind="deposit", paper=paper("DEP-1"))
    nameless, named = specimen(accession=deposited), specimen(accession=recorded)

    found = bearing(_rows([nameless, named]))

    assert [len(papers) for papers in found.papers] == [1, 1]
    (key,) = found.papers[0]
    assert key < 0
    assert found.deposits.accession_of[key] == deposited.pk
    assert found.papers[1] == {Paper.objects.get(reference="DEP-1").pk}


def test_a_deposit_of_which_one_part_has_its_paper_is_still_one_for_all_other_parts() -> None:
    whole = accession("LMN-D", kind=Accession.Kind.DEPOSIT)
    a, b = part(whole, "A"), part(whole, "B")
    deed = paper("DEP-A")
    TitleRecord.objects.create(accession=whole, part=a, kind="deposit", paper=deed)
    made = [specimen(accession=whole, part=one) for one in (a, b, None)]

    found = bearing(_rows(made))

    assert found.papers[0] == {deed.pk}
    assert [max(papers) < 0 for papers in found.papers[1:]] == [True, True]
    assert found.deposits.papers == {deed.pk}


def test_what_was_taken_or_pooled_brings_all_that_it_comes_from_and_circles_end() -> None:
    whole, member = specimen(), specimen()
    leg = specimen(parent=whole, kind="part")
    extract = specimen(parent=leg, kind="part")
    pool = specimen()
    PoolMember.objects.create(pool=pool, member=extract)
    PoolMember.objects.create(pool=pool, member=member)
    Specimen.objects.filter(pk=whole.pk).update(parent=extract)  # a circle, as only a mistake can make one

    found = held([pool.pk], NOT_ASKED)

    by_row = [row.pk for row in found.rows]
    assert set(by_row) == {pool.pk, extract.pk, member.pk, leg.pk, whole.pk}
    pairs = {(by_row[one], by_row[other]) for one, other in found.holding.sources.tolist()}
    assert pairs == {
        (pool.pk, extract.pk), (pool.pk, member.pk), (extract.pk, leg.pk), (leg.pk, whole.pk), (whole.pk, extract.pk),
    }  # fmt: skip


def _queries_of(specimens: list[Specimen]) -> int:
    with CaptureQueriesContext(connection) as captured:
        held([one.pk for one in specimens], NOT_ASKED)
    return len(captured)


def test_the_question_costs_as_many_queries_for_all_as_for_half() -> None:
    made = _generated(0)

    assert _queries_of(made) == _queries_of(made[:30])
