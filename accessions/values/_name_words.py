"""Words that stand inside scientific names without being names. Common practice, no source, unless said."""

QUALIFIERS = frozenset({
    "?", "cf", "cfr", "conf", "aff", "affin", "nr", "near", "prope", "agg", "aggr", "aggregate", "complex", "group",
    "gr", "poss", "possibly", "prob", "probably", "s.l", "s.lat", "lato", "auct",
})  # fmt: skip
"""Signs of doubt, or of a name taken more widely than itself, without their last full stop."""

ALTERNATIVES = frozenset({"or", "and", "vel", "oder", "ou", "et"})
"""Between two epithets they leave open which one it is."""

OPEN = frozenset({
    "sp", "spp", "spec", "species", "indet", "undet", "undetermined", "unidentified", "undescr", "undescribed", "gen",
    "fam", "ord", "subfam", "nov", "ined", "larva", "larvae", "nymph", "nymphs", "juv", "juvenile", "male", "female",
    "adult", "morphotype", "morphosp", "morphospecies", "incertae", "sedis", "unknown", "cv", "n",
})  # fmt: skip
"""Words at which a name ends because no further name is given."""

MARKERS = frozenset({
    "subsp", "ssp", "subspecies", "var", "varietas", "subvar", "f", "fo", "forma", "form", "subf", "convar", "ab",
    "morph", "natio", "race", "nothosubsp", "nothovar", "nothof",
})  # fmt: skip
"""Ranks written before an infraspecific epithet."""

PARTICLES = frozenset({
    "de", "del", "della", "da", "di", "do", "dos", "du", "van", "von", "der", "den", "ter", "ten", "zu", "zur", "la",
    "le", "les", "ex", "in", "al", "af", "non", "nec", "sensu", "emend", "apud", "fil", "bis",
})  # fmt: skip
"""Lower-case words of an authorship."""

NOT_NAMES = QUALIFIERS | OPEN | MARKERS | PARTICLES | {"sensu", "stricto", "uncertain", "doubtful", "tentative"}
"""Words that are never an epithet, in a qualifier that stands alone."""

HYBRID_SIGNS = frozenset({"×", "x", "X", "✕", "✖"})

TAXON_RANKS = {
    "kingdom": "kingdom", "regnum": "kingdom", "phylum": "phylum", "division": "phylum", "divisio": "phylum",
    "class": "class", "classis": "class", "order": "order", "ordo": "order", "superfamily": "superfamily",
    "superfamilia": "superfamily", "family": "family", "familia": "family", "subfamily": "subfamily",
    "subfamilia": "subfamily", "tribe": "tribe", "tribus": "tribe", "genus": "genus", "nothogenus": "genus",
    "subgenus": "subgenus",
}  # fmt: skip
"""taxonRank, folded -> rank of a lineage, for names of one word."""
