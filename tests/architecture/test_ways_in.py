"""Every page can be come to: its address is named by a template or by code, not only by tests."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from django.urls import URLPattern, URLResolver, get_resolver

PROJECT = Path(__file__).resolve().parents[2]

BESIDE_THEIR_PAGE = {
    # templates/usedesk/trail.html: ``export.csv`` beside the page, of whatever kind the material is.
    "usedesk:trail-specimen-csv", "usedesk:trail-accession-csv", "usedesk:trail-site-csv", "usedesk:trail-agent-csv",
    "usedesk:trail-country-csv",
}  # fmt: skip
"""Addresses that are followed from the page above them, without their name."""


def named(patterns: list[URLPattern | URLResolver], space: str = "") -> Iterator[str]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from named(pattern.url_patterns, pattern.namespace or space)
        elif pattern.name:
            yield f"{space}:{pattern.name}" if space else pattern.name


def test_each_address_is_named_where_somebody_can_follow_it() -> None:
    files = [path for folder in ("accessions", "governance", "templates") for path in (PROJECT / folder).rglob("*.*")]
    texts = [
        path.read_text("utf-8") for path in files if path.suffix in (".html", ".py", ".txt") and path.name != "urls.py"
    ]
    written = set(re.findall(r"""["']([\w:-]+)["']""", "\n".join(texts)))
    lost = {name for name in named(get_resolver().url_patterns) if name not in written}
    assert lost - BESIDE_THEIR_PAGE == set(), "nothing leads to these pages"
    assert lost >= BESIDE_THEIR_PAGE, "named by now"
