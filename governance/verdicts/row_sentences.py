"""The sentence of a row, with the words of the event and the name that were judged."""

from __future__ import annotations

from governance.engine.explain import Words, fill
from governance.verdicts.feed.rules import house_of
from governance.verdicts.models import Standing
from governance.verdicts.sentences import event_words, name_words
from governance.verdicts.spoken import spoken, spoken_words


class SentenceFiller:
    """Fills the sentences of a page or a file, in the language of its reader; what was read once is kept.

    The words of an event depend on the house rules, and so on the run; those of a name do not.

    Args:
        days_as_written: for files (``spoken``).
    """

    def __init__(self, *, days_as_written: bool = False) -> None:
        self._days_as_written = days_as_written
        self._events: dict[tuple[int, int], Words] = {}
        self._names: dict[int, Words] = {}

    def fill(self, sentence: str, standing: Standing) -> str:
        """A sentence of an outcome for the specimen of this standing."""
        sentence = spoken(sentence, days_as_written=self._days_as_written)
        if "{" not in sentence:
            return sentence
        event, name = (standing.event_id, standing.run_id), standing.name_id
        if event not in self._events:
            house = house_of(standing.run.house) if standing.run.house else None
            self._events[event] = spoken_words(
                event_words(standing.event, house), days_as_written=self._days_as_written
            )
        if name not in self._names:
            self._names[name] = spoken_words(name_words(standing.name))
        return fill(sentence, self._events[event] | self._names[name])
