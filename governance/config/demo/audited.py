"""What the people of the demo ask of the audit, what their records look like over time, and heads of the seal."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import yaml
from django.utils import timezone

from accessions.people.models import User
from accessions.people.sealing import head
from governance.audit.actions.asking_again import ask_again
from governance.audit.actions.quality import count_all, note_as_right
from governance.audit.actions.saving import save_question
from governance.audit.actions.sealing import check_now, note_head
from governance.audit.asking import Asked
from governance.audit.questions import QUESTION
from governance.audit.questions.quality import RULE
from governance.audit.questions.quality.rule import row_said
from governance.config.demo.story import days_ago

COUNTED_DAYS_AGO: Final = (42, 28, 14)
"""Days of the story on which the questions of data quality were counted, so that there is a trend."""


def count_quality(days: int) -> None:
    """What the questions of data quality found on a day of the story."""
    with days_ago(days):
        count_all(timezone.localdate())


def add_audit(path: Path) -> None:
    """Saved questions with a first answer, a head that stands in the ledger, a check of the seal."""
    written = yaml.safe_load(path.read_text("utf-8"))
    for row in written["questions"]:
        _save(row)
    for row in written["right_as_they_are"]:
        _note(row)
    count_all(timezone.localdate())


def keep_heads(path: Path) -> None:
    """Last of all: the seal is checked, and its head noted where it is kept."""
    for row in yaml.safe_load(path.read_text("utf-8"))["heads"]:
        number, sha256 = head()
        if not number:  # the whole demo within one transaction, as tests make it: nothing is sealed before its end
            return
        by = User.objects.get(username=row["by"])
        note_head(number=number, sha256=sha256, where=row["where"], by=by)
        check_now(by=by)


def _note(row: dict[str, Any]) -> None:
    """Somebody looked at the first row that a question of data quality finds, and it is right."""
    by, today = User.objects.get(username=row["by"]), timezone.localdate()
    found = QUESTION[row["question"]].answer(Asked({}, today, by)).rows.between(0, 1)[0]
    said = row_said(RULE[row["question"]], today, found.key, by)
    assert said is not None
    note_as_right(question=row["question"], row=found.key, digest=said[1], why=row["why"], by=by, today=today)


def _save(row: dict[str, Any]) -> None:
    by = User.objects.get(username=row["by"])
    saved = save_question(
        values={"title": row["title"], "is_shared": row.get("is_shared", False), "schedule": row["schedule"]},
        ready=row["ready"], asked=row.get("values", {}), composed={}, by=by,
    )  # fmt: skip
    ask_again(saved=saved, by=by)
