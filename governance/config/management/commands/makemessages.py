"""Django's command, set so that a catalogue changes only where a text does."""

from __future__ import annotations

from typing import Final

from django.core.management.base import CommandParser
from django.core.management.commands.makemessages import Command as Makemessages

ALIASES: Final = ("--keyword=_t", "--keyword=_now", "--keyword=_lazy")
"""How modules that need both of them call ``gettext`` or ``gettext_lazy`` beside ``_``."""


class Command(Makemessages):
    """One catalogue for all rooms, sorted by text, without places and line breaks.

    Nothing is guessed: a text that is only like another one would bring a sentence that says something else.
    """

    xgettext_options = [*Makemessages.xgettext_options, *ALIASES, "--sort-output"]
    msgmerge_options = [*Makemessages.msgmerge_options, "--sort-output", "--no-fuzzy-matching"]
    msgattrib_options = [*Makemessages.msgattrib_options, "--sort-output"]

    def add_arguments(self, parser: CommandParser) -> None:
        super().add_arguments(parser)
        parser.set_defaults(no_wrap=True, add_location="never", no_obsolete=True, ignore_patterns=["tests", ".*"])
