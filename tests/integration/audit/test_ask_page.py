"""The list of questions and the page that asks one: form, answer, both clocks, what is wrong, and how many queries."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any
from unittest import mock

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from accessions.people.history import record
from accessions.people.models import Role
from governance.audit.models import SavedQuestion
from tests.factories import audit, register
from tests.integration.test_access_sweep import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def own_questions() -> Iterator[None]:
    with audit.also_asked(audit.WHOLE, audit.OF_ACCESSION):
        yield


def ask(key: str, role: str = Role.AUDITOR, **told: Any) -> Any:
    return signed_in(role).get(reverse("audit:ask", args=[key]), told)


def page(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


class TestList:
    def test_questions_stand_in_groups_with_what_they_show(self) -> None:
        found = signed_in(Role.VOLUNTEER).get(reverse("audit:questions"))
        assert "What lies off the line?" in page(found)
        assert "All its specimens." in page(found)

    def test_words_narrow_it_and_none_says_so(self) -> None:
        client = signed_in(Role.AUDITOR)
        found = client.get(reverse("audit:questions"), {"q": "LIES line off"})
        assert [one.key for group in found.context["groups"] for one in group.questions] == ["test-whole"]
        assert "No question holds these words" in page(client.get(reverse("audit:questions"), {"q": "zeppelin"}))

    def test_saved_ones_are_counted_own_and_shared(self) -> None:
        client = signed_in(Role.AUDITOR)
        own, other = register.person(username=f"sweeping-{Role.AUDITOR}"), register.person(Role.CURATOR)
        for owner, title, is_shared in ((own, "A", False), (other, "B", True), (other, "C", False)):
            SavedQuestion.objects.create(owner=owner, saved_by=owner, title=title, is_shared=is_shared, ready="x")
        assert client.get(reverse("audit:questions")).context["saved"] == 2


class TestAnswer:
    def test_page_shows_all_that_an_answer_has(self) -> None:
        told = page(ask("test-whole"))
        for words in ("<b>3 specimens lie off the line.</b>", "from 0 specimens and 0 papers.", "Off the line (m)",
                      '<a href="/specimens/1/">LMN-1</a>', ">12.5<", ">1,234,567<", ">17 Jun 2024<",
                      ">17 Jun 2024, 14:22<", "Costa Rica", "Outside terms", "Baetis &lt;sp.&gt;", "no strip",
                      "Specimens without coordinates", "2 papers are not open to you.", "Distances are geodesic.",
                      "Permission strip"):  # fmt: skip
            assert words in told, words
        assert "<sp.>" not in told

    def test_unknown_question_is_not_there(self) -> None:
        assert ask("no-such-question").status_code == 404

    def test_columns_order_the_rows_blanks_last(self) -> None:
        def order(sort: str) -> list[str]:
            return [row.key[-1] for row in ask("test-whole", sort=sort).context["page"].object_list]

        # numbers 12.5, 1234567, none; days 2024-06-17, 1899-02-01 and the text "2024", which is no day
        assert [order("off"), order("-off"), order("on"), order("nothing")] == [
            ["1", "2", "3"], ["2", "1", "3"], ["2", "1", "3"], ["1", "2", "3"],
        ]  # fmt: skip

    def test_pages_are_cut_and_keep_what_was_asked(self) -> None:
        accession = register.accession()
        for _ in range(27):
            register.specimen(accession=accession)
        second = ask("test-of-accession", accession=accession.number, page=2)
        assert len(second.context["page"].object_list) == 2
        assert f"accession={accession.number}" in second.context["asked_with"]
        assert "page" not in second.context["asked_with"]


class TestForm:
    def test_without_what_it_needs_it_explains_and_answers_nothing(self) -> None:
        found = ask("test-of-accession")
        assert found.status_code == 200
        assert "answer" not in found.context
        assert "All its specimens." in page(found)
        assert 'value="90"' in page(found)

    def test_all_mistakes_at_once_each_at_its_field(self) -> None:
        told = {"accession": "", "days": "many", "country": "QQ", "layer": "air", "on": "2026-02-30", "known": "soon"}
        found = ask("test-of-accession", **told)
        assert found.status_code == 422
        assert set(found.context["form"].errors) == set(told)
        assert "is no day; write it as" in page(found)

    def test_what_the_register_has_not_is_said_at_its_field(self) -> None:
        found = ask("test-of-accession", accession="LMN-1900-000")
        assert found.context["form"].errors == {"accession": ["The register has no accession “LMN-1900-000”."]}

    def test_days_to_come_and_days_before_the_register_are_refused(self) -> None:
        register.accession()
        record(register.accession("LMN-2025-001"), by=None, why="entered")
        to_come = timezone.localdate() + timedelta(days=1)
        assert "is to come" in page(ask("test-whole", known=to_come.isoformat()))
        assert "The first record was entered on" in page(ask("test-whole", known="1999-01-01"))

    def test_values_of_the_register_are_suggested(self) -> None:
        register.accession("LMN-2024-038", title="Lagodekhi 2024")
        assert '<option value="LMN-2024-038">Lagodekhi 2024</option>' in page(ask("test-of-accession"))


class TestTwoClocks:
    def test_then_stands_beside_now_with_the_rows_that_differ(self) -> None:
        """One specimen was entered in March, one changed and one came in April; asked as known on 31 March."""
        accession = self._entered_in_march()
        found = ask("test-of-accession", accession=accession.number, known="2024-03-31")
        told = page(found)
        assert "As known on 31 March 2024:</span> <b>2 specimens.</b>" in told
        assert "<p>3 specimens.</p>" in told
        differs = found.context["beside"].difference
        assert (differs.added_count, differs.gone_count, differs.changed_count) == (1, 0, 1)
        assert "<del>LMN-1</del> <ins>LMN-1b</ins>" in told
        assert "What the register does not keep of its past" in told

    def test_what_is_known_since_only_is_said_to_be_so(self) -> None:
        self._entered_in_march()
        with _at(datetime(2024, 4, 2, tzinfo=UTC)):
            register.accession("LMN-2024-099")
        found = ask("test-of-accession", accession="LMN-2024-099", known="2024-03-31")
        assert found.context["form"].errors == {
            "accession": ["The register had no “LMN-2024-099” at that moment."]
        }  # fmt: skip

    def test_today_is_now(self) -> None:
        found = ask("test-whole", known=timezone.localdate().isoformat())
        assert found.context["known_at"] is None
        assert "beside" not in found.context

    def _entered_in_march(self) -> Any:
        with _at(datetime(2024, 3, 1, tzinfo=UTC)):
            accession = register.accession()
            first, _second = (register.specimen(accession=accession, catalog_number=f"LMN-{n}") for n in (1, 2))
        with _at(datetime(2024, 4, 1, tzinfo=UTC)):
            first.catalog_number = "LMN-1b"
            record(first, by=None, why="label read again")
            register.specimen(accession=accession, catalog_number="LMN-3")
        return accession


def _at(moment: datetime) -> Any:
    return mock.patch("django.utils.timezone.now", lambda: moment)


def test_page_costs_the_queries_of_its_question_and_five_more() -> None:
    """Session, user, suggestions of the one list, specimens and papers counted; whatever the number of rows."""
    accession = register.accession()
    for _ in range(30):
        register.specimen(accession=accession)
    client: Client = signed_in(Role.AUDITOR)
    path = reverse("audit:ask", args=["test-of-accession"])
    client.get(path)
    of_question = 3  # the accession, the count, the slice
    with CaptureQueriesContext(
        connection,
    ) as queries:
        client.get(path, {"accession": accession.number})
    assert len(queries) == of_question + 5, [one["sql"] for one in queries]
