"""What the library of histories writes by itself, row by row, announced to the seal.

The one place of the project that listens to signals. Histories of rows that are saved or deleted one by one are written
by django-simple-history deep inside ``save()`` and ``delete()``, those of a cascade too: its own signal is the only
place that sees every one of them, and no action can forget it. Rows written many at once announce themselves
(``copy_to_history``, ``create_rows``).
"""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models.signals import post_delete, post_save
from simple_history.signals import post_create_historical_record

from accessions.people.announcing import announce, announce_gone


def listen_to_histories() -> None:
    """Every row of every history, when it is written."""
    post_create_historical_record.connect(_history_written, dispatch_uid="seal of histories")


def listen_to(model: type[models.Model]) -> None:
    """Rows of a table without history that is sealed by its state; what writes many at once announces them itself."""
    post_save.connect(_saved, sender=model, dispatch_uid=f"seal of {model._meta.label}")
    post_delete.connect(_deleted, sender=model, dispatch_uid=f"seal of {model._meta.label}, gone")


def _history_written(history_instance: models.Model, history_user: Any = None, **rest: Any) -> None:
    announce(type(history_instance), [history_instance.pk], by=history_user)


def _saved(sender: type[models.Model], instance: models.Model, raw: bool = False, **rest: Any) -> None:
    announce(sender, [instance.pk])


def _deleted(sender: type[models.Model], instance: models.Model, **rest: Any) -> None:
    announce_gone(sender, [instance.pk])
