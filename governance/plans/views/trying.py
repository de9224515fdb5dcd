"""A form of a plan sent by one of two buttons: saved, or tried so that the check before and after can be compared."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils import timezone

from governance.plans.actions.locking import PlanError
from governance.plans.actions.what_if import WhatIf, what_if
from governance.plans.models import FieldPlan

BUTTON = "what_if"
"""Name of the button that tries."""


class _Refusing(Protocol):
    def refuse(self, error: ValidationError) -> None: ...


@dataclass(frozen=True)
class Outcome:
    """saved: what the action returned, once it was saved. tried: what it would change. Neither: it was refused."""

    is_saved: bool = False
    saved: Any = None
    tried: WhatIf | None = None


def save_or_try(request: HttpRequest, plan: FieldPlan, form: _Refusing, act: Callable[[], Any]) -> Outcome:
    """Do what the button says; what is refused stands in the form."""
    try:
        if BUTTON in request.POST:
            return Outcome(tried=what_if(plan, act, today=timezone.localdate()))
        return Outcome(is_saved=True, saved=act())
    except PlanError as error:
        form.refuse(ValidationError(str(error)))
    except ValidationError as error:
        form.refuse(error)
    return Outcome()


def newest_number(plan: FieldPlan) -> int | None:
    """The number of the version that a person has before them."""
    return plan.versions.order_by("-number").values_list("number", flat=True).first()
