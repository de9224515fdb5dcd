"""How much of a file is read before it is refused. Every bound of the intake stands here."""

from typing import Final

MAX_FILE_BYTES: Final = 1024**3
MAX_UPLOAD_BYTES: Final = 100 * 1024**2
"""A file sent by the page, which the database keeps; 100,000 rows of 25 columns are about 14 MB as XLSX."""
MAX_ARCHIVE_BYTES: Final = 2 * 1024**3
"""All members of an archive together, unpacked."""
MAX_ARCHIVE_RATIO: Final = 200
"""Unpacked to packed bytes. A sheet of one repeated value packs about 100 to 1; deflate reaches 1032 to 1."""
ARCHIVE_RATIO_FREE_BYTES: Final = 64 * 1024**2
"""Below this unpacked size the ratio is not held against a member: it can do no harm."""
MAX_ARCHIVE_MEMBERS: Final = 5_000
MAX_CELL_CHARACTERS: Final = 100_000
MAX_COLUMNS: Final = 500
MAX_LINE_BYTES: Final = MAX_CELL_CHARACTERS * MAX_COLUMNS
MAX_SHEET_CELLS: Final = 60_000_000
"""A sheet is laid out as a full rectangle while it is read: two cells in far corners cost as much as all between."""
MAX_MARKUP_BYTES: Final = 64 * 1024**2
"""XML that is held as a tree (meta.xml, KML, GPX)."""
MAX_MARKUP_DEPTH: Final = 100
MAX_MARKUP_ELEMENTS: Final = 2_000_000
MAX_PROBLEMS: Final = 200
"""Problems listed of one file; the rest is counted."""
CHUNK_BYTES: Final = 1024**2
CHUNK_ROWS: Final = 256
"""Few enough that the cells of a chunk stay in the processor's cache; 4096 took twice as long."""
PROGRESS_ROWS: Final = 16_384
