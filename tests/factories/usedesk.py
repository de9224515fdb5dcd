"""Rows of the use desk for tests: minimal and valid; what matters to a test it sets itself."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from itertools import count
from typing import Any

from accessions.material.models import Specimen
from governance.engine.uses import Said, Use
from governance.papers.models import PaperVersion, TermsReading, UseTerm
from governance.usedesk.models import MadeUse, Recipient, RequestItem, UseItem, UseRequest
from tests.factories.register import person

_numbers = count(1)


def use_bits(*uses: Use) -> int:
    """The bits of some uses, as ``UseRequest.uses`` holds them."""
    return sum(1 << use for use in set(uses))


def recipient(**values: Any) -> Recipient:
    """A public institution in Iceland."""
    return Recipient.objects.create(**{"name": f"Recipient {next(_numbers)}", "kind": 0, "country": "IS", **values})


def use_request(*uses: Use, specimens: Iterable[Specimen] = (), **values: Any) -> UseRequest:
    """A request for a loan abroad, or for some uses, with some specimens in its basket."""
    number = next(_numbers)
    defaults = {
        "reference": f"UR-{number}", "title": f"Request {number}", "asked_on": date(2026, 11, 20),
        "uses": use_bits(*(uses or (Use.LOAN_ABROAD,))), "country": "IS", "commercial": "no",
    }  # fmt: skip
    request = UseRequest.objects.create(**{**defaults, **values})
    by = person("registrar")
    RequestItem.objects.bulk_create(
        RequestItem(request=request, specimen=specimen, added_by=by) for specimen in specimens
    )
    return request


def use_term(version: PaperVersion, use: Use, said: Said, **values: Any) -> UseTerm:
    """A clause on one use; the version counts as read."""
    TermsReading.objects.get_or_create(version=version, defaults={"read_by": person("registrar")})
    clause = "" if said == Said.SILENT else f"Clause on {use.code}."
    duties = "Tell the provider." if said == Said.WITH_DUTIES else ""
    return UseTerm.objects.create(
        **{"version": version, "use": int(use), "said": int(said), "clause": clause, "duties": duties, **values}
    )


def made_use(*specimens: Specimen, **values: Any) -> MadeUse:
    """A loan that left on a day, of some specimens."""
    defaults = {"deed": "loan", "on": date(2026, 3, 2), "recorded_by": person("registrar")}
    made = MadeUse.objects.create(**{**defaults, **values})
    for specimen in specimens:
        UseItem.objects.create(use=made, specimen=specimen)
    return made
