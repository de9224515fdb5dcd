"""The pages by which a file comes in: read, mapped, checked, answered, committed or discarded."""

from __future__ import annotations

import csv
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from openpyxl import Workbook
from pytest_django.fixtures import DjangoAssertNumQueries

from accessions.intake.actions.arrange import answer_changes, confirm_dates, map_columns
from accessions.intake.actions.commit import commit
from accessions.intake.actions.errors import IntakeError
from accessions.intake.actions.receive import discard
from accessions.intake.models import Batch, ColumnChoice
from accessions.intake.stored import rows_of_batch
from accessions.material.models import Accession, Determination, Specimen
from accessions.people.models import Role
from tests.factories import register
from tests.factories.register import person

pytestmark = pytest.mark.django_db

HEADER = "catalogNumber,accessionNumber,eventDate,scientificName,individualCount"


@pytest.fixture
def curator() -> Client:
    client = Client()
    client.force_login(person(Role.CURATOR))
    return client


@pytest.fixture
def volunteer() -> Client:
    client = Client()
    client.force_login(person(Role.VOLUNTEER))
    return client


def send(client: Client, *lines: str, name: str = "nazvri.csv", **fields: str) -> Batch:
    """Brings a file in and gives the batch; fails where the page refuses it."""
    file = SimpleUploadedFile(name, "\n".join(lines).encode())
    answer = client.post(reverse("intake:batch-new"), {"file": file, **fields})
    assert answer.status_code == 302, answer.content.decode()
    return Batch.objects.latest("pk")


def text_of(client: Client, name: str, batch: Batch, query: str = "") -> str:
    answer = client.get(reverse(f"intake:{name}", args=[batch.pk]) + query)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def test_a_file_goes_through_all_pages_into_the_register(curator: Client) -> None:
    batch = send(curator, HEADER, "A-1,ACC,2024-06-17,Aedes aegypti,2", "A-2,ACC,2024-06-18,Aedes sp.,1")
    assert not Specimen.objects.exists()

    mapped = curator.post(reverse("intake:batch", args=[batch.pk]), columns_as_they_are(batch))
    assert mapped.headers["Location"] == reverse("intake:batch-preview", args=[batch.pk])
    page = text_of(curator, "batch-preview", batch)
    assert "2 rows: 2 new, 0 as before, 0 changed." in page
    assert "Nothing stands in the way of the commit." in page

    done = curator.post(reverse("intake:batch-commit", args=[batch.pk]), {"why": "Season 2024"}, follow=True)
    assert "In the register: 2 rows are new." in done.content.decode()
    assert sorted(Specimen.objects.values_list("catalog_number", flat=True)) == ["A-1", "A-2"]
    assert Specimen.history.first().history_change_reason == "Season 2024"


def columns_as_they_are(batch: Batch) -> dict[str, str]:
    """By the order of the file; PostgreSQL keeps no order of the keys of a JSON column."""
    return {f"column-{index}": batch.mapping[header] for index, header in enumerate(HEADER.split(","))}


def test_a_volunteer_prepares_and_is_told_who_commits(volunteer: Client) -> None:
    batch = send(volunteer, HEADER, "A-1,ACC,2024-06-17,Aedes aegypti,2")

    page = text_of(volunteer, "batch-preview", batch)
    answer = volunteer.post(reverse("intake:batch-commit", args=[batch.pk]))

    assert "a curator or a registrar commits it" in page and "Commit the file" not in page
    assert answer.status_code == 403
    assert not Specimen.objects.exists()


def test_the_very_same_file_is_recognised(curator: Client) -> None:
    first = send(curator, HEADER, "A-1,ACC,2024-06-17,Aedes aegypti,2")
    file = SimpleUploadedFile("other name.csv", f"{HEADER}\nA-1,ACC,2024-06-17,Aedes aegypti,2".encode())

    answer = curator.post(reverse("intake:batch-new"), {"file": file}, follow=True)

    assert "This very file was brought in before, as nazvri.csv. Nothing was changed." in answer.content.decode()
    assert Batch.objects.get() == first


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "the file is empty"),
        (b"%PDF-1.7 ...", "this is a PDF file"),
        (b"catalogNumber,lat\n", "no rows below the header"),
        (b"PK\x03\x04rubbish", "cut short or damaged"),
    ],
)
def test_a_file_that_is_no_table_is_refused_in_words(curator: Client, data: bytes, words: str) -> None:
    answer = curator.post(reverse("intake:batch-new"), {"file": SimpleUploadedFile("x.csv", data)})

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Batch.objects.exists()


def test_a_workbook_with_nul_is_refused_by_row_on_every_database(curator: Client) -> None:
    """Workbooks can write NUL as _x0000_; PostgreSQL would refuse the row with an error of its own."""
    book = Workbook()
    book.active.append(["catalogNumber", "accessionNumber", "locality"])
    book.active.append(["A-1", "ACC", "by the_x0000_ lake"])
    stream = io.BytesIO()
    book.save(stream)
    curator.post(reverse("intake:batch-new"), {"file": SimpleUploadedFile("nul.xlsx", stream.getvalue())})

    rows = rows_of_batch(Batch.objects.get())
    answer = curator.get(reverse("intake:batch-preview", args=[Batch.objects.get().pk]))

    assert answer.status_code == 200
    holds_nul = "\0" in rows.columns["locality"][0]
    assert ("cannot be stored" in answer.content.decode()) == holds_nul


def test_a_reason_with_nul_is_taken_without_it(curator: Client) -> None:
    batch = send(curator, HEADER, "A-1,ACC,2024-06-17,Aedes,1")

    curator.post(reverse("intake:batch-commit", args=[batch.pk]), {"why": "Season\0 2024"})

    assert Specimen.history.get().history_change_reason == "Season 2024"


def test_a_chosen_column_is_remembered_for_the_next_file(curator: Client) -> None:
    batch = send(curator, "No.,accessionNumber,weather", "A-1,ACC,sun")
    curator.post(reverse("intake:batch", args=[batch.pk]), {"column-0": "catalogNumber", "column-1": "accessionNumber"})

    again = send(curator, "no,accessionNumber,weather", "A-2,ACC,rain", name="next.csv")

    assert ColumnChoice.objects.get().term == "catalogNumber"
    assert again.mapping == {"no": "catalogNumber", "accessionNumber": "accessionNumber", "weather": ""}


def test_some_texts_of_a_column_differ_to_the_eye_and_a_country_is_known(curator: Client) -> None:
    """A blank behind "Sweden" makes no other text; nobody chose the column of countries."""
    batch = send(curator, "catalogNumber,accessionNumber,Country", "A-1,ACC,Sweden", "A-2,ACC,Sweden ", "A-3,ACC,SE")
    columns = {c.header: c for c in curator.get(reverse("intake:batch", args=[batch.pk])).context["columns"]}
    assert columns["Country"].samples == ("Sweden", "SE")
    assert columns["Country"].field.value() == "countryCode"
    assert columns["Country"].is_recognised


def test_one_term_for_two_columns_is_said_at_both(curator: Client) -> None:
    batch = send(curator, "No.,accessionNumber,other", "A-1,ACC,B-1")

    answer = curator.post(
        reverse("intake:batch", args=[batch.pk]), {"column-0": "catalogNumber", "column-2": "catalogNumber"}
    )

    assert answer.status_code == 422
    page = answer.content.decode()
    assert "&quot;other&quot; is catalogNumber too" in page and "&quot;No.&quot; is catalogNumber too" in page


def test_dates_of_labels_are_confirmed_for_the_whole_column(curator: Client) -> None:
    """5 June by day first; 12.VI. has one reading; what was written goes to verbatimEventDate."""
    rows = ("A-1,ACC,05/06/2019,Aedes,1", "A-2,ACC,12.VI.2019,Aedes,1", "A-3,ACC,2019-06-14,Aedes,1")
    batch = send(curator, HEADER, *rows)
    mapped = curator.post(reverse("intake:batch", args=[batch.pk]), columns_as_they_are(batch))
    assert mapped.headers["Location"] == reverse("intake:batch-dates", args=[batch.pk])
    page = text_of(curator, "batch-dates", batch)
    assert all(words in page for words in ("05/06/2019", "2019-06-05", "2019-05-06", "12.VI.2019", "2019-06-12"))

    curator.post(reverse("intake:batch-dates", args=[batch.pk]), {"eventDate": "day-month"})
    curator.post(reverse("intake:batch-commit", args=[batch.pk]))

    events = Specimen.objects.order_by("catalog_number").values_list(
        "event__event_date", "event__verbatim_event_date", "event__reading"
    )
    assert list(events) == [
        ("2019-06-05", "05/06/2019", "run"), ("2019-06-12", "12.VI.2019", "run"), ("2019-06-14", "", "run"),
    ]  # fmt: skip


def test_dates_that_nobody_confirmed_stay_as_written_and_are_named(curator: Client) -> None:
    batch = send(curator, HEADER, "A-1,ACC,05/06/2019,Aedes,1")

    page = text_of(curator, "batch-preview", batch)

    assert "1 row says something that cannot be read" in page
    assert "day and month could be either way round" in page


def test_rows_that_need_correction_stop_the_commit(curator: Client) -> None:
    batch = send(curator, HEADER, "A-1,ACC,2024-06-17,Aedes,1", "A-1,ACC,2024-06-18,Aedes,1", "A-2,ACC,,Aedes,1")

    page = text_of(curator, "batch-preview", batch)
    answer = curator.post(reverse("intake:batch-commit", args=[batch.pk]), follow=True)

    assert "3 rows: 1 new, 0 as before, 0 changed." in page and "2 rows need correction." in page
    assert "2 of 3 rows need correction; nothing was written." in answer.content.decode()
    assert not Specimen.objects.exists()


def test_good_rows_go_in_and_the_others_come_back_to_be_corrected(curator: Client) -> None:
    """The whole way of a correction: commit the good, download the rest, put it right, bring it in."""
    batch = send(curator, HEADER, "A-1,ACC,2024-06-17,=cmd,1", "A-1,ACC,2024-06-18,Aedes,1", "A-2,ACC,,Aedes,1")
    curator.post(reverse("intake:batch-commit", args=[batch.pk]), {"rows": "good"})
    assert Specimen.objects.get().catalog_number == "A-2"

    answer = curator.get(reverse("intake:batch-errors", args=[batch.pk]))
    given_back = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert given_back[0] == [*HEADER.split(","), "to correct"]
    assert [row[0] for row in given_back[1:]] == ["A-1", "A-1"]
    assert given_back[1][3] == "'=cmd"
    assert "stands in row 3 too" in given_back[1][5]

    given_back[2][0] = "A-3"
    anew = io.StringIO()
    csv.writer(anew).writerows(given_back)
    corrected = send(curator, anew.getvalue(), name="corrected.csv")
    curator.post(reverse("intake:batch-commit", args=[corrected.pk]))

    names = dict(Specimen.objects.values_list("catalog_number", "name__scientific_name"))
    assert names == {"A-1": "=cmd", "A-2": "Aedes", "A-3": "Aedes"}


def test_differences_are_asked_about_and_answered_row_by_row(curator: Client) -> None:
    first = send(curator, HEADER, "A-1,ACC,2024-06-17,Aedes sp.,1", "A-2,ACC,2024-06-17,Aedes sp.,1")
    curator.post(reverse("intake:batch-commit", args=[first.pk]))
    second = send(
        curator, HEADER, "A-1,ACC,2024-06-17,Aedes aegypti,1", "A-2,ACC,2024-06-19,Aedes sp.,4", name="second.csv"
    )

    page = text_of(curator, "batch-preview", second, "?show=changes")
    assert "2 differences wait for an answer." in page
    assert "<del>Aedes sp.</del>" in page and "<ins>Aedes aegypti</ins>" in page
    refused = curator.post(reverse("intake:batch-commit", args=[second.pk]), follow=True)
    assert "2 rows differ from what is recorded" in refused.content.decode()

    curator.post(reverse("intake:batch-changes", args=[second.pk]), {"row-2": "take", "row-3": "keep"})
    curator.post(reverse("intake:batch-commit", args=[second.pk]), {"why": "Named by a specialist"})

    one, two = Specimen.objects.order_by("catalog_number")
    assert (one.name.scientific_name, one.event.event_date) == ("Aedes aegypti", "2024-06-17")
    assert (two.name.scientific_name, two.event.event_date, two.individual_count) == ("Aedes sp.", "2024-06-17", "1")
    named = Determination.objects.filter(specimen=one).order_by("pk").values_list("name__scientific_name", "is_current")
    assert list(named) == [("Aedes sp.", False), ("Aedes aegypti", True)]
    kinds = one.history.order_by("history_id").values_list("history_type", "history_change_reason")
    assert list(kinds) == [("+", "File committed"), ("~", "Named by a specialist")]
    assert two.history.count() == 1


def test_taking_all_differences_at_once(curator: Client) -> None:
    first = send(curator, HEADER, "A-1,ACC,2024-06-17,Aedes,1")
    curator.post(reverse("intake:batch-commit", args=[first.pk]))
    second = send(curator, "catalogNumber,individualCount", "A-1,7", name="counts.csv")

    curator.post(reverse("intake:batch-changes", args=[second.pk]), {"all": "take"})
    curator.post(reverse("intake:batch-commit", args=[second.pk]))

    specimen = Specimen.objects.get()
    assert (specimen.individual_count, specimen.count_low, specimen.event.event_date) == ("7", 7, "2024-06-17")


def test_rows_without_accession_wait_for_one(curator: Client) -> None:
    Accession.objects.create(number="ACC-7")
    batch = send(curator, "catalogNumber,eventDate", "A-1,2024-06-17")
    assert "the row names no accession" in text_of(curator, "batch-preview", batch)

    curator.post(reverse("intake:batch-accession", args=[batch.pk]), {"accession": "ACC-7"})
    curator.post(reverse("intake:batch-commit", args=[batch.pk]))

    assert Specimen.objects.get().accession.number == "ACC-7"


def test_an_accession_that_is_not_there_is_said(curator: Client) -> None:
    batch = send(curator, "catalogNumber,eventDate", "A-1,2024-06-17")

    answer = curator.post(reverse("intake:batch-accession", args=[batch.pk]), {"accession": "ACC-8"}, follow=True)

    assert "There is no accession ACC-8." in answer.content.decode()


def test_a_discarded_file_can_be_brought_in_again(curator: Client) -> None:
    batch = send(curator, HEADER, "A-1,ACC,2024-06-17,Aedes,1")
    assert "Discard this file?" in text_of(curator, "batch-discard", batch)

    curator.post(reverse("intake:batch-discard", args=[batch.pk]), {"why": "Wrong file"})
    refused = curator.post(reverse("intake:batch-commit", args=[batch.pk]), follow=True)
    again = send(curator, HEADER, "A-1,ACC,2024-06-17,Aedes,1")

    assert "This file was discarded" in refused.content.decode()
    assert again.pk != batch.pk and not Specimen.objects.exists()


def test_the_second_of_two_commits_is_told_so(curator: Client) -> None:
    batch = send(curator, HEADER, "A-1,ACC,2024-06-17,Aedes,1")
    address = reverse("intake:batch-commit", args=[batch.pk])
    curator.post(address)

    again = curator.post(address, follow=True)

    assert "in the register already" in again.content.decode()
    assert Specimen.objects.count() == 1


def test_the_original_comes_back_byte_by_byte(curator: Client) -> None:
    batch = send(curator, HEADER, "A-1,ACC,2024-06-17,Aedes,1")

    answer = curator.get(reverse("intake:batch-file", args=[batch.pk]))

    assert answer.content == f"{HEADER}\nA-1,ACC,2024-06-17,Aedes,1".encode()
    assert answer.headers["Content-Disposition"] == 'attachment; filename="nazvri.csv"'
    assert answer.headers["Content-Type"] == "application/octet-stream"


def test_the_list_asks_as_much_for_one_file_as_for_many(
    curator: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(3):
        send(curator, HEADER, f"A-{number},ACC,2024-06-17,Aedes,1", name=f"{number}.csv")

    # session, person, counts by state, how many, the page
    curator.cookies["first-steps"] = "hidden"  # else a page that says what was done tells of the next step, too
    with django_assert_num_queries(5):
        curator.get(reverse("intake:batches"))


@pytest.mark.parametrize("rows", [1, 40])
def test_the_preview_asks_as_much_for_one_row_as_for_many(
    curator: Client, rows: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    batch = send(curator, HEADER, *(f"A-{n},ACC-{n},2024-06-{n % 28 + 1:02},Aedes,1" for n in range(rows)))

    curator.cookies["first-steps"] = "hidden"  # else a page that says what was done tells of the next step, too
    with django_assert_num_queries(PREVIEW_QUERIES):
        curator.get(reverse("intake:batch-preview", args=[batch.pk]))


PREVIEW_QUERIES = 9
"""Session, person, batch; numbers in use; accessions, events, names; sites for the odd rows and the forecast."""


def test_how_a_file_is_read_is_refused_where_it_cannot_be(curator: Client) -> None:
    """What a page does not offer, an action does not take; and nothing of it is kept."""
    by = person(Role.CURATOR)
    batch = send(curator, HEADER, "C-1,LMN-1,2024-05-01,Aeshna cyanea,1")
    known = batch.mapping
    for terms, words in (
        ({"colour": "sex"}, "no column"),
        ({"eventDate": "colour"}, "keeps no column"),
        ({"eventDate": "scientificName"}, "Two columns are both read as"),
    ):
        with pytest.raises(IntakeError, match=words):
            map_columns(batch=batch, terms=terms, by=by, why="x")
    with pytest.raises(IntakeError, match="day first, month first"):
        confirm_dates(batch=batch, answers={"eventDate": "guess"}, by=by, why="x")
    with pytest.raises(IntakeError, match="take what the file says"):
        answer_changes(batch=batch, for_all="both", by=by, why="x")
    batch.refresh_from_db()
    assert (batch.mapping, batch.dates, batch.changes) == (known, {}, {})


def test_a_file_that_is_in_the_register_is_neither_read_otherwise_nor_discarded(curator: Client) -> None:
    by = person(Role.CURATOR)
    register.accession("LMN-1")
    batch = send(curator, HEADER, "C-1,LMN-1,2024-05-01,Aeshna cyanea,1")
    commit(batch=batch, by=by, why="in")
    with pytest.raises(IntakeError, match="committed or discarded meanwhile"):
        map_columns(batch=batch, terms={"eventDate": ""}, by=by, why="x")
    with pytest.raises(IntakeError, match="cannot be discarded"):
        discard(batch=batch, by=by, why="x")
    batch.refresh_from_db()
    assert batch.state == Batch.State.COMMITTED
