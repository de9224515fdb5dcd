"""TRADE 7.4, question 23: what did the terms say on the day of the loan; and did the register know them then?

The loan left on 2 March 2026. What was entered is dated by its history, which the tests set.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import Specimen
from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.audit.asking import UnknownValueError
from governance.audit.clocks import as_known, moment_of
from governance.audit.clocks.moments import tracked_models
from governance.engine.uses import Answer as Word
from governance.engine.uses import Said, Use
from governance.papers.models import Paper, PaperLink, PaperVersion, UseTerm
from tests.factories import register, usedesk
from tests.integration.audit.put import column, put, told

pytestmark = pytest.mark.django_db

KEY = "terms-on-day-of-loan"
BEFORE, AFTER = datetime(2026, 3, 1, 9, tzinfo=UTC), datetime(2026, 3, 3, 9, tzinfo=UTC)
THAT_DAY = datetime(2026, 3, 2, 20, tzinfo=UTC)


def dated(model: Any, at: datetime, **where: Any) -> None:
    model.history.filter(**where).update(history_date=at)


def paper(reference: str, specimen: Specimen, linked: datetime = BEFORE) -> Paper:
    made = register.paper(reference)
    link = register.link(made, specimen=specimen)
    PaperLink.objects.filter(pk=link.pk).update(linked_at=linked)
    return made


def version(
    of: Paper, first: str, said: Said | None, read: datetime = BEFORE, entered: datetime = BEFORE
) -> PaperVersion:
    made = register.version(of, first, None)
    dated(PaperVersion, entered, id=made.pk)
    if said is not None:
        term = usedesk.use_term(
            made, Use.LOAN_AT_HOME, said, clause=f"Zzclause {of.reference}", clause_number="7.2", page=3
        )
        dated(UseTerm, read, id=term.pk)
    return made


def lent(*specimens: Specimen, **values: Any) -> Any:
    return usedesk.made_use(*specimens, use=int(Use.LOAN_AT_HOME), **({"reference": "L-1"} | values))


def test_the_version_of_that_day_and_what_was_known_of_it() -> None:
    """A: known, on the evening of the day itself. B: its second version began later, so the first binds. C: read the
    day after. D: what was known then was corrected since, from silent. E: linked the day after. F: entered the day
    after. G: never read for loans. H: no version had started."""
    specimen = register.specimen("S-1")
    version(paper("A", specimen), "2020-01-01", Said.ALLOWED, read=THAT_DAY)
    of_b = paper("B", specimen)
    version(of_b, "2020-01-01", Said.ALLOWED)
    version(of_b, "2026-03-03", Said.NOT_ALLOWED)
    version(paper("C", specimen), "2020-01-01", Said.ASK_FIRST, read=AFTER)
    corrected = version(paper("D", specimen), "2020-01-01", Said.SILENT)
    term = UseTerm.objects.get(version=corrected)
    term.said, term.clause = int(Said.NOT_ALLOWED), "No loans."
    term.save()
    version(paper("E", specimen, linked=AFTER), "2020-01-01", Said.ALLOWED)
    version(paper("F", specimen), "2020-01-01", Said.ALLOWED, entered=AFTER)
    version(paper("G", specimen), "2020-01-01", None)
    version(paper("H", specimen), "2026-03-03", Said.ALLOWED)
    lent(specimen, answer=int(Word.ASK_FIRST))
    found = put(KEY, loan="L-1")
    assert column(found, "paper", "version_from", "said", "known") == [
        ("A", date(2020, 1, 1), "Allowed", "Yes"),
        ("B", date(2020, 1, 1), "Allowed", "Yes"),
        ("C", date(2020, 1, 1), "Ask the provider first", "No: it was read on 3 March 2026"),
        ("D", date(2020, 1, 1), "Not allowed", "Otherwise: “Silent” was entered"),
        ("E", date(2020, 1, 1), "Allowed", "No: the paper was linked on 3 March 2026"),
        ("F", date(2020, 1, 1), "Allowed", "No: this version was entered on 3 March 2026"),
        ("G", date(2020, 1, 1), "Not read for this use", "No: nobody has read it for this use"),
        ("H", None, "No version had started", ""),
    ]
    assert found.sentence == (
        "On 2 March 2026, the day of L-1, 8 papers bore on its material: Allowed (4), Ask the provider first (1), Not "
        "allowed (1), Not read for this use (1) and No version had started (1). The answer of the desk that day: Ask "
        "the provider first. The terms of 5 were not known in the register then as they stand."
    )
    assert column(found, "place", "since")[0] == ("clause 7.2, page 3", THAT_DAY)


def test_a_link_that_was_taken_off_and_made_again_was_known() -> None:
    """Linked from 1 January, off on 1 April, on again in May: on 2 March it was linked. Off on 1 March: it was not."""
    specimen = register.specimen("S-1")
    for name, off in (("KNEW", datetime(2026, 4, 1, tzinfo=UTC)), ("NOT", datetime(2026, 3, 1, tzinfo=UTC))):
        one = paper(name, specimen, linked=datetime(2026, 1, 1, tzinfo=UTC))
        version(one, "2020-01-01", Said.ALLOWED)
        PaperLink.objects.filter(paper=one).update(unlinked_at=off, unlinked_by=register.person())
        again = register.link(one, specimen=specimen)
        PaperLink.objects.filter(pk=again.pk).update(linked_at=datetime(2026, 5, 1, tzinfo=UTC))
    lent(specimen)
    assert column(put(KEY), "paper", "known") == [
        ("KNEW", "Yes"), ("NOT", "No: the paper was linked on 1 May 2026"),
    ]  # fmt: skip


def test_loans_of_a_specimen_and_of_its_parent() -> None:
    """An extract has the papers of what it was taken from. Of several loans the newest is told in the sentence."""
    specimen = register.specimen("S-1")
    extract = register.specimen("E-1", parent=specimen, kind="part")
    version(paper("A", specimen), "2026-03-01", Said.ALLOWED)
    lent(extract)
    lent(extract, on=date(2026, 2, 1), reference="L-0")
    lent(register.specimen("OTHER"), reference="L-2", on=date(2026, 11, 1))
    found = put(KEY, specimen="E-1")
    assert column(found, "entry", "said") == [("L-1", "Allowed"), ("L-0", "No version had started")]
    assert found.sentence.startswith("2 loans of E-1 are on record. On 2 March 2026, the day of L-1, 1 paper bore")
    assert column(put(KEY, specimen="E-1", loan="L-0"), "entry") == ["L-0"]
    assert put(KEY).sentence == "No paper on file bears on the material of L-2 of 1 November 2026."
    assert put(KEY, specimen="S-1").sentence == "No loan of S-1 is on record."
    for values in ({"loan": "L-9"}, {"loan": "#999"}, {"loan": "L-2", "specimen": "E-1"}):
        with pytest.raises(UnknownValueError) as refused:
            put(KEY, **values)
        assert refused.value.parameter == "loan"


def test_asked_as_known_on_an_earlier_day() -> None:
    """Read on the 1st as silent, on the 3rd as forbidden, on the 5th as allowed. On the evening of the 1st it was known
    as it stood then; who asks as of the 4th or the 6th learns that it was entered otherwise on the day of the loan."""
    specimen = register.specimen("S-1")
    made = version(paper("A", specimen), "2020-01-01", Said.SILENT)
    term = UseTerm.objects.get(version=made)
    for day, said in ((3, Said.NOT_ALLOWED), (5, Said.ALLOWED)):
        term.said, term.clause = int(said), "A clause."
        term.save()
        newest = UseTerm.history.filter(id=term.pk).latest("history_id")
        dated(UseTerm, datetime(2026, 3, day, 9, tzinfo=UTC), history_id=newest.history_id)
    lent(specimen)
    first = datetime(2026, 2, 1, tzinfo=UTC)
    for model in tracked_models():
        if model is not UseTerm:
            dated(model, first)
    asked = {}
    for day in (1, 4, 6):
        moment = moment_of(date(2026, 3, day))
        with as_known(moment):
            asked[day] = column(put(KEY, loan="L-1", known_at=moment), "said", "known")
    assert asked == {
        1: [("Silent", "Yes")], 4: [("Not allowed", "Otherwise: “Silent” was entered")],
        6: [("Allowed", "Otherwise: “Silent” was entered")],
    }  # fmt: skip


def test_clauses_of_a_restricted_paper_stay_with_its_readers() -> None:
    specimen = register.specimen("S-1")
    one = paper("A", specimen)
    version(one, "2020-01-01", Said.ALLOWED)
    lent(specimen)
    Paper.objects.filter(pk=one.pk).update(restricted_to=role_bits([Role.REGISTRAR]), restricted_why="a secret")
    found = put(KEY, Role.AUDITOR)
    assert "Zzclause" in told(put(KEY)) and "Zz" not in told(found)
    assert column(found, "said", "place") == [("Allowed", "")]
    assert found.kept_back == ("The clauses of 1 paper are for its readers.",)


@pytest.mark.parametrize("count", [1, 4])
def test_queries_whatever_the_number(count: int, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    register.person(Role.REGISTRAR)
    specimen = register.specimen("S-1")
    for number in range(count):
        version(paper(f"P-{number}", specimen), "2020-01-01", Said.ALLOWED)
        lent(specimen, reference=f"L-{number}")
    with django_assert_num_queries(22):
        assert len(column(put(KEY, specimen="S-1"), "entry")) == count * count
