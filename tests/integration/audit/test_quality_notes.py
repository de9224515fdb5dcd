"""Data quality: a row noted as right as it is leaves the count until it says something else; the counts of each day."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from io import StringIO
from unittest import mock

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from accessions.material.models import SamplingEvent
from accessions.people.access import NotAllowedError
from accessions.people.models import Role
from governance.audit.actions import quality as actions
from governance.audit.actions.errors import AuditError
from governance.audit.models import QualityCount, QualityNote
from governance.audit.questions.quality import RULE, RULES, overview
from governance.audit.questions.quality.rule import counted, row_said, sorted_out
from tests.factories import register
from tests.factories.audit import quality_note
from tests.integration.audit.put import column, links, put

pytestmark = pytest.mark.django_db

KEY = "quality-without-date"
WHY = "The label is lost; the field book has no day."


@pytest.fixture
def today() -> date:
    return timezone.localdate()


@pytest.fixture
def events() -> list[SamplingEvent]:
    """Two events without a date."""
    return [register.event(number, "") for number in ("A", "B")]


@pytest.fixture
def seen(events: list[SamplingEvent], today: date) -> tuple[str, str]:
    """The key of the row of event A, and the digest of what it says."""
    key = f"event:{events[0].pk}"
    said = row_said(RULE[KEY], today, key, None)
    assert said is not None
    return key, said[1]


def noted(seen: tuple[str, str], today: date, role: str = Role.REGISTRAR, why: str = WHY) -> QualityNote:
    return actions.note_as_right(question=KEY, row=seen[0], digest=seen[1], why=why, by=register.person(role),
                                 today=today)  # fmt: skip


class TestNoting:
    def test_a_noted_row_leaves_the_count(self, seen: tuple[str, str], today: date) -> None:
        """It stands among those that were noted, with reason and name; the count of the day follows at once."""
        assert column(put(KEY), "event") == ["A", "B"] and put(KEY).count == 2
        made = noted(seen, today)
        found = put(KEY)
        assert column(found, "event") == ["B"] and found.count == 1
        assert "1 row was looked at and noted as right as it is; it is not counted." in found.notes
        assert column(put(KEY, show="noted"), "event", "why", "noted_by") == [("A", WHY, "Nora Registrar")]
        assert made.said[:2] == ["A", ""]
        assert QualityCount.objects.values_list("question", "on", "count", "noted").get() == (KEY, today, 1, 1)
        assert QualityNote.history.get().history_change_reason == WHY  # type: ignore[attr-defined]

    def test_it_counts_again_once_it_says_something_else(
        self, seen: tuple[str, str], events: list[SamplingEvent], today: date
    ) -> None:  # fmt: skip
        """A specimen more is another row; noted anew, the older note is withdrawn with its reason."""
        older = noted(seen, today)
        register.specimen(event=events[0])
        found = put(KEY)
        assert found.count == 2 and any("it counts again" in words for words in found.notes)
        said = row_said(RULE[KEY], today, seen[0], None)
        assert said is not None
        noted((seen[0], said[1]), today)
        older.refresh_from_db()
        assert (put(KEY).count, older.withdrawn_reason) == (1, "what the row says changed")

    def test_taken_back(self, seen: tuple[str, str], today: date) -> None:
        made, by = noted(seen, today), register.person(Role.COMPLIANCE)
        actions.take_note_back(of=made, why="A date was found.", by=by, today=today)
        made.refresh_from_db()
        assert (put(KEY).count, made.withdrawn_by, made.withdrawn_reason) == (2, by, "A date was found.")
        with pytest.raises(AuditError, match="taken back already"):
            actions.take_note_back(of=made, why="Again.", by=by, today=today)

    @pytest.mark.parametrize(("change", "words"), [
        (lambda: {"why": "  "}, "Say why"), (lambda: {"why": "x" * 301}, "301 letters"),
        (lambda: {"digest": "0" * 64}, "says something else"), (lambda: {"row": "event:0"}, "not found any more"),
        (lambda: {"row": "event:zz"}, "not found any more"), (lambda: {"row": "zz:1"}, "not found any more"),
        (lambda: {"question": "zz"}, "no question of data quality"),
    ])  # fmt: skip
    def test_refused(
        self, seen: tuple[str, str], today: date, change: Callable[[], dict[str, str]], words: str
    ) -> None:  # fmt: skip
        told = {"question": KEY, "row": seen[0], "digest": seen[1], "why": WHY} | change()
        with pytest.raises(AuditError, match=words):
            actions.note_as_right(**told, by=register.person(Role.REGISTRAR), today=today)
        assert not QualityNote.objects.exists()

    def test_two_at_once(self, seen: tuple[str, str], today: date) -> None:
        """The second finds the row noted by the first: the database holds one."""
        noted(seen, today)
        with pytest.raises(AuditError, match="noted this row as right already"):
            noted(seen, today)

    def test_who_may(self, seen: tuple[str, str], today: date) -> None:
        """A decision: curators see the row, and no way to note it."""
        with pytest.raises(NotAllowedError):
            noted(seen, today, Role.CURATOR)
        assert "look" not in [one.key for one in put(KEY, Role.CURATOR).columns]
        (first, _second) = links(put(KEY), "look")
        assert first == f"/audit/quality/{KEY}/note/?row=event%3A{seen[0].partition(':')[2]}"

    def test_rows_of_a_list_leave_it_in_the_same_way(self, today: date) -> None:
        """Rules that read all their rows at once: two agents of one name."""
        one, other = register.agent("Jon Ek"), register.agent("Jon Ek")
        key = f"agents:{one.pk}-{other.pk}"
        said = row_said(RULE["quality-same-people"], today, key, None)
        assert said is not None
        quality_note(key, "quality-same-people", digest=said[1])
        assert put("quality-same-people").count == 0
        assert set(sorted_out(RULE["quality-same-people"], today).noted) == {key}

    def test_queries(
        self, seen: tuple[str, str], today: date, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:  # fmt: skip
        """The reader; the notes, their rows and what these say (2: events, specimens); the count; a slice and what it
        says (2). The same with more rows."""
        noted(seen, today)
        for number in range(5):
            register.event(f"C{number}", "")
        with django_assert_num_queries(9):
            put(KEY).rows.between(0, 25)


class TestCounting:
    def test_every_day(self, events: list[SamplingEvent], today: date) -> None:
        """The command counts all questions; a second run of the day replaces the first."""
        written = StringIO()
        call_command("count_quality", stdout=written)
        assert f"{KEY}: 2 to be looked at, 0 noted as right" in written.getvalue()
        assert QualityCount.objects.count() == len(RULES)
        events[0].delete()
        call_command("count_quality", stdout=written)
        assert QualityCount.objects.get(question=KEY).count == 1
        assert counted(RULE[KEY], today) == (1, 0)

    def test_trend(self) -> None:
        """Over 10 days from 4 to 2, of at most 4: at the left end of a box of 120 by 24 the top, 2 below the edge, at
        the right end half-way between 2 and 22."""
        first = date(2026, 11, 1)
        trend = overview.trend_of([(first, 4), (first + timedelta(5), 4), (first + timedelta(10), 2)])
        assert trend is not None
        assert (trend.points, trend.change, trend.fewer, trend.days) == ("0.0,2.0 60.0,2.0 120.0,12.0", -2, 2, 10)
        assert overview.trend_of([(first, 4)]) is None

    def test_of_a_large_register_the_kept_counts_show(
        self, events: list[SamplingEvent], today: date, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:  # fmt: skip
        """Counted yesterday: 7. What was never counted is said not to be."""
        register.specimen(event=events[0])
        QualityCount.objects.create(question=KEY, on=today - timedelta(1), count=7, noted=1)
        with mock.patch.object(overview, "COUNTED_AT_ONCE", 0), django_assert_num_queries(2):
            found = overview.overview(today)
        line = found.lines[0]
        assert (line.rule.key, line.count, line.noted, line.on) == (KEY, 7, 1, today - timedelta(1))
        assert (found.found, found.rows, found.uncounted) == (1, 7, len(RULES) - 1)


class TestPages:
    @pytest.fixture
    def registrar(self, client: Client) -> Client:
        client.force_login(register.person(Role.REGISTRAR))
        return client

    def test_overview(self, registrar: Client, events: list[SamplingEvent]) -> None:
        """What is worst stands first."""
        page = registrar.get(reverse("audit:quality")).content.decode()
        assert "1 question finds 2 rows to be looked at." in page
        assert page.index(reverse("audit:ask", args=[KEY])) < page.index(reverse("audit:ask", args=["quality-century"]))

    def test_note_and_take_back(self, registrar: Client, seen: tuple[str, str]) -> None:
        address = reverse("audit:quality-note", args=[KEY]) + f"?row={seen[0]}"
        assert WHY not in registrar.get(address).content.decode()
        refused = registrar.post(address, {"why": "", "seen": seen[1]})
        assert refused.status_code == 422 and not QualityNote.objects.exists()
        done = registrar.post(address, {"why": WHY, "seen": seen[1]}, follow=True)
        assert done.redirect_chain[0][0] == reverse("audit:ask", args=[KEY])
        assert "left out until it says something else" in done.content.decode()
        back = reverse("audit:quality-withdraw", args=[QualityNote.objects.get().pk])
        assert WHY in registrar.get(back).content.decode()
        registrar.post(back, {"why": "A date was found."})
        assert QualityNote.objects.get().withdrawn_reason == "A date was found."
        assert registrar.post(back, {"why": "Again."}).status_code == 422

    def test_a_row_that_is_gone(self, registrar: Client) -> None:
        address = reverse("audit:quality-note", args=[KEY]) + "?row=event:1"
        assert "This row is not found any more." in registrar.get(address).content.decode()
        assert registrar.get(reverse("audit:quality-note", args=["zz"])).status_code == 404

    def test_counted_in_the_background(self, registrar: Client, events: list[SamplingEvent]) -> None:
        assert registrar.post(reverse("audit:quality-count")).status_code == 302
        assert QualityCount.objects.get(question=KEY).count == 2
