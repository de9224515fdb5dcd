"""The basket: lists and selections put in at once, paged, taken out with a way back; what is decided stays."""

from __future__ import annotations

import csv
import io
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import Workbook

from accessions.material.models import Specimen
from accessions.people.access import NotAllowedError
from accessions.people.models import Role, User
from governance.usedesk.actions import basket as actions
from governance.usedesk.actions.basket import add_items, put_back, remove_items
from governance.usedesk.actions.errors import DeskError
from governance.usedesk.forms import basket as forms
from governance.usedesk.forms.scanning import new_key
from governance.usedesk.models import RequestDecision, RequestItem, ScanLine, UseRequest
from governance.usedesk.views import selection
from tests.factories import register, usedesk
from tests.factories.verdicts import judged

pytestmark = pytest.mark.django_db


@pytest.fixture
def curator() -> User:
    return register.person(Role.CURATOR)


@pytest.fixture
def client(curator: User) -> Client:
    signed_in = Client()
    signed_in.force_login(curator)
    return signed_in


@pytest.fixture
def specimens() -> list[Specimen]:
    return [register.specimen(f"LMN-{number}") for number in range(1, 6)]


@pytest.fixture
def request_() -> UseRequest:
    return usedesk.use_request()


def keys(specimens: list[Specimen]) -> list[int]:
    return [specimen.pk for specimen in specimens]


def basket(of: UseRequest) -> list[str]:
    return list(of.items.order_by("pk").values_list("specimen__catalog_number", flat=True))


def decide(of: UseRequest, *numbers: str) -> RequestDecision:
    made = RequestDecision.objects.create(
        request=of, is_approved=True, answer=0, decided_by=register.person(Role.REGISTRAR)
    )
    of.items.filter(specimen__catalog_number__in=numbers).update(decision=made)
    return made


def history(of: UseRequest) -> list[tuple[str, str]]:
    rows = RequestItem.history.filter(request=of).order_by("history_id")
    return list(rows.values_list("history_type", "specimen__catalog_number"))


# Put in --------------------------------------------------------------------------------------------------------------


def test_add_items(request_: UseRequest, specimens: list[Specimen], curator: User) -> None:
    add_items(request=request_, specimens=keys(specimens)[:2], by=curator)
    added = add_items(request=request_, specimens=[*keys(specimens)[1:], specimens[4].pk], by=curator, why="letter")
    assert (added.made, added.known) == (3, 1)
    assert basket(request_) == [f"LMN-{number}" for number in range(1, 6)]
    assert history(request_) == [("+", f"LMN-{number}") for number in range(1, 6)]
    newest = RequestItem.history.latest()
    assert (newest.history_user, newest.history_change_reason) == (curator, "letter")
    item = request_.items.order_by("pk")[0]
    kept = RequestItem.history.get(id=item.pk)
    assert kept.added_at == item.added_at, "the history holds the row as it is"


def test_many_are_added_in_a_few_statements(request_: UseRequest, curator: User) -> None:
    """One statement for each 2,000 looked up; inserted and copied into the history set by set."""
    made = [register.specimen(f"M-{number}") for number in range(120)]
    with CaptureQueriesContext(connection) as few:
        add_items(request=request_, specimens=keys(made[:20]), by=curator)
    with CaptureQueriesContext(connection) as many:
        add_items(request=request_, specimens=keys(made[20:]), by=curator)
    statements = [{query["sql"].split("VALUES")[0] for query in asked} for asked in (few, many)]
    assert len(statements[0]) == len(statements[1]) <= 12


def test_too_many_at_once(
    request_: UseRequest, specimens: list[Specimen], curator: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert actions.MOST_AT_ONCE == 50_000
    monkeypatch.setattr(actions, "MOST_AT_ONCE", 4)
    with pytest.raises(DeskError, match="5 specimens are too many for one step; up to 4 can be put in"):
        add_items(request=request_, specimens=keys(specimens), by=curator)
    assert basket(request_) == []


def test_who_may(request_: UseRequest, specimens: list[Specimen]) -> None:
    auditor = register.person(Role.AUDITOR)
    with pytest.raises(NotAllowedError):
        add_items(request=request_, specimens=keys(specimens), by=auditor)
    with pytest.raises(NotAllowedError):
        remove_items(request=request_, items=None, by=auditor)
    assert add_items(request=request_, specimens=keys(specimens), by=register.person(Role.VOLUNTEER)).made == 5


def test_closed_request_takes_and_gives_nothing(request_: UseRequest, specimens: list[Specimen], curator: User) -> None:
    add_items(request=request_, specimens=keys(specimens), by=curator)
    removed = remove_items(request=request_, items=None, by=curator)
    request_.closed_at, request_.closed_by, request_.closed_why = "2026-11-25T10:00:00Z", curator, "over"  # type: ignore[assignment]
    request_.save()
    assert removed.at is not None
    for act in (
        lambda: add_items(request=request_, specimens=keys(specimens), by=curator),
        lambda: remove_items(request=request_, items=None, by=curator),
        lambda: put_back(request=request_, at=removed.at, by=curator),  # type: ignore[arg-type]
    ):
        with pytest.raises(DeskError, match="is closed"):
            act()
    assert basket(request_) == []


# Taken out -----------------------------------------------------------------------------------------------------------


def test_remove_and_put_back(request_: UseRequest, specimens: list[Specimen], curator: User) -> None:
    add_items(request=request_, specimens=keys(specimens), by=curator)
    chosen = list(request_.items.order_by("pk").values_list("pk", flat=True)[1:3])
    removed = remove_items(request=request_, items=chosen, by=curator)
    assert (removed.made, removed.kept, basket(request_)) == (2, 0, ["LMN-1", "LMN-4", "LMN-5"])
    assert history(request_)[-2:] == [("-", "LMN-2"), ("-", "LMN-3")]
    add_items(request=request_, specimens=[specimens[1].pk], by=curator)
    assert removed.at is not None
    again = put_back(request=request_, at=removed.at, by=curator)
    assert (again.made, again.known) == (1, 1)
    assert sorted(basket(request_)) == [f"LMN-{number}" for number in range(1, 6)]


def test_one_removal_is_undone_not_another(request_: UseRequest, specimens: list[Specimen], curator: User) -> None:
    add_items(request=request_, specimens=keys(specimens), by=curator)
    one, two = request_.items.order_by("pk").values_list("pk", flat=True)[:2]
    first = remove_items(request=request_, items=[one], by=curator)
    remove_items(request=request_, items=[two], by=curator)
    assert first.at is not None
    put_back(request=request_, at=first.at, by=curator)
    assert sorted(basket(request_)) == ["LMN-1", "LMN-3", "LMN-4", "LMN-5"]


def test_what_is_decided_stays(request_: UseRequest, specimens: list[Specimen], curator: User) -> None:
    add_items(request=request_, specimens=keys(specimens), by=curator)
    made = decide(request_, "LMN-1", "LMN-2")
    removed = remove_items(request=request_, items=None, by=curator)
    assert (removed.made, removed.kept, basket(request_)) == (3, 2, ["LMN-1", "LMN-2"])
    with pytest.raises(DeskError, match=r"All 2 specimens are decided and stay\. Withdraw the decisions first"):
        remove_items(request=request_, items=None, by=curator)
    request_.items.update(decision=None)  # as withdrawing does
    made.delete()
    assert remove_items(request=request_, items=None, by=curator).made == 2


def test_items_of_another_request_stay(request_: UseRequest, specimens: list[Specimen], curator: User) -> None:
    other = usedesk.use_request(specimens=specimens)
    with pytest.raises(DeskError, match="Nothing is chosen"):
        remove_items(request=request_, items=list(other.items.values_list("pk", flat=True)), by=curator)
    assert len(basket(other)) == 5


# A list --------------------------------------------------------------------------------------------------------------


def add_list(client: Client, of: UseRequest, **sent: Any) -> Any:
    address = reverse("usedesk:request-add", args=[of.pk])
    return client.post(address, {"token": new_key(), **sent}, follow=True)


def file(content: bytes, name: str = "list.csv") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content)


def workbook(*rows: tuple[Any, ...]) -> bytes:
    book = Workbook()
    for row in rows:
        book.active.append(row)
    held = io.BytesIO()
    book.save(held)
    return held.getvalue()


LISTS: dict[str, dict[str, Any]] = {
    "one a line": {"text": "LMN-1\nLMN-2\n\nLMN-3"},
    "lines of another system": {"text": "LMN-1\r\nLMN-2\rLMN-3\r\n"},
    "with commas and semicolons": {"text": "LMN-1, LMN-2; LMN-3"},
    "with what readers add": {"text": "]C1LMN-1\n*LMN-2*\nhttps://id.lindmark.example/LMN-3"},
    "copied from a spreadsheet": {"text": "catalogNumber\tsex\nLMN-1\tmale\nLMN-2\t\nLMN-3\tfemale"},
    "a column by its name": {"text": "label,Inventory,box\nx,LMN-1,1\ny,LMN-2,1\nz,LMN-3,2", "column": "inventory"},
    "a text file": {"file": file(b"LMN-1\nLMN-2\nLMN-3\n", "list.txt")},
    "a text file with a mark": {"file": file("\ufeffLMN-1\r\nLMN-2\r\nLMN-3".encode(), "list.txt")},
    "a text file with a word above": {"file": file(b"Barcodes\nLMN-1\nLMN-2\nLMN-3\n", "list.txt")},
    "a table": {"file": file(b"sex;Catalogue number\nmale;LMN-1\nfemale;LMN-2\n;LMN-3\n")},
    "a workbook": {
        "file": file(workbook(("box", "catalogNumber"), (1, "LMN-1"), (1, "LMN-2"), (2, "LMN-3")), "a.xlsx")
    },
}


@pytest.mark.parametrize("sent", LISTS.values(), ids=LISTS.keys())
def test_lists(client: Client, request_: UseRequest, specimens: list[Specimen], sent: dict[str, Any]) -> None:
    for value in sent.values():
        if isinstance(value, SimpleUploadedFile):
            value.seek(0)
    answer = add_list(client, request_, **sent)
    assert basket(request_) == ["LMN-1", "LMN-2", "LMN-3"]
    assert "<b>3 of 3 lines are in the basket now.</b>" in answer.content.decode()


def test_report_of_a_list(client: Client, request_: UseRequest, specimens: list[Specimen], curator: User) -> None:
    """Found, in already, unknown and several; all at once, and the unknown ones stay."""
    register.specimen("Ab-1"), register.specimen("AB-1")
    add_items(request=request_, specimens=[specimens[0].pk], by=curator)
    text = add_list(client, request_, text="LMN-1\nLMN-2\nLMN-2\nNO-1\nNO-2\nab-1").content.decode()
    assert "<b>1 of 6 lines are in the basket now.</b>" in text
    assert "2 were in it already, 2 are not known, 1 may mean several specimens." in text
    assert '<li class="ref">NO-1</li><li class="ref">NO-2</li>' in text
    assert text.count('name="choose"') == 2
    scan = client.get(reverse("usedesk:request-scan", args=[request_.pk])).content.decode()
    assert "3 codes wait for a person." in scan and "NO-2" in scan


def test_list_that_is_sent_twice_counts_once(client: Client, request_: UseRequest, specimens: list[Specimen]) -> None:
    token = new_key()
    for _ in range(2):
        text = add_list(client, request_, token=token, text="LMN-1\nLMN-2").content.decode()
    assert "<b>2 of 2 lines are in the basket now.</b>" in text
    assert ScanLine.objects.count() == 2
    add_list(client, request_, token=token, text="LMN-3")  # after a step back in the browser
    assert basket(request_) == ["LMN-1", "LMN-2", "LMN-3"]


BAD_LISTS: dict[str, tuple[dict[str, Any], str]] = {
    "nothing": ({}, "Paste a list of numbers, or choose a file."),
    "blanks": ({"text": " \n "}, "Paste a list of numbers, or choose a file."),
    "both": ({"text": "LMN-1", "file": file(b"LMN-2")}, "not both at once"),
    "two columns and none known": (
        {"file": file(b"box,shelf\n1,2\n")},
        "No column is headed &quot;catalogNumber&quot;. The columns are: &quot;box&quot;, &quot;shelf&quot;.",
    ),
    "a column that is not there": ({"text": "box,shelf\n1,2", "column": "row"}, "No column is headed &quot;row&quot;"),
    "a picture": ({"file": file(b"\x89PNG\r\n\x1a\n" + b"0" * 20, "list.csv")}, "this is a picture"),
    "an empty file": ({"file": file(b"\n\n", "list.csv")}, "the file is empty"),
    "a long line": ({"text": "A" * 4001}, "Line 1 has 4,001 characters and is no number"),
    "a token that no page makes": ({"text": "LMN-1", "token": "!"}, "The page is too old. Load it again."),
}


@pytest.mark.parametrize(("sent", "words"), BAD_LISTS.values(), ids=BAD_LISTS.keys())
def test_bad_lists(
    client: Client, request_: UseRequest, specimens: list[Specimen], sent: dict[str, Any], words: str
) -> None:
    for value in sent.values():
        if isinstance(value, SimpleUploadedFile):
            value.seek(0)
    answer = add_list(client, request_, **sent)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not ScanLine.objects.exists() and basket(request_) == []


def test_list_that_is_too_long(
    client: Client, request_: UseRequest, specimens: list[Specimen], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert forms.MOST_LINES == 50_000
    monkeypatch.setattr(forms, "MOST_LINES", 2)
    answer = add_list(client, request_, text="LMN-1\nLMN-2\nLMN-3")
    assert "The list has 3 lines; up to 2 are taken at once." in answer.content.decode()
    assert not ScanLine.objects.exists()


# A selection of the list of specimens --------------------------------------------------------------------------------


@pytest.fixture
def outside() -> list[Specimen]:
    """Two outside on land, one calm."""
    accession = register.accession("LMN-2024-001")
    made = [register.specimen(f"S-{number}", accession=accession) for number in range(3)]
    for specimen, strip in zip(made, ("411111111", "411111111", "111111111"), strict=True):
        judged(specimen, strip)
    return made


def test_list_of_specimens_leads_to_the_desk(client: Client, outside: list[Specimen]) -> None:
    text = client.get(reverse("verdicts:specimens"), {"verdict": "outside"}).content.decode()
    assert "Ask the desk about these 2" in text
    assert f"{reverse('usedesk:desk-selection')}?verdict=outside" in text
    reader = Client()
    reader.force_login(register.person(Role.AUDITOR))
    assert "Ask the desk" not in reader.get(reverse("verdicts:specimens")).content.decode()


def test_selection_put_into_a_request(client: Client, request_: UseRequest, outside: list[Specimen]) -> None:
    page = client.get(reverse("usedesk:desk-selection"), {"verdict": "outside"}).content.decode()
    assert "<b>2 specimens are chosen.</b>" in page
    take = f"{reverse('usedesk:request-take', args=[request_.pk])}?verdict=outside"
    assert f'href="{take}"' in page
    seen = client.get(take)
    assert "2 specimens come into" in seen.content.decode()
    answer = client.post(take, {"seen": seen.context["seen"]}, follow=True)
    assert "2 specimens are in" in answer.content.decode()
    assert sorted(basket(request_)) == ["S-0", "S-1"]
    assert RequestItem.history.filter(history_type="+").count() == 2


def test_ticked_rows(client: Client, request_: UseRequest, outside: list[Specimen]) -> None:
    asked: dict[str, Any] = {"of": "verdict=outside", "pick": [outside[0].pk, outside[2].pk]}
    assert "<b>2 specimens are chosen.</b>" in client.get(reverse("usedesk:desk-selection"), asked).content.decode()


def test_selection_that_changed_is_shown_anew(client: Client, request_: UseRequest, outside: list[Specimen]) -> None:
    take = f"{reverse('usedesk:request-take', args=[request_.pk])}?verdict=outside"
    seen = client.get(take).context["seen"]
    judged(register.specimen("S-9"), "411111111")
    answer = client.post(take, {"seen": seen})
    assert "The list has changed since you saw it." in answer.content.decode()
    assert basket(request_) == []


def test_filter_with_a_mistake_chooses_nothing(client: Client, request_: UseRequest, outside: list[Specimen]) -> None:
    page = client.get(reverse("usedesk:desk-selection"), {"paper": "no such paper"}).content.decode()
    assert "No specimen is chosen." in page


def test_selection_over_the_limit(
    client: Client, request_: UseRequest, outside: list[Specimen], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(selection, "MOST_AT_ONCE", 1)
    for address in (reverse("usedesk:desk-selection"), reverse("usedesk:request-take", args=[request_.pk])):
        text = client.get(address, {"verdict": "outside"}).content.decode()
        assert "<b>2 specimens are too many for one step.</b>" in text
        assert "Put 2 specimens in" not in text


def test_request_begun_with_a_selection(client: Client, outside: list[Specimen]) -> None:
    page = client.get(reverse("usedesk:desk-selection"), {"verdict": "outside"})
    new = page.context["new"]
    assert parse_qs(urlsplit(new).query) == {"selection": ["verdict=outside"]}
    values = {"reference": "UR-9", "title": "Dragonflies", "asked_on": "2026-11-20", "uses": ["2"]}
    answer = client.post(new, values)
    made = UseRequest.objects.get(reference="UR-9")
    assert answer["Location"] == f"{reverse('usedesk:request-take', args=[made.pk])}?verdict=outside"


# The page ------------------------------------------------------------------------------------------------------------


def items_page(client: Client, of: UseRequest, **asked: Any) -> str:
    return client.get(reverse("usedesk:request-items", args=[of.pk]), asked).content.decode()


def shown(text: str) -> list[str]:
    return [part.split("<")[0] for part in text.split('/">')[1:] if part.startswith("LMN-") and "2024" not in part[:9]]


def test_order_and_filters(client: Client, request_: UseRequest, specimens: list[Specimen], curator: User) -> None:
    add_items(request=request_, specimens=keys(specimens)[::-1], by=curator)
    decide(request_, "LMN-2")
    assert shown(items_page(client, request_)) == ["LMN-5", "LMN-4", "LMN-3", "LMN-2", "LMN-1"]
    assert shown(items_page(client, request_, sort="number")) == ["LMN-1", "LMN-2", "LMN-3", "LMN-4", "LMN-5"]
    assert shown(items_page(client, request_, sort="-number"))[0] == "LMN-5"
    assert shown(items_page(client, request_, decided="approved")) == ["LMN-2"]
    assert len(shown(items_page(client, request_, decided="undecided"))) == 4
    assert shown(items_page(client, request_, q="LMN-4")) == ["LMN-4"]
    assert len(shown(items_page(client, request_, decided="nonsense", sort="nonsense"))) == 5
    assert "No specimen matches" in items_page(client, request_, q="X")
    assert "An empty basket" in items_page(client, usedesk.use_request())


def test_remove_on_the_page(client: Client, request_: UseRequest, specimens: list[Specimen], curator: User) -> None:
    """Tick, look, remove, undo."""
    add_items(request=request_, specimens=keys(specimens), by=curator)
    decide(request_, "LMN-1")
    address = reverse("usedesk:request-item-remove", args=[request_.pk])
    look = client.post(address, {"all": "1"}).content.decode()
    assert "<b>4 specimens leave the request.</b>" in look and "1 is decided and stays" in look
    assert len(basket(request_)) == 5, "nothing goes before it is confirmed"
    gone = client.post(address, {"all": "1", "confirmed": "1"}, follow=True)
    assert "4 specimens were removed. 1 is decided and stays." in gone.content.decode()
    assert basket(request_) == ["LMN-1"]
    back = client.post(address, {"undo": gone.context["undo"]}, follow=True)
    assert "4 specimens are in" in back.content.decode()
    assert len(basket(request_)) == 5


@pytest.mark.parametrize("moment", ["", "yesterday", "2026-11-26", "2026-11-26T10:00:00", "2026-02-31T10:00:00Z"])
def test_undo_of_no_moment(client: Client, request_: UseRequest, moment: str) -> None:
    address = reverse("usedesk:request-item-remove", args=[request_.pk])
    assert client.post(address, {"undo": moment}).status_code == 400


def test_undo_of_another_moment(client: Client, request_: UseRequest) -> None:
    address = reverse("usedesk:request-item-remove", args=[request_.pk])
    answer = client.post(address, {"undo": "2026-11-26T10:00:00Z"}, follow=True)
    assert "Nothing was removed from this request at that moment." in answer.content.decode()


def test_basket_as_a_file(client: Client, request_: UseRequest, specimens: list[Specimen], curator: User) -> None:
    add_items(request=request_, specimens=keys(specimens), by=curator)
    decide(request_, "LMN-2")
    answer = client.get(reverse("usedesk:request-items-csv", args=[request_.pk]), {"sort": "-number"})
    rows = list(csv.reader(io.StringIO(b"".join(answer).decode("utf-8-sig"))))  # type: ignore[call-overload]
    assert [(row[0], row[4]) for row in rows[1:]] == [
        ("LMN-5", "Not decided"), ("LMN-4", "Not decided"), ("LMN-3", "Not decided"), ("LMN-2", "May go"),
        ("LMN-1", "Not decided"),
    ]  # fmt: skip


def test_queries_of_the_page_do_not_grow(client: Client, request_: UseRequest, curator: User) -> None:
    made = [register.specimen(f"M-{number}") for number in range(120)]
    add_items(request=request_, specimens=keys(made[:2]), by=curator)
    with CaptureQueriesContext(connection) as few:
        items_page(client, request_)
    add_items(request=request_, specimens=keys(made), by=curator)
    with CaptureQueriesContext(connection) as many:
        items_page(client, request_, size="100")
    assert len(few) == len(many) <= 40
