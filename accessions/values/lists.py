"""Cells that hold a list: methods, sexes, life stages."""

from accessions.values.blanks import filled

SEPARATOR = "|"
"""Darwin Core recommends space, vertical bar, space; the blanks around the bar do not count."""

LONGEST_LIST = 100_000
"""Characters. A longer cell is no list that a person wrote; it is refused as a whole."""


def split_list(text: str) -> tuple[str, ...]:
    """The entries of a cell in the order written: trimmed, without blanks and repeats.

    An empty tuple means that the cell says nothing. A word that stands for blank says nothing only if it is alone:
    "hand net | unknown" is a list with an entry that no paper allows. A cell longer than ``LONGEST_LIST`` is one entry,
    cut short, that matches nothing a paper lists: it must not pass as blank, nor as some of its entries.

    >>> split_list("hand net | light trap | hand net")
    ('hand net', 'light trap')
    >>> split_list(" | "), split_list("unknown")
    ((), ())
    """
    if len(text) > LONGEST_LIST:
        return (text[:60] + "... (too long to read)",)
    entries = tuple(dict.fromkeys(entry for part in text.split(SEPARATOR) if (entry := part.strip())))
    return entries if any(filled(entry) for entry in entries) else ()
