"""``manage.py``, with migrations that take a fraction of their time: ``python -m tests.quick_manage migrate``.

For each new model Django makes anew the classes of all models that are related to it by whatever way: here all of
them, through people and history. A new model changes none of them; it adds only the way back. So here the class of the
new one alone is made, and the statements that reach the database are the same. That they are is shown by
``test_fresh_starts_over`` in tests/functional/test_demo_command.py: it holds the tables of ``manage.py demo --fresh``,
which migrates as everybody does, against tables made so.
"""

from __future__ import annotations

from django.db.migrations.state import ModelState, ProjectState


def add_model(self: ProjectState, model_state: ModelState) -> None:
    """As in Django 5.2, but for its last line, which would be ``self.reload_model(...)``."""
    key = model_state.app_label, model_state.name_lower
    self.models[key] = model_state
    if self._relations is not None:  # type: ignore[attr-defined]
        self.resolve_model_relations(key)  # type: ignore[attr-defined]
    if "apps" in self.__dict__:
        self.apps.render_multiple([model_state])


if __name__ == "__main__":
    from manage import main

    ProjectState.add_model = add_model  # type: ignore[method-assign]
    main()
