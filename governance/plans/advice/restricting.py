"""Advice that tells what stands in a restricted paper: for those who may read it."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from typing import Any

from django.utils.translation import gettext as _

from governance.papers.models import Paper
from governance.papers.restriction import is_readable, restricted_words
from governance.plans.advice.saying import Advice


def without_secrets(advice: Iterable[Advice], reader: Any) -> list[Advice]:
    """The advice as a person may read it: one query, none where nothing is secret.

    What is shortened loses its day as well, which would tell what the paper asks for.
    """
    shown = list(advice)
    wanted = frozenset().union(*(one.secret for one in shown))
    closed = {
        paper.pk: paper
        for paper in (Paper.objects.filter(pk__in=wanted) if wanted else ())
        if not is_readable(paper, reader)
    }
    open_ones = [one for one in shown if not one.secret & closed.keys()]
    return open_ones + [_shortened(one, closed) for one in shown if one.secret & closed.keys()]


def _shortened(one: Advice, closed: dict[int, Paper]) -> Advice:
    paper = closed[min(one.secret & closed.keys())]
    words = _("%(paper)s asks for something before the trip.") % {"paper": paper.reference}
    return dataclasses.replace(
        one, sentence=f"{words} {restricted_words(paper.restricted_to)}", by_day=None, is_late=False, deed=None
    )
