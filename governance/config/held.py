"""What a database holds, before a command writes into it."""

from __future__ import annotations

from enum import Enum

from django.apps import apps
from django.db import connection

from accessions.people.models import User
from governance.config.demo import mark

_DONE = "django_migrations"


class Held(Enum):
    """What the database holds."""

    NOTHING = "no table"
    NOBODY = "the tables of a register, or some of them, and nobody who may sign in"
    REGISTER = "a register"
    DEMO = "the demo"
    FOREIGN = "tables of something else"


def held() -> Held:
    """What the database holds. Reads only.

    Raises:
        django.db.Error: it cannot be opened, or is none.
    """
    tables = set(connection.introspection.table_names())
    if not tables:
        return Held.NOTHING
    if mark.TABLE in tables:
        return Held.DEMO
    if not _are_ours(tables):
        return Held.FOREIGN
    return Held.REGISTER if User._meta.db_table in tables and User.objects.exists() else Held.NOBODY


def _are_ours(tables: set[str]) -> bool:
    """Whether migrations of this project and of no other were done here."""
    if _DONE not in tables:
        return False
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT DISTINCT app FROM {_DONE}")
        done = {app for (app,) in cursor.fetchall()}
    return done <= {config.label for config in apps.get_app_configs()} and (not done or "people" in done or
                                                                             tables <= _own_tables())  # fmt: skip


def _own_tables() -> set[str]:
    return {_DONE, *connection.introspection.django_table_names(include_views=False)}
