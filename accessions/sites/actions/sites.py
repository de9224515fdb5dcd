"""Sites themselves: entered, changed."""

from __future__ import annotations

from typing import Any, Final

from django.db import transaction

from accessions.people.access import Verb, check
from accessions.people.editing import add, change
from accessions.sites.keys import folded
from accessions.sites.models import Site
from accessions.sites.touches import touch_site

EDITABLE: Final = frozenset({"code", "name", "country", "subdivision", "remarks"})


def create_site(*, by: Any, why: str, **values: Any) -> Site:
    """Enter a site.

    Raises:
        ValidationError: its code is taken, or a value may not be so.
    """
    check(by, Verb.ENTER_FACTS)
    site = Site(**values)
    site.code_key, site.name_key = folded(site.code), folded(site.name)
    with transaction.atomic():
        add(site, by=by, why=why)
        touch_site(site.pk, by=by, why=why)
    return site


def change_site(site: Site, *, by: Any, why: str, **values: Any) -> list[str]:
    """Change a site and the keys by which specimens find it. Returns the names of the fields that changed.

    Raises:
        ValidationError: its code is taken, or a value may not be so.
    """
    check(by, Verb.ENTER_FACTS)
    keys = {f"{name}_key": folded(values[name]) for name in ("code", "name") if name in values}
    with transaction.atomic():
        changed = change(site, values | keys, editable=EDITABLE | {"code_key", "name_key"}, by=by, why=why)
        if changed:
            touch_site(site.pk, by=by, why=why)
    return [name for name in changed if name in EDITABLE]
