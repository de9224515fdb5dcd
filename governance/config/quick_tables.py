"""All tables from nothing in a fraction of the time that ``migrate`` takes.

For each new model Django makes anew the classes of all models that are related to it by whatever way: here all of
them, through people and history. A new model changes none of them; it adds only the way back. So here the class of the
new one alone is made, and the statements that reach the database are the same: a test holds the tables that the demo
makes so against those of ``manage.py migrate`` (tests/functional/test_demo_command.py).
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.db.migrations.state import ModelState, ProjectState


@contextmanager
def quick_tables() -> Iterator[None]:
    """Within it migrations add models the quick way; for a database that is empty."""
    usual = ProjectState.add_model
    ProjectState.add_model = _add_model  # type: ignore[method-assign]
    try:
        yield
    finally:
        ProjectState.add_model = usual  # type: ignore[method-assign]


def _add_model(self: ProjectState, model_state: ModelState) -> None:
    """As in Django 5.2, but for its last line, which would be ``self.reload_model(...)``."""
    key = model_state.app_label, model_state.name_lower
    self.models[key] = model_state
    if self._relations is not None:  # type: ignore[attr-defined]
        self.resolve_model_relations(key)  # type: ignore[attr-defined]
    if "apps" in self.__dict__:
        self.apps.render_multiple([model_state])
