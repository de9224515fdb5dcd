"""A country for the bench of reports: all of the large register lies in it, with papers that have terms, and uses.

200,000 specimens, 300 papers and 2,000 entries of uses with ten specimens each, unless told otherwise. Invented.
"""

from __future__ import annotations

import random
from datetime import date, timedelta

from django.db import connection, transaction

from accessions.material.models import SamplingEvent, Specimen
from accessions.people.models import User
from governance.papers.models import Paper
from governance.usedesk.models import LoanReturn, MadeUse, Recipient, Sequence, UseItem
from tests.bench.desk_register import fill_desk
from tests.bench.lists_register import Say, build

COUNTRY = "GE"
USES, PER_USE = 2_000, 10
_DEEDS = ("loan", "loan", "loan", "sequencing", "imaging", "extraction", "publication", "gift", "study", "loss")


def build_country(specimens: int, say: Say, uses: int = USES, seed: int = 5) -> None:
    """Fill an empty database."""
    build(specimens, say)
    fill_desk(1)
    with transaction.atomic():
        _one_country()
        fill_uses(random.Random(seed), uses)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    say(f"{uses:,} uses")


def _one_country() -> None:
    SamplingEvent.objects.update(country=COUNTRY, country_code=COUNTRY)
    Paper.objects.update(jurisdiction=COUNTRY)


def fill_uses(lot: random.Random, count: int) -> None:
    user = User.objects.get(username="desk-bench")
    borrowers = [Recipient.objects.create(name=f"Institute {n}", kind=0, country="IS") for n in range(20)]
    keys = list(Specimen.objects.order_by("pk").values_list("pk", flat=True))
    lot.shuffle(keys)
    for number in range(count):
        deed = _DEEDS[number % len(_DEEDS)]
        on = date(2024, 1, 1) + timedelta(days=number % 1_000)
        made = MadeUse.objects.create(
            reference=f"U-{number:05}", deed=deed, on=on, recipient=lot.choice(borrowers), recorded_by=user,
            citation="A paper" if deed == "publication" else "", use=None if deed in ("loss", "publication") else 1,
        )  # fmt: skip
        _items(made, keys[number * PER_USE % len(keys) :][:PER_USE], user)


def _items(made: MadeUse, keys: list[int], user: User) -> None:
    """Every other loan came back."""
    back = LoanReturn.objects.create(use=made, on=made.on, recorded_by=user) if made.pk % 2 else None
    back = back if made.deed == "loan" else None
    rows = UseItem.objects.bulk_create(
        UseItem(use=made, specimen_id=key, answer=0, returned=back, is_used_up=made.deed == "loss") for key in keys
    )
    if made.deed == "sequencing":
        Sequence.objects.bulk_create(Sequence(item=row, accession_number=f"ZZ{row.pk:07}") for row in rows)
