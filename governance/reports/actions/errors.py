"""What cannot be done with a report, in words."""

from __future__ import annotations


class ReportError(Exception):
    """A change that cannot be made, with the reason in words for the person who tried it."""


class ReportChangedError(ReportError):
    """The register changed what a report says since the person looked; what it says now stands in its place."""


class SupersededError(ReportError):
    """Work in the background came to its end after its draft was changed or somebody began anew: it does not count."""
