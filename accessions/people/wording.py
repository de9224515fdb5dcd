"""Pieces of sentences that all rooms share."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _


def in_a_list(words: Iterable[str]) -> str:
    """Several words as a sentence names them; what is blank is left out.

    >>> in_a_list(["Iceland", "", "Norway", "Sweden"]), in_a_list(["Norway"]), in_a_list([])
    ('Iceland, Norway and Sweden', 'Norway', '')
    """
    *several, last = [word for word in words if word] or [""]
    return _("%(several)s and %(last)s") % {"several": ", ".join(several), "last": last} if several else last
