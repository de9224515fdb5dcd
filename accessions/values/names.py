"""Scientific names: canonical names by rank, without authorship and without what a qualifier makes doubtful.

Source of the rules: VERDICTS, section 5; Darwin Core terms of the class Taxon. Epithets are lower-case by the codes of
nomenclature, so a capitalised word after the genus is taken for an author.
"""

from dataclasses import dataclass

from accessions.values._name_parts import FIRST, LONGEST_NAME, SPECIES, NameParts, cut_name
from accessions.values._name_path import (
    DEPTH,
    RANKS,
    add_classification,
    add_name,
    canonical,
    doubt_lowest_column,
    path_of_columns,
)
from accessions.values._name_words import NOT_NAMES
from accessions.values.blanks import filled

__all__ = ["RANKS", "NameRead", "canonical_name", "read_name"]


@dataclass(frozen=True, slots=True)
class NameRead:
    """A name and its path, as one row states them.

    rank: the lowest rank that is named and certain, None where the name is of no known rank or nothing is left.
    names: rank of ``RANKS`` -> canonical name, case as written; a species is the binomial, an infraspecies the
    trinomial. unranked: further names of the path whose rank is not known, highest first.
    qualified: a name was dropped for a qualifier. hint: one clause, "" if there is nothing to say.
    """

    rank: str | None
    names: dict[str, str]
    unranked: tuple[str, ...] = ()
    qualified: bool = False
    hint: str = ""


def canonical_name(text: str) -> str:
    """A listed name without its authorship, subgenus and rank words; case as written.

    A name with a qualifier and a hybrid formula are given back whole, so that they match nothing but themselves.

    >>> canonical_name("Libellula depressa Linnaeus, 1758"), canonical_name("Aedes (Stegomyia) aegypti")
    ('Libellula depressa', 'Aedes aegypti')
    """
    if len(text) > LONGEST_NAME:
        return text[:LONGEST_NAME].strip()
    whole = " ".join(text.split())
    parts = cut_name(whole)
    if parts.qualified or parts.is_formula or not parts.words:
        return whole
    return canonical(parts)


def read_name(
    scientific_name: str = "",
    authorship: str = "",
    taxon_rank: str = "",
    kingdom: str = "",
    phylum: str = "",
    class_: str = "",
    order: str = "",
    superfamily: str = "",
    family: str = "",
    subfamily: str = "",
    tribe: str = "",
    genus: str = "",
    subgenus: str = "",
    specific_epithet: str = "",
    infraspecific_epithet: str = "",
    higher_classification: str = "",
    identification_qualifier: str = "",
    verbatim_identification: str = "",
) -> NameRead:
    """The names of a row by rank.

    scientificName counts; where it is blank the genus and epithet columns do, then verbatimIdentification. A qualifier
    drops the part it stands before, or the last part of the name, with all lower ranks, from the columns too; so does
    verbatimIdentification where it states the same name with a qualifier.

    >>> read_name("Aedes cf. aegypti", family="Culicidae").names
    {'family': 'Culicidae', 'genus': 'Aedes'}
    >>> read_name("Roptrocerus typographi (Györfi, 1952)").names["species"]
    'Roptrocerus typographi'
    """
    path = path_of_columns({
        "kingdom": kingdom, "phylum": phylum, "class": class_, "order": order, "superfamily": superfamily,
        "family": family, "subfamily": subfamily, "tribe": tribe, "genus": genus, "subgenus": subgenus,
    })  # fmt: skip
    columns = " ".join(filter(None, map(filled, (genus, specific_epithet, infraspecific_epithet)))) if genus else ""
    name = _without_authorship(filled(scientific_name), filled(authorship))
    texts = [text for text in (name, columns, filled(verbatim_identification)) if text]
    if texts and len(texts[0]) <= LONGEST_NAME:
        parts = _stated_name(texts[0], columns)
        _doubt_as_elsewhere(parts, filled(verbatim_identification), filled(identification_qualifier))
        add_name(path, parts, _rank_word(taxon_rank))
    elif texts:
        path.hint = "the name is longer than any scientific name"
    elif filled(identification_qualifier):
        doubt_lowest_column(path)
    add_classification(path, filled(higher_classification))
    lowest = max(path.names, key=DEPTH.__getitem__, default=None)
    in_order = {rank: path.names[rank] for rank in RANKS if rank in path.names}
    return NameRead(None if path.is_unranked else lowest, in_order, tuple(path.unranked), path.qualified, path.hint)


def _rank_word(text: str) -> str:
    return filled(text)[:40].casefold()


def _without_authorship(name: str, authorship: str) -> str:
    """The name less its authorship where that is known, so that no author is taken for an epithet."""
    if authorship and len(authorship) <= LONGEST_NAME and name.endswith(authorship) and name != authorship:
        return name[: -len(authorship)].rstrip()
    return name


def _stated_name(text: str, columns: str) -> NameParts:
    """The name; where scientificName gives the genus alone, the epithet columns complete it."""
    parts = cut_name(text)
    if columns and parts.words and parts.lowest == FIRST and not (parts.is_open or parts.is_formula):
        completed = cut_name(columns) if len(columns) <= LONGEST_NAME else parts
        if not parts.qualified and completed.at(FIRST).casefold() == parts.at(FIRST).casefold():
            return completed
    return parts


def _doubt_as_elsewhere(parts: NameParts, verbatim: str, qualifier: str) -> None:
    """Doubt that other columns throw on the name."""
    if qualifier and not parts.is_formula:
        parts.doubt(_place_named(parts, qualifier))
    if verbatim and len(verbatim) <= LONGEST_NAME:
        other = cut_name(verbatim)
        if other.doubtful_from is not None and _same_words(parts, other):
            parts.doubt(other.doubtful_from)


def _place_named(parts: NameParts, qualifier: str) -> int:
    """The place in doubt by identificationQualifier: that of the word it names ("cf. agrifolia"), else the lowest.

    An epithet that the name does not have puts the species in doubt, and leaves a genus as it is.
    """
    doubted = {bare for token in qualifier[:LONGEST_NAME].split() if (bare := token.strip("?.,()").casefold())}
    places = [place for place, word in parts.words if word.casefold() in doubted]
    if places:
        return min(places)
    return SPECIES if any(len(w) > 2 and w.isalpha() for w in doubted - NOT_NAMES) else parts.lowest


def _same_words(one: NameParts, other: NameParts) -> bool:
    return [w.casefold() for _, w in one.words] == [w.casefold() for _, w in other.words]
