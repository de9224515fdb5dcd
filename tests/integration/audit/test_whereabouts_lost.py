"""TRADE 7.4, question 25: what was destroyed, consumed or lost; was the provider told?"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import Specimen
from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.papers.models import Paper
from governance.usedesk.models import MadeUse, UseItem
from tests.factories import duties, register, reports, usedesk
from tests.integration.audit.put import column, links, put, told

pytestmark = pytest.mark.django_db

KEY = "lost-or-consumed"


def entry(deed: str, specimen: Specimen, on: date, *, used_up: bool = False) -> MadeUse:
    made = usedesk.made_use(specimen, deed=deed, on=on)
    UseItem.objects.filter(use=made).update(is_used_up=used_up, amount="all of it" if used_up else "")
    return made


def test_what_became_of_it_and_who_was_told() -> None:
    """USED: a notice follows and was sent. LOST in 2025: the report to Georgia on 2025 was sent. DISPOSED: a notice is
    still owed. BROKEN in 2024: no report is about 2024. SWEDISH in 2025: no report is about Sweden. A leg that was
    taken leaves the specimen: nothing was lost."""
    swedish = register.event(country="SE")
    names = ("USED", "LOST", "DISPOSED", "BROKEN", "LEG")
    used, lost, disposed, broken, leg = (register.specimen(name) for name in names)
    duties.done_duty(kind="notice", what="Tell of it", use=entry("extraction", used, date(2026, 6, 1), used_up=True),
                     done_on=date(2026, 6, 20))  # fmt: skip
    entry("loss", lost, date(2025, 6, 1), used_up=True)
    duties.duty(kind="notice", what="Tell of it", use=entry("disposal", disposed, date(2026, 5, 1)),
                due_on=date(2026, 5, 31))  # fmt: skip
    entry("loss", broken, date(2024, 12, 31))
    entry("loss", register.specimen("SWEDISH", event=swedish), date(2025, 6, 1))
    entry("sampling", leg, date(2026, 6, 1))
    sent = reports.issued_report(reference="RP-1")
    reports.sending(sent, sent_on=date(2026, 2, 1))
    reports.issued_report(reference="RP-UNSENT", period_from=date(2024, 1, 1))
    without_losses = reports.issued_report(reference="RP-PART", period_from=date(2024, 1, 1), left_out=["losses"])
    reports.sending(without_losses, sent_on=date(2026, 2, 1))
    found = put(KEY)
    covered = "By a report about its country and time, sent on 1 February 2026"
    assert column(found, "specimen", "what", "told", "duty", "report") == [
        ("USED", "Used up", "Yes, on 20 June 2026", "Tell of it", None),
        ("DISPOSED", "Disposed of", "Late", "Tell of it", None),
        ("SWEDISH", "Lost or damaged", "No record says so", None, None),
        ("LOST", "Lost", covered, None, "RP-1"),
        ("BROKEN", "Lost or damaged", "No record says so", None, None),
    ]
    assert found.sentence == (
        "5 specimens and parts are on record as destroyed, used up, lost or damaged. Of 1 a notice or report to the "
        "provider was sent. Of 1 a report about its country and time was sent. Of 1 it is still to be told. Of 2 no "
        "record says that the provider was told."
    )
    assert found.missing[0].count == 2
    assert links(found, "report")[3] == f"/reports/{sent.pk}/"
    assert column(put(KEY, country="SE"), "specimen") == ["SWEDISH"]
    narrowed = put(KEY, **{"from": "2024-12-31", "to": "2025-06-01", "country": "GE"})
    assert column(narrowed, "specimen") == ["LOST", "BROKEN"]
    assert put(KEY, on=date(2026, 1, 31)).sentence.count("a report about") == 0, "it was sent the day after"


def test_what_tells_nobody_of_it() -> None:
    """Money that was paid is no notice; what was sent before the loss cannot tell of it; a report that the reader may
    not see is counted, and never taken for none."""
    entries = [entry("loss", register.specimen(), date(2026, 6, 1)) for _ in range(2)]
    duties.done_duty(kind="payment", use=entries[0], done_on=date(2026, 7, 1))
    early = reports.issued_report(reference="RP-1", period_from=date(2026, 1, 1), period_to=date(2026, 12, 31))
    reports.sending(early, sent_on=date(2026, 5, 1))
    assert column(put(KEY), "told") == ["No record says so"] * 2
    closed = register.paper("CLOSED", restricted_to=role_bits([Role.REGISTRAR]), restricted_why="a secret")
    reports.sending(reports.issued_report(reference="RP-2", paper=closed), sent_on=date(2026, 7, 1))
    (kept,) = put(KEY, Role.CURATOR).kept_back
    assert kept.startswith("1 report to a provider that was sent is not open to you")


def test_words_of_a_restricted_paper_stay_with_its_readers() -> None:
    paper = register.paper("CLOSED")
    made = entry("disposal", register.specimen(), date(2026, 5, 1))
    duties.duty(kind="notice", what="Zzwhat", paper=paper, use=made)
    Paper.objects.update(restricted_to=role_bits([Role.REGISTRAR]), restricted_why="a secret")
    found = put(KEY, Role.CURATOR)
    assert "Zzwhat" in told(put(KEY)) and "Zz" not in told(found)
    assert column(found, "told", "duty") == [("Coming", "Give notice")]
    assert found.kept_back == ("Of 1 duty the words are for readers of its paper.",)


@pytest.mark.parametrize("count", [1, 4])
def test_queries_whatever_the_number(count: int, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)
    for number in range(count):
        made: Any = entry("loss", register.specimen(accession=register.accession(f"A-{number}")), date(2026, 5, 1))
        duties.duty(kind="notice", use=made, paper=register.paper(f"P-{number}"))
    with django_assert_num_queries(7):
        assert len(column(put(KEY), "specimen")) == count
