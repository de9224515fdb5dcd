"""Whole small registers, generated, each flavour about one difficulty: specimens, papers, rules and outlines."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from random import Random
from typing import NamedTuple

from governance.engine.tables import HouseRules, Layer, Material, Outlines, Paper, Requirements, SearchState
from tests.generative.materials import Style, material
from tests.generative.papers import capped_paper, chain, decisions, full_paper, paper_of_one_term, plain_paper, rules
from tests.generative.worlds import PLAIN, SEAM, TILES, WIDE, World

_LAYERS = (Layer.LAND, Layer.COLLECTING, Layer.EXPORT, Layer.IMPORT, Layer.CITES)


class Register(NamedTuple):
    """What is judged, in the order in which the engine and its twin take it."""

    material: Material
    papers: Sequence[Paper]
    requirements: Requirements
    outlines: Outlines
    house: HouseRules
    search_state: SearchState


def register(random: Random, world: World = PLAIN) -> Register:
    """Up to 12 specimens and 5 papers, one or two layers; a third with clear records and papers of few terms."""
    is_clear = random.random() < 0.35
    style = Style(doubt=0.2) if is_clear else Style()
    papers = [_paper(random, number, world, is_clear) for number in range(random.randint(0, 5))]
    layers = tuple(sorted(random.sample(_LAYERS, random.randint(1, 2))))
    with_rules = random.random() < 0.3
    house = HouseRules(random.choice((1000.0, 1000.0, 50.0, None)), random.choice((250.0, 0.0)))
    return Register(
        material(random, world, style),
        [_serving(paper, layers, random) for paper in papers],
        Requirements(layers, rules(random, layers, world) if with_rules else None, decisions(random, layers)),
        world.outlines,
        house,
        random.choice(tuple(SearchState)),
    )


def _paper(random: Random, number: int, world: World, is_clear: bool) -> Paper:
    make = (
        paper_of_one_term
        if is_clear and random.random() < 0.7
        else random.choice((full_paper, full_paper, plain_paper))
    )
    return make(random, number, world)


def _serving(paper: Paper, layers: Sequence[Layer], random: Random) -> Paper:
    return replace(paper, layers=frozenset(random.sample(list(layers), random.randint(1, len(layers)))))


def register_at_the_seam(random: Random) -> Register:
    """The antimeridian and the poles."""
    return register(random, SEAM)


def register_read_widely(random: Random) -> Register:
    """A country whose code may stand for more land than its paper surely holds."""
    return register(random, WIDE)


def register_of_neighbours(random: Random) -> Register:
    """Papers of neighbouring areas and consecutive days, that cover together or nearly so."""
    papers = [replace(paper, layers=frozenset({Layer.COLLECTING})) for paper in chain(random, TILES)]
    clear = material(random, TILES, Style(doubt=0.15, most=10, around=8))
    requirements = Requirements((Layer.COLLECTING,), decided=decisions(random, (Layer.COLLECTING,)))
    return Register(clear, papers, requirements, TILES.outlines, HouseRules(), SearchState.NOT_SEARCHED)


def register_of_many(random: Random) -> Register:
    """20 to 40 specimens under one or two papers whose caps decide."""
    papers = [capped_paper(random, number, PLAIN) for number in range(random.randint(1, 2))]
    papers = [replace(paper, layers=frozenset({Layer.COLLECTING})) for paper in papers]
    many = material(random, PLAIN, Style(doubt=random.choice((0.1, 0.5)), least=20, most=40, around=20))
    requirements = Requirements((Layer.COLLECTING,), decided=decisions(random, (Layer.COLLECTING,)))
    return Register(many, papers, requirements, PLAIN.outlines, HouseRules(), SearchState.NONE_FOUND)


FLAVOURS: dict[str, Callable[[Random], Register]] = {
    "plain": register,
    "seam": register_at_the_seam,
    "wide": register_read_widely,
    "neighbours": register_of_neighbours,
    "caps": register_of_many,
}
