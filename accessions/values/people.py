"""Cells that hold people: recordedBy, identifiedBy."""

from accessions.values.lists import split_list


def split_people(text: str) -> tuple[str, ...]:
    """The people of a cell in the order written, separated by a vertical bar; no other sign parts them.

    Commas, ampersands and semicolons stay inside a name: "Family, Given" is one person, and whether "A. Berg & C. Dal"
    are two is not ours to guess.

    >>> split_people("Vera Lund | Lund, Vera")
    ('Vera Lund', 'Lund, Vera')
    """
    return split_list(text)
