"""The mark that a site changed. Its table is in the room of material, which lies above: it is looked up by its name."""

from __future__ import annotations

from typing import Any

from django.apps import apps


def touch_site(site_pk: int, *, by: Any, why: str) -> None:
    """Leave the mark of ``accessions.material.touches`` for a site. Call it inside the transaction of the change."""
    model = apps.get_model("material", "Touch")
    model._default_manager.create(scope="site", key=site_pk, why=why[:200], by=by)
