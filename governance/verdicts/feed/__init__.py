"""From rows of the register to the engine's tables: facts, papers and rules, read with the readers of a check of files.

``register`` puts them together; ``facts``, ``specimens``, ``papers`` and ``rules`` make them one by one.
"""

from governance.verdicts.feed.register import Feed, feed

__all__ = ["Feed", "feed"]
