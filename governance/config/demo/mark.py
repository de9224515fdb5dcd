"""The mark of a demo database: a table of its own, so that the command never touches a register that is none."""

from __future__ import annotations

from enum import Enum

from django.db import connection

from accessions.material.models import Accession
from accessions.people.models import User

TABLE = "fieldwrit_demo"


class Database(Enum):
    """What the database holds."""

    FREE = "nothing"
    DEMO = "a demo"
    HALF = "a demo whose making was stopped"
    OTHER = "a register that is no demo"


def look() -> Database:
    """What the database holds; a register without people and accessions counts as free."""
    tables = set(connection.introspection.table_names())
    if TABLE in tables:
        return Database.DEMO if _is_ready() else Database.HALF
    used = [model for model in (User, Accession) if model._meta.db_table in tables and model.objects.exists()]
    return Database.OTHER if used else Database.FREE


def set_mark(*, ready: bool) -> None:
    """Mark the database as a demo, ready or still in the making."""
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE TABLE IF NOT EXISTS {TABLE} (ready integer NOT NULL)")
        cursor.execute(f"DELETE FROM {TABLE}")
        cursor.execute(f"INSERT INTO {TABLE} (ready) VALUES (%s)", [int(ready)])


def _is_ready() -> bool:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT ready FROM {TABLE}")
        row = cursor.fetchone()
    return row is not None and row[0] == 1
