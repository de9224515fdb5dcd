"""What people type about papers, and what the exchange file makes of it."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import QueryDict

from governance.papers.forms import lines
from governance.papers.forms.face import LAYERS_OF_KIND, FaceForm
from governance.papers.forms.places import PlaceForm, code_of, place_initial, point_of
from governance.papers.forms.sheet import TermsSheet
from governance.papers.models import PaperKind
from tests.factories.paper_objects import SQUARE, full_object

KML = """<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark><Polygon><outerBoundaryIs><LinearRing><coordinates>
43.8,42.0 43.9,42.0 43.9,42.1 43.8,42.1 43.8,42.0
</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></kml>"""


@pytest.mark.parametrize(
    ("typed", "season"),
    [
        ("1 March to 31 August", ["03-01", "08-31"]),
        ("Mar 1 - Aug 31", ["03-01", "08-31"]),
        ("03-01 to 08-31", ["03-01", "08-31"]),
        ("20 December – 29 February", ["12-20", "02-29"]),
        ("del 1 de marzo al 31 de agosto", ["03-01", "08-31"]),
        ("15 septiembre a 1 ene", ["09-15", "01-01"]),
    ],
)
def test_closed_seasons(typed: str, season: list[str]) -> None:
    assert lines.read_seasons(typed) == [season]


@pytest.mark.parametrize("typed", ["31 April to 1 May", "March", "1 March", "1 Foo to 2 Bar", "03-32 to 04-01"])
def test_seasons_that_cannot_be_are_quoted_with_their_line(typed: str) -> None:
    with pytest.raises(ValidationError, match="Line 2, “"):
        lines.read_seasons(f"1 May to 2 May\n{typed}")


@pytest.mark.parametrize("typed", ["no electrofishing", "Excepto redes", "salvo larvas"])
def test_a_no_in_other_words_is_asked_about_and_never_taken_for_a_name(typed: str) -> None:
    """As a name it would be one of those allowed: the opposite of what was meant."""
    with pytest.raises(ValidationError, match=f"“{typed}”: write “not”"):
        lines.read_words(f"hand net\n{typed}")


def test_what_a_condition_asks_for_is_read_in_spanish_too() -> None:
    typed = "pág. 3: Avisar al guarda. [aviso 7 días] [informe antes del 31 de enero]"
    asks = {"text": "Avisar al guarda.", "page": 3, "notice_days": 7, "report_by": "01-31"}
    assert lines.read_conditions(typed) == [asks]


def test_every_list_has_its_way_back() -> None:
    """What the register holds is shown in the boxes, and saved unchanged it says the same."""
    version = full_object()["versions"][0]
    assert lines.read_taxa(lines.taxa_text(version["taxa"])) == version["taxa"]
    assert lines.read_words(lines.words_text(version["methods"])) == version["methods"]
    assert lines.read_seasons(lines.seasons_text(version["closed_seasons"])) == version["closed_seasons"]
    assert lines.read_conditions(lines.conditions_text(version["conditions"])) == version["conditions"]


def test_a_name_that_begins_with_not_is_a_name() -> None:
    assert lines.read_taxa("Notonectidae\nnot Notonecta glauca") == {
        "include": ["Notonectidae"], "exclude": ["Notonecta glauca"],
    }  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("CR", "CR"), ("Costa Rica", "CR"), ("Costa Rica (CR)", "CR"), ("CR-A", "CR-A"), ("Georgia", "GE"),
        ("Nazvri", ""), ("costa", ""), ("XX", ""), ("", ""),
    ],
)  # fmt: skip
def test_countries_as_people_write_them(typed: str, code: str) -> None:
    assert code_of(typed) == code


@pytest.mark.parametrize(
    ("typed", "latitude", "longitude"),
    [
        ("42.084, 43.903", 42.084, 43.903),
        ("-20.352 15.862", -20.352, 15.862),
        ("42°05'02.4\"N 43°54'10.8\"E", 42.084, 43.903),  # 42 + 5/60 + 2.4/3600; 43 + 54/60 + 10.8/3600
    ],
)
def test_points(typed: str, latitude: float, longitude: float) -> None:
    read = point_of(typed)
    assert read[2] == ""
    assert read[:2] == pytest.approx((latitude, longitude), abs=1e-6)


@pytest.mark.parametrize("typed", ["91, 10", "10, 181", "somewhere", "42.084"])
def test_points_that_cannot_be(typed: str) -> None:
    assert point_of(typed)[2] != ""


def place(**typed: str) -> PlaceForm:
    form = PlaceForm({"excluded": "", "kind": "", **typed})
    form.is_valid()
    return form


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ({}, None),
        ({"name": "Costa Rica"}, {"country": "CR"}),
        ({"name": "CR-A"}, {"subdivision": "CR-A"}),
        ({"name": "GE-NAZ-1"}, {"site": "GE-NAZ-1"}),
        ({"name": "Georgia", "kind": "site"}, {"site": "Georgia"}),
        ({"position": "42.084, 43.903", "radius_m": "5 km"}, {"point": [43.903, 42.084], "radius_m": 5000}),
        ({"name": "GE-NAZ-1", "area": json.dumps(SQUARE)}, {"site": "GE-NAZ-1", "geojson": SQUARE}),
        ({"area": "POLYGON((0 0,1 0,1 1,0 0))", "boundary_error_m": "25 m"},
         {"geojson": {"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1, 1], [0, 0]]]}, "boundary_error_m": 25}),
    ],
)  # fmt: skip
def test_places(typed: dict[str, str], value: Any) -> None:
    form = place(**typed)
    assert form.errors == {}
    assert form.cleaned_data["object"] == value


def test_pasted_kml_is_an_area() -> None:
    shape = place(area=KML).cleaned_data["object"]["geojson"]
    assert shape["type"] == "Polygon"
    assert shape["coordinates"][0][0] == [43.8, 42.0]


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"position": "42, 43"}, "radius_m", "how far around"),
        ({"radius_m": "500"}, "position", "A radius goes with a point"),
        ({"radius_m": "five"}, "radius_m", "“five” is no length"),
        ({"name": "Atlantis", "kind": "country"}, "name", "no country of ISO 3166-1"),
        ({"name": "CR", "area": json.dumps(SQUARE)}, "name", "a country has its own outline"),
        ({"area": json.dumps(SQUARE), "position": "1, 2", "radius_m": "3"}, "area", "one shape"),
        ({"area": "POLYGON((0 0,1 1,1 0,0 1,0 0))"}, "area", "crosses"),
        ({"area": "POLYGON((0 0,200 0,1 1,0 0))"}, "area", "leaves the globe"),
        ({"area": "here and there"}, "area", "no area"),
        ({"boundary_error_m": "25"}, "boundary_error_m", "of which place"),
    ],
)
def test_places_that_cannot_be_are_told_at_their_box(typed: dict[str, str], field: str, words: str) -> None:
    assert words in " ".join(map(str, place(**typed).errors[field]))


@pytest.mark.parametrize("number", range(6))
def test_a_place_has_its_way_back(number: int) -> None:
    value = full_object()["versions"][0]["places"]["include"][number]
    assert place(**place_initial(value, excluded=False)).cleaned_data["object"] == value


def test_a_version_has_its_way_back() -> None:
    value = full_object()["versions"][0]
    shown = TermsSheet(initial=value)
    data = QueryDict(mutable=True)
    for form in (shown.version, *shown.places.forms, *shown.caps.forms, shown.places.management_form,
                 shown.caps.management_form):  # fmt: skip
        for field in form:
            if field.value() is not None:
                data[field.html_name] = str(field.value())

    sheet = TermsSheet(data, {}, value)

    assert sheet.is_valid(), [form.errors for form in sheet.forms]
    assert sheet.object() == value


def test_a_chosen_file_is_kept_as_text_when_the_page_comes_back() -> None:
    data = QueryDict(
        "places-TOTAL_FORMS=1&places-INITIAL_FORMS=0&caps-TOTAL_FORMS=0&caps-INITIAL_FORMS=0&in_force_from=never",
        mutable=True,
    )
    sheet = TermsSheet(data, {"places-0-area_file": SimpleUploadedFile("area.kml", KML.encode())})
    assert not sheet.is_valid()
    sheet.keep_files()
    assert json.loads(sheet.places.forms[0]["area"].value())["type"] == "Polygon"


def test_layers_come_from_the_kind_unless_they_are_ticked() -> None:
    form = FaceForm({"reference": "X", "kind": "export-permit"})
    assert form.is_valid()
    assert form.object()["layers"] == ["export"]
    ticked = FaceForm({"reference": "X", "kind": "export-permit", "layers": ["cites", "export"]})
    assert ticked.is_valid()
    assert ticked.object()["layers"] == ["export", "cites"]


def test_only_kinds_that_may_answer_anything_have_no_preset() -> None:
    assert {*PaperKind} - {*LAYERS_OF_KIND} == {PaperKind.EXEMPTION, PaperKind.OTHER}
    form = FaceForm({"reference": "X", "kind": "other"})
    assert "tick what the paper answers" in " ".join(map(str, form.errors["layers"]))
