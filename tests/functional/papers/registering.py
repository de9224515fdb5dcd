"""Registers, corrects and links papers without end, in the database of DATABASE_URL: a process to be killed.

With ``prepare`` it makes the tables instead.
"""

from __future__ import annotations

import itertools
import os
import sys
from typing import Any


class _NoMigrations:
    """Tables straight from the models: a second instead of half a minute."""

    def __contains__(self, app: str) -> bool:
        return True

    def __getitem__(self, app: str) -> None:
        return None


def set_up() -> None:
    """Django on the database of the environment, without migrations."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")
    import django
    from django.conf import settings

    settings.MIGRATION_MODULES = _NoMigrations()
    django.setup()


def prepare() -> None:
    """The tables, a registrar, an accession."""
    from django.core.management import call_command

    from tests.factories import register as r

    call_command("migrate", run_syncdb=True, verbosity=0)
    r.person("registrar")
    r.accession("ACC-1")


def work() -> None:
    """One paper after another, told on standard output once it is begun."""
    from accessions.material.models import Accession
    from accessions.people.models import User
    from governance.papers import actions
    from governance.papers.models import Paper
    from tests.factories.paper_objects import full_object

    by, accession = User.objects.get(), Accession.objects.get()
    for number in itertools.count(Paper.objects.count()):
        value: dict[str, Any] = full_object(f"P-{os.getpid()}-{number}")
        print(value["reference"], flush=True)
        paper = actions.register(
            data=value, targets=actions.Targets(accessions=[accession.pk]), by=by, why="from the scan"
        )
        version = value["versions"][0] | {"taxa": {"include": [f"Taxon {number}"], "exclude": []}}
        actions.amend_version(paper=paper, start=_start(value), data=version, by=by, why="corrected")


def _start(value: dict[str, Any]) -> Any:
    from datetime import date

    return date.fromisoformat(value["versions"][0]["in_force_from"])


if __name__ == "__main__":
    set_up()
    prepare() if sys.argv[1:] == ["prepare"] else work()
