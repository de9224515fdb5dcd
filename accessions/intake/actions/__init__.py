"""Writes of the room: a file received, its columns mapped, its rows committed or taken back, or the file discarded."""

from accessions.intake.actions.arrange import KEEP, TAKE, answer_changes, choose_accession, confirm_dates, map_columns
from accessions.intake.actions.commit import commit, load_file
from accessions.intake.actions.errors import IntakeError
from accessions.intake.actions.receive import discard, receive
from accessions.intake.actions.taking_back import take_back

__all__ = [
    "KEEP",
    "TAKE",
    "IntakeError",
    "answer_changes",
    "choose_accession",
    "commit",
    "confirm_dates",
    "discard",
    "load_file",
    "map_columns",
    "receive",
    "take_back",
]
