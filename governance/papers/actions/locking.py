"""Two people at one paper: the second save sees that the paper is not what its writer saw."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from governance.papers.models import Paper
from governance.papers.queries import exchange_object, stamp


class ChangedMeanwhileError(Exception):
    """Somebody else saved the paper after this person opened it."""

    def __init__(self) -> None:
        super().__init__(
            _("Somebody else changed this paper while you wrote. Nothing of yours was saved; compare, and save again.")
        )


def locked(paper: Paper, seen: str | None) -> Paper:
    """The paper as it stands, locked until the end of the transaction.

    Args:
        seen: the stamp of what the writer saw; None skips the comparison (imports compare by themselves).

    Raises:
        ChangedMeanwhileError: it is no longer so.
    """
    standing = Paper.objects.select_for_update().get(pk=paper.pk)
    if seen is not None and stamp(exchange_object(standing, with_links=False)) != seen:
        raise ChangedMeanwhileError
    return Paper.objects.get(pk=paper.pk)
