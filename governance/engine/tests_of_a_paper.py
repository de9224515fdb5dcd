"""The tests of a paper, in the order of the contract: a bit each where failing tests are kept as bits."""

from typing import Final

DATE: Final = 0
PLACE: Final = 1
TAXON: Final = 2
METHODS: Final = 3
PEOPLE: Final = 4
SEXES: Final = 5
STAGES: Final = 6
NUMBERS: Final = 7
UNREAD: Final = 8

TESTS: Final = (UNREAD, DATE, PLACE, TAXON, METHODS, PEOPLE, SEXES, STAGES, NUMBERS)
"""In the order in which findings are written; UNREAD: the paper has no version that could be tested."""
