"""Writes of the room: a file received, its columns mapped, its rows committed, or the file discarded."""

from accessions.intake.actions.commit import commit, load_file
from accessions.intake.actions.errors import IntakeError
from accessions.intake.actions.receive import discard, receive

__all__ = ["IntakeError", "commit", "discard", "load_file", "receive"]
