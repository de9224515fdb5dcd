"""Months as labels name them, in eight languages and in Roman numerals."""

import unicodedata
from collections.abc import Iterator

_NAMES = (
    # English, Spanish, French, German, Portuguese, Italian, Latin, Swedish; accents are folded away
    "january jan enero ene janvier janv januar janner jan janeiro gennaio gen januarius januarii januari",
    "february feb febr febrero fevrier fev fevr februar feber fevereiro febbraio februarius februarii februari",
    "march mar mrz marzo mars marz maerz marco martius martii",
    "april apr abril abr avril avr aprile aprilis",
    "may mayo mai maio maggio mag maius maii maj",
    "june jun junio juin juni junho giugno giu junius iunius junii iunii",
    "july jul julio juillet juil juli julho luglio lug julius iulius julii iulii",
    "august aug agosto ago aout augustus augusti",
    "september sep sept septiembre setiembre septembre setembro set settembre sett septembris",
    "october oct octubre octobre oktober okt outubro out ottobre ott octobris",
    "november nov noviembre novembre novembro novembris",
    "december dec diciembre dic decembre dezember dez dezembro dicembre decembris",
)
_ROMAN = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii")


def _words() -> Iterator[tuple[str, int]]:
    for number, names in enumerate(_NAMES, start=1):
        for name in names.split():
            yield name, number
    yield from zip(_ROMAN, range(1, 13), strict=True)


MONTHS: dict[str, int] = {}
for _word, _number in _words():
    if MONTHS.setdefault(_word, _number) != _number:
        raise AssertionError(f"{_word} names two months")


def month_named(word: str) -> int | None:
    """Number of the month that the word names, None for any other word.

    French "decembre" and "fevrier" are found with their accents, German "März" likewise.

    >>> month_named("Marzo"), month_named("IV"), month_named("spring")
    (3, 4, None)
    """
    plain = "".join(c for c in unicodedata.normalize("NFKD", word[:20].casefold()) if not unicodedata.combining(c))
    return MONTHS.get(plain)
