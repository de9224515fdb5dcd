"""Generated papers: many terms at once, one term alone, or days and an area only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random
from typing import Any

from governance.engine.tables import Assistants, Cap, Covers, Layer, ListedTaxon, Paper, PlaceItem, Rule, Version, Words
from tests.generative.materials import BASE, SITES, a_day
from tests.generative.worlds import World

_LISTED = ("odonata", "libellulidae", "sympetrum", "sympetrum striolatum", "sympetrum vulgatum", "cordulegastridae",
           "aeshnidae", "hymenoptera", "oenanthe", "diptera", "anisoptera", "apiaceae")  # fmt: skip
_KINDS = ("collecting-permit", "cites-import-permit")
EVERYTHING = Covers(all_accessions=True)


def rules(random: Random, layers: tuple[Layer, ...], world: World) -> tuple[Rule, ...]:
    spans = ((None, None), (BASE - 5, None), (BASE, BASE + 2), (BASE + 6, BASE + 40), (None, BASE - 1))
    countries = ("", *world.stated)
    return tuple(
        Rule(random.choice(layers), random.random() < 0.5, "a source", random.choice(countries), *span)
        for span in random.choices(spans, k=random.randint(0, 4))
    )


def decisions(random: Random, layers: Sequence[Layer]) -> frozenset[tuple[Layer, str]]:
    """In a quarter of the registers some decisions that no paper is required; "A9" is of no specimen."""
    if random.random() > 0.25:
        return frozenset()
    return frozenset((random.choice(layers), random.choice(("A1", "A2", "A9"))) for _ in range(random.randint(1, 3)))


def full_paper(random: Random, number: int, world: World) -> Paper:
    """A paper of up to three versions with terms of every kind."""
    starts: list[int | None] = [*{a_day(random) for _ in range(random.choice((0, 1, 1, 1, 2, 3)))}]
    if starts and random.random() < 0.15:
        starts[0] = None
    suspended = a_day(random)
    suspensions = ((suspended, random.choice((None, suspended + 2))),) if random.random() < 0.2 else ()
    return Paper(
        reference=f"P-{number}",
        kind=random.choice(_KINDS),
        layers=frozenset(),
        jurisdiction=random.choice(world.jurisdictions),
        holder=random.choice(("", "C. Else")),
        versions=tuple(_version(random, start, world) for start in starts),
        suspensions=suspensions,
        revoked_day=a_day(random) if random.random() < 0.15 else None,
        covers=_covers(random),
    )


def plain_paper(random: Random, number: int, world: World) -> Paper:
    """Days and one or two areas, so that covers and unions are common."""
    start = a_day(random)
    where = random.sample([*(PlaceItem(shape=a) for a in world.areas), world.named[0]], random.choice((1, 1, 2)))
    exclude = (PlaceItem(shape=random.choice(world.areas)),) if random.random() < 0.2 else ()
    version = Version(start, start + random.randint(3, 25), include_places=tuple(where), exclude_places=exclude)
    return Paper(
        f"P-{number}", "landowner-consent", frozenset(), world.jurisdictions[0], versions=(version,), covers=EVERYTHING
    )


def paper_of_one_term(random: Random, number: int, world: World) -> Paper:
    """Long days and the whole jurisdiction, with one term, so that each finding and remark stands alone at times."""
    terms: dict[str, Any] = random.choice((
        {"methods": Words(frozenset({"hand net"}))},
        {"sexes": Words(frozenset(), frozenset({"female"}))},
        {"life_stages": Words(frozenset({"adult"}))},
        {"people": ("A. Person",), "assistants": Assistants.SUPERVISED},
        {"people": ("Anna Person", "B. Other"), "assistants": random.choice(tuple(Assistants))},
        {"include_taxa": _taxa(random, (1, 2))},
        {"exclude_taxa": _taxa(random, (1,))},
        {"caps": (_cap(random),)},
        {"include_places": (_item(random, world),)},
        {"include_places": (PlaceItem(site=SITES[0]),)},
        {"exclude_places": (_item(random, world),)},
        {"closed_seasons": (((5, 2), (5, 9)),)},
    ))  # fmt: skip
    version = Version(BASE - 40, BASE + 400, **terms)
    return Paper(
        f"P-{number}",
        random.choice(_KINDS),
        frozenset(),
        world.jurisdictions[0],
        versions=(version,),
        covers=EVERYTHING,
    )


def chain(random: Random, world: World) -> list[Paper]:
    """Papers that may cover together: consecutive days (a hole or a shared day now and then), neighbouring areas."""
    everywhere = random.random() < 0.5
    start, papers = BASE - 8, []
    for number in range(random.randint(2, 5)):
        end = start + random.randint(2, 8)
        items = tuple(PlaceItem(shape=area, boundary_error_m=random.choice((None, None, 40.0)))
                      for area in random.sample(world.areas, random.choice((1, 1, 2))))  # fmt: skip
        whole = (PlaceItem(disc=(10.0, 50.0, 60_000.0)),)
        days = (start, end) if everywhere or random.random() < 0.2 else (BASE - 40, BASE + 60)
        version = Version(*days, include_places=whole if everywhere else items)
        if random.random() < 0.15:
            version = replace(version, exclude_places=(PlaceItem(shape=random.choice(world.areas)),))
        papers.append(
            Paper(f"P-{number}", "landowner-consent", frozenset(), "AT", versions=(version,), covers=EVERYTHING)
        )
        start = end + random.choice((0, 1, 1, 1, 1, 2))
    random.shuffle(papers)
    return papers


def capped_paper(random: Random, number: int, world: World) -> Paper:
    """A paper whose caps decide: nearly everything else is yes."""
    end = random.choice((BASE + 400, BASE + 400, BASE + 5))
    caps = tuple(_cap(random, most=60) for _ in range(random.choice((1, 1, 2))))
    versions = [Version(BASE - 40, end, include_places=(world.named[0],), caps=caps)]
    if random.random() < 0.3:
        versions.append(replace(versions[0], from_day=BASE + 3, caps=(_cap(random, most=60),)))
    covers = EVERYTHING if random.random() < 0.7 else _covers(random)
    return Paper(f"P-{number}", _KINDS[0], frozenset(), world.jurisdictions[0], versions=tuple(versions), covers=covers)


def _version(random: Random, start: int | None, world: World) -> Version:
    end = None if random.random() < 0.2 else (start or a_day(random)) + random.randint(0, 15)
    seasons = ((4, 28), (5, 3)), ((5, 6), (5, 7)), ((12, 20), (1, 10))
    return Version(
        from_day=start,
        to_day=end,
        include_places=_items(random, (0, 1, 1, 2, 3), world),
        exclude_places=_items(random, (0, 0, 0, 1, 2), world),
        include_taxa=_taxa(random, (0, 1, 2)),
        exclude_taxa=_taxa(random, (0, 0, 1)),
        methods=_words(random, "hand net", "light trap"),
        sexes=_words(random, "male", "female"),
        life_stages=_words(random, "adult", "larva"),
        people=random.choice(((), (), ("A. Person",), ("Anna Person", "B. Other"))),
        assistants=random.choice(tuple(Assistants)),
        closed_seasons=tuple(random.sample(seasons, random.choice((0, 0, 1, 2)))),
        caps=tuple(_cap(random) for _ in range(random.choice((0, 0, 1, 2)))),
    )


def _cap(random: Random, most: int = 8) -> Cap:
    taxon = random.choice((None, ListedTaxon("odonata"), ListedTaxon("sympetrum"), ListedTaxon("oenanthe", "plantae")))
    return Cap(random.randint(0, most), taxon, random.random() < 0.5, random.choice(("paper", "year", "site", "event")))


def _item(random: Random, world: World) -> PlaceItem:
    error = random.choice((None, 0.0, 40.0, 500.0))
    area, site = random.choice(world.areas), random.choice(SITES)
    return random.choice((
        replace(random.choice(world.named), boundary_error_m=random.choice((None, None, 10.0))),
        random.choice(world.named),
        PlaceItem(site=site),
        PlaceItem(site=site, shape=area, boundary_error_m=error),
        PlaceItem(shape=area, boundary_error_m=error),
        PlaceItem(shape=area, boundary_error_m=error),
        PlaceItem(disc=random.choice(world.discs), boundary_error_m=error),
    ))  # fmt: skip


def _items(random: Random, chances: tuple[int, ...], world: World) -> tuple[PlaceItem, ...]:
    return tuple(_item(random, world) for _ in range(random.choice(chances)))


def _taxa(random: Random, chances: tuple[int, ...]) -> tuple[ListedTaxon, ...]:
    names = [random.choice(_LISTED) for _ in range(random.choice(chances))]
    return tuple(ListedTaxon(n, random.choice(("", "plantae", "animalia")) if n == "oenanthe" else "") for n in names)


def _words(random: Random, *words: str) -> Words:
    if random.random() < 0.6:
        return Words()
    return Words(*(frozenset(random.sample(words, random.randint(0, 1))) for _ in range(2)))


def _covers(random: Random) -> Covers:
    if random.random() < 0.5:
        return EVERYTHING
    return Covers(
        accessions=frozenset(random.sample(("A1", "A2"), random.randint(0, 1))),
        sites=frozenset(random.sample(SITES, random.randint(0, 1))),
        events=frozenset(random.sample(("E1", "E2"), random.randint(0, 1))),
        specimens=frozenset(random.sample(("C1", "C2"), random.randint(0, 1))),
    )
