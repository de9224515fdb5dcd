"""What a database holds, before a command writes into it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from enum import Enum
from importlib import import_module
from pkgutil import iter_modules
from typing import Final

from django.apps import AppConfig, apps
from django.db import connection
from django.db.migrations.operations import CreateModel

from accessions.people.models import User
from governance.config.demo import mark

_DONE: Final = "django_migrations"
_SEVERAL: Final = 5
"""Rooms whose migrations were done, from which on tables of other programs beside them are no matter."""


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
    with _as_it_lies():
        return _found()


@contextmanager
def _as_it_lies() -> Iterator[None]:
    """The settings of this project give a file of SQLite another journal as soon as it is opened, and it keeps that: a
    database of somebody else is looked at without them."""
    options = connection.settings_dict["OPTIONS"]
    if connection.connection is not None or "init_command" not in options:
        yield
        return
    command = options.pop("init_command")
    try:
        yield
    finally:
        connection.close()
        options["init_command"] = command


def _found() -> Held:
    tables = set(connection.introspection.table_names())
    if not tables:
        return Held.NOTHING
    if mark.TABLE in tables:
        return Held.DEMO
    if not _are_ours(tables):
        return Held.FOREIGN
    return Held.REGISTER if User._meta.db_table in tables and User.objects.exists() else Held.NOBODY


def _are_ours(tables: set[str]) -> bool:
    """Whether migrations of this project and of no other were done here, and the tables are there that they make.

    A room of ours is known by its tables: another project may have one of the same name, as many have "people". A
    register whose making was stopped has few rooms yet; it counts only if nothing else lies beside it.
    """
    if _DONE not in tables:
        return False
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT DISTINCT app FROM {_DONE}")
        done = {app for (app,) in cursor.fetchall()}
    known = {config.label: config for config in apps.get_app_configs()}
    if not done <= known.keys():
        return False
    rooms = [known[label] for label in done if _is_room(known[label])]
    if not all(_first_tables(room) <= tables for room in rooms):
        return False
    return len(rooms) >= _SEVERAL or tables <= _own_tables()


def _is_room(config: AppConfig) -> bool:
    return config.name.partition(".")[0] in ("accessions", "governance")


def _first_tables(room: AppConfig) -> set[str]:
    """The tables that the first migration of a room makes, and that the register still has."""
    folder = import_module(f"{room.name}.migrations")
    first = min(module.name for module in iter_modules(folder.__path__))
    made = import_module(f"{folder.__name__}.{first}").Migration.operations
    models = [one for one in made if isinstance(one, CreateModel)]
    return {one.options.get("db_table") or f"{room.label}_{one.name_lower}" for one in models} & _own_tables()


def _own_tables() -> set[str]:
    return {_DONE, *connection.introspection.django_table_names(include_views=False)}
