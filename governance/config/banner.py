"""The warning that a server prints when it starts on insecure defaults."""

from __future__ import annotations

import sys


def print_insecure_defaults() -> None:
    """Print one framed sentence for each insecure default on standard error; nothing where there is none.

    Only servers print it: a command that judges files signs nothing and has no visitors, and its standard error belongs
    to the findings.
    """
    from django.conf import settings

    if not settings.INSECURE_DEFAULTS:
        return
    print("=" * 78, file=sys.stderr)
    print("INSECURE DEFAULTS: for work on this machine only, not for a network.", file=sys.stderr)
    for sentence in settings.INSECURE_DEFAULTS:
        print(f"- {sentence}", file=sys.stderr)
    print("=" * 78, file=sys.stderr)
