"""Which papers want to be named in print by publications, and how: as ``usedesk.queries.acknowledging`` has it for one,
for many at once; a test holds the two together."""

from __future__ import annotations
