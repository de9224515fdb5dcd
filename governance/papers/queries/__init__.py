"""What is read of the papers."""

from governance.papers.queries.engine_papers import HeldPaper, engine_papers, held_papers
from governance.papers.queries.exchange_objects import exchange_file, exchange_object, exchange_objects, stamp
from governance.papers.queries.links import Links, links_among, links_of

__all__ = [
    "HeldPaper",
    "Links",
    "engine_papers",
    "exchange_file",
    "exchange_object",
    "exchange_objects",
    "held_papers",
    "links_among",
    "links_of",
    "stamp",
]
