"""Loads a list of taxa into the classification.

    python manage.py load_taxa odonata.csv --name "Odonata of the house" --source "House list of 2026" --by curator

Columns: scientificName (or name), taxonRank (or rank), and either parentNameUsage (or parent) or the higher names by
rank (kingdom, phylum, class, order ...).
"""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from accessions.intake.problems import FileProblems
from accessions.intake.taxa import load_taxa_file
from accessions.people.access import NotAllowedError
from accessions.people.models import User


class Command(BaseCommand):
    """Says how many taxa were added."""

    help = "Load a list of taxa (CSV, TSV, XLSX, ODS) into the classification."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file")
        parser.add_argument("--name", required=True, help="name of the list")
        parser.add_argument("--source", required=True, help="where the list comes from")
        parser.add_argument("--checked-on", type=date.fromisoformat, help="day on which it was checked, YYYY-MM-DD")
        parser.add_argument("--by", required=True, help="sign-in name of the person who loads it")
        parser.add_argument("--why", default="List of taxa loaded")

    def handle(self, *args: Any, **options: Any) -> None:
        """Load the file; mistakes end the command with their words."""
        by = User.objects.filter(username=options["by"]).first()
        if by is None:
            raise CommandError(f"There is no person with the sign-in name {options['by']}.")
        try:
            loaded = load_taxa_file(
                options["file"], name=options["name"], source=options["source"], checked_on=options["checked_on"],
                by=by, why=options["why"],
            )  # fmt: skip
        except FileProblems as problems:
            raise CommandError(str(problems)) from problems
        except NotAllowedError as refused:
            raise CommandError(str(refused)) from refused
        self.stdout.write(f"{loaded.taxon_list}: {loaded.made:,} taxa added, {loaded.known:,} were there already.")
