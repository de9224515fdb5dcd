"""The path of a name: what a row says of it rank by rank, put together and taken out again."""

import re
from dataclasses import dataclass, field

from accessions.values._name_parts import FIRST, INFRASPECIES, LONGEST_NAME, SPECIES, SUBGENUS, NameParts, cut_name
from accessions.values._name_words import TAXON_RANKS
from accessions.values.blanks import filled

RANKS = ("kingdom", "phylum", "class", "order", "superfamily", "family", "subfamily", "tribe", "genus", "subgenus",
         "species", "infraspecies")  # fmt: skip
"""Highest first."""

DEPTH = {rank: depth for depth, rank in enumerate(RANKS)}
_PLACE_RANKS = {SUBGENUS: "subgenus", SPECIES: "species", INFRASPECIES: "infraspecies"}
_FAMILY_ENDINGS = ("idae", "aceae")
_LONGEST_CLASSIFICATION = 5_000
_MOST_CLASSES = 60
_SPECIES_WORDS = frozenset({"sp", "spp", "spec", "species"})
_ABBREVIATED_GENUS = re.compile(r"[A-Z][a-z]{0,2}\.")


@dataclass(slots=True)
class Path:
    """The path while it is put together."""

    names: dict[str, str] = field(default_factory=dict)
    unranked: list[str] = field(default_factory=list)
    dropped: set[str] = field(default_factory=set)
    qualified: bool = False
    is_unranked: bool = False
    hint: str = ""

    def drop_from(self, rank: str) -> None:
        """Takes the rank and all below it out."""
        for lower in RANKS[DEPTH[rank] :]:
            if name := self.names.pop(lower, ""):
                self.dropped.add(name.casefold())

    def knows(self, name: str) -> bool:
        return name.casefold() in {n.casefold() for n in (*self.names.values(), *self.unranked)}


def path_of_columns(cells: dict[str, str]) -> Path:
    path = Path()
    for rank, cell in cells.items():
        text = filled(cell)
        if not text or len(text) > LONGEST_NAME:
            continue
        parts = cut_name(text)
        name = (parts.at(SUBGENUS) or parts.at(FIRST)) if rank == "subgenus" else parts.at(FIRST)
        if parts.qualified:
            path.qualified = True
            path.dropped.add(name.casefold())
            break  # what is below a doubtful name is doubtful too
        if name and not _ABBREVIATED_GENUS.fullmatch(name):
            path.names[rank] = name
    return path


def canonical(parts: NameParts) -> str:
    if not parts.at(SPECIES):
        return parts.at(SUBGENUS) or parts.at(FIRST)
    return " ".join(word for word in (parts.at(FIRST), parts.at(SPECIES), parts.at(INFRASPECIES)) if word)


def add_name(path: Path, parts: NameParts, taxon_rank: str) -> None:
    """Adds the row's own name to the path of its columns, and takes out what is in doubt."""
    path.qualified = path.qualified or parts.qualified
    if parts.is_formula:
        path.hint = "a hybrid of two names: only what both share is taken"
        path.drop_from("species" if parts.shares_first else "genus")
    if not parts.words:
        if parts.qualified and not parts.is_formula:
            path.drop_from("genus")
        return
    first = _full_genus(path, parts.at(FIRST))
    if not first:
        path.hint = "the genus is abbreviated and no genus column gives it"
        return
    if parts.lowest == FIRST and not parts.is_open and not parts.is_formula:
        _add_single(path, first, taxon_rank, in_doubt=parts.doubtful_from == FIRST)
    else:
        _add_below_genus(path, first, parts)


def _full_genus(path: Path, first: str) -> str:
    """The genus spelled out; an abbreviated one from its column, "" where that does not fit."""
    if not first.endswith("."):
        return first
    genus = path.names.get("genus", "")
    return genus if genus.startswith(first[:-1]) else ""


def _add_single(path: Path, name: str, taxon_rank: str, *, in_doubt: bool) -> None:
    """A name of one word, which may be of any rank."""
    rank = _rank_of_single(path, name, taxon_rank)
    if in_doubt:
        path.dropped.add(name.casefold())
        path.drop_from(rank or "genus")
    elif rank is None or path.names.get(rank, name).casefold() != name.casefold():
        path.unranked.append(name)
        path.is_unranked = True
    else:
        path.names[rank] = name


def _rank_of_single(path: Path, name: str, taxon_rank: str) -> str | None:
    if rank := TAXON_RANKS.get(taxon_rank):
        return rank
    if name.casefold().endswith(_FAMILY_ENDINGS):
        return "family"
    return next((rank for rank, other in path.names.items() if other.casefold() == name.casefold()), None)


def _add_below_genus(path: Path, genus: str, parts: NameParts) -> None:
    """A name of a genus with what follows it; or a name of one word closed by "sp." or the like."""
    if parts.is_open and parts.lowest == FIRST:
        _add_opened(path, genus, parts)
        return
    _add_genus(path, genus)
    if subgenus := parts.at(SUBGENUS):
        path.names.setdefault("subgenus", subgenus)
    species = f"{genus} {parts.at(SPECIES)}" if parts.at(SPECIES) else ""
    lower = [f"{species} {word}" for place, word in parts.words if place == INFRASPECIES and species]
    if species:
        path.names["species"] = species
    if lower:
        path.names["infraspecies"] = lower[-1]
        path.unranked += lower[:-1]
    if parts.doubtful_from is not None:
        _drop_doubtful(path, genus, parts.doubtful_from)


def _add_opened(path: Path, name: str, parts: NameParts) -> None:
    """``Peromyscus sp.``, ``Diptera indet.``: a genus unless its ending, or a column, says otherwise."""
    rank = _rank_of_single(path, name, "") or ("genus" if parts.opened_by in _SPECIES_WORDS else None)
    if parts.doubtful_from == FIRST:
        path.dropped.add(name.casefold())
        path.drop_from(rank or "genus")
    elif rank == "genus":
        _add_genus(path, name)
    elif rank is not None and rank not in path.names:
        path.names[rank] = name
    elif not path.knows(name):
        # also a family other than that of the column: both are said of the specimen, so both stay
        path.unranked.append(name)
        path.is_unranked = True


def _add_genus(path: Path, genus: str) -> None:
    stated = path.names.setdefault("genus", genus)
    if stated.casefold() != genus.casefold():
        # a synonym: the column places the name elsewhere than the name itself does
        path.unranked.append(genus)


def _drop_doubtful(path: Path, genus: str, place: int) -> None:
    if place == FIRST:
        path.dropped.add(genus.casefold())
        path.unranked = [name for name in path.unranked if not name.casefold().startswith(genus.casefold())]
    path.drop_from(_PLACE_RANKS.get(place, "genus"))
    if place == SPECIES:
        path.unranked = [name for name in path.unranked if " " not in name]


def doubt_lowest_column(path: Path) -> None:
    """identificationQualifier on a row that names its taxon by rank columns alone."""
    path.qualified = True
    if path.names:
        path.drop_from(max(path.names, key=DEPTH.__getitem__))


def add_classification(path: Path, text: str) -> None:
    """Names of higherClassification that no column has; what is in doubt, and what follows it, stays out."""
    if len(text) > _LONGEST_CLASSIFICATION:
        path.hint = path.hint or "higherClassification is too long to read"
        return
    higher: list[str] = []
    for entry in re.split(r"[|;]", text)[:_MOST_CLASSES]:
        parts = cut_name(entry) if len(entry) <= LONGEST_NAME else NameParts()
        name = canonical(parts)
        if name.casefold() in path.dropped or parts.qualified:
            break
        if not name or path.knows(name) or name in higher:
            continue
        if name.casefold().endswith(_FAMILY_ENDINGS) and "family" not in path.names:
            path.names["family"] = name
        else:
            higher.append(name)
    path.unranked[:0] = higher
