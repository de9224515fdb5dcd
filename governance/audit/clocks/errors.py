"""What goes wrong when the past is asked."""

from __future__ import annotations


class AsKnownError(Exception):
    """The register of that moment cannot be shown, or somebody tried to write there. Its text is for people to read."""
