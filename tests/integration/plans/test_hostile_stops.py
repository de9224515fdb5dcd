"""What nobody should be able to send as stops: numbers that are none, files that unfold, tables without end, markup."""

from __future__ import annotations

import io
import json
import zipfile
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from accessions.people.models import Role
from governance.plans.models import FieldPlan
from tests.factories import plans
from tests.integration.test_access_sweep import signed_in

pytestmark = pytest.mark.django_db

NO_ROWS = {f"{rows}-{kind}_FORMS": "0" for rows in ("targets", "traps") for kind in ("TOTAL", "INITIAL")}


@pytest.fixture
def plan() -> FieldPlan:
    return plans.field_plan()


def send(plan: FieldPlan, page: str, told: dict[str, Any]) -> Any:
    return signed_in(Role.REGISTRAR).post(reverse(f"plans:{page}", args=[plan.pk]), told)


@pytest.mark.parametrize("told", [
    {"position": "nan, nan"}, {"position": "inf, 15"}, {"position": "91, 15"}, {"position": "61, 1e999"},
    {"position": "61, 15", "radius_m": "nan"}, {"position": "61, 15", "radius_m": "inf"},
    {"position": "61, 15", "radius_m": "1e999"}, {"position": "61, 15", "radius_m": "-5"},
    {"position": "61, 15", "radius_m": "0"},
    {"area": '{"type": "Polygon", "coordinates": [[[NaN, 0], [1, 0], [1, 1], [NaN, 0]]]}'},
    {"area": '{"type": "Polygon", "coordinates": [[[0, 0], [1e999, 0], [1, 1], [0, 0]]]}'},
    {"area": '{"type": "Polygon", "coordinates": [[[0, 0], [1, 1], [1, 0], [0, 1], [0, 0]]]}'},
    {"area": "POLYGON ((0 0, 1 nan, 1 1, 0 0))"}, {"area": "[" * 5000}, {"area": '{"a":' * 5000},
])  # fmt: skip
def test_place_that_cannot_be(plan: FieldPlan, told: dict[str, str]) -> None:
    answer = send(plan, "stop-new", {"name": "Weir", "country": "SE", **NO_ROWS, **told})
    assert answer.status_code == 422
    assert plan.stops.count() == 0


BOMB = (
    '<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa">'
    + "".join(f'<!ENTITY a{n} "{f"&a{n - 1 or str()};" * 10}">' for n in range(1, 10))
    + ']><gpx xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="1" lon="1"><name>&a9;</name></wpt></gpx>'
)
OUTSIDE = (
    '<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/hostname">]>'
    '<gpx xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="1" lon="1"><name>&x;</name></wpt></gpx>'
)


def gpx(latitude: str, longitude: str) -> str:
    return f'<gpx xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="{latitude}" lon="{longitude}"/></gpx>'


def unfolding() -> bytes:
    """A KMZ of a few kilobytes that becomes 200 MB."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("doc.kml", b"<kml>" + b" " * 200_000_000)
    return packed.getvalue()


@pytest.mark.parametrize(("name", "data"), [
    ("bomb.gpx", BOMB), ("outside.gpx", OUTSIDE), ("nan.gpx", gpx("nan", "nan")), ("inf.gpx", gpx("1", "inf")),
    ("far.gpx", gpx("90.5", "0")), ("deep.json", '{"type":"FeatureCollection","features":' + "[" * 100_000),
    ("nan.json", '{"type": "Point", "coordinates": [NaN, 1]}'),
    ("huge.json", '{"type": "Point", "coordinates": [1e999, 1]}'),
    ("none.json", '{"type": "FeatureCollection", "features": [null, 1, [], {"type": "Feature"}]}'),
    ("list.json", '{"type": "FeatureCollection", "features": {"a": 1}}'),
    ("many.json", json.dumps({"type": "FeatureCollection", "features": [
        {"type": "Point", "coordinates": [n / 1000, 1]} for n in range(10_000)]})),
])  # fmt: skip
def test_file_that_cannot_be(plan: FieldPlan, name: str, data: str) -> None:
    answer = send(plan, "stops-load", {"file": SimpleUploadedFile(name, data.encode()), "act": "take", "take": "1"})
    assert answer.status_code in (200, 400, 422)
    assert plan.stops.count() == 0
    assert b"aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa" not in answer.content


def test_archive_that_unfolds(plan: FieldPlan) -> None:
    answer = send(plan, "stops-load", {"file": SimpleUploadedFile("places.kmz", unfolding())})
    assert answer.status_code in (200, 400, 422)
    assert plan.stops.count() == 0


@pytest.mark.parametrize("table", [
    "stop\tlatitude\tlongitude\n" + "Weir\tnan\tinf\n", "stop\tlatitude\tlongitude\n" + "Weir\t91\t181\n",
    "stop\n" + "Weir\n" * 10_000, "stop\tdates\n" + "Weir\t0001-01-01/9999-12-31\n", "stop\n" + "x" * 5000 + "\n",
    "stop" + "\tx" * 20_000 + "\nWeir\n",
])  # fmt: skip
def test_table_that_cannot_be(plan: FieldPlan, table: str) -> None:
    answer = send(plan, "stops-paste", {"text": table, "take": "1", "act": "take", "how": "add"})
    assert answer.status_code in (200, 400, 422)
    assert plan.stops.count() == 0


def test_names_are_text_on_every_page(plan: FieldPlan) -> None:
    """Names that are markup and formulas, on the pages and in the CSV."""
    odd = "=HYPERLINK(1)<script>alert(1)</script>\"'><img src=x onerror=alert(1)>"
    stop = plans.stop(plan, name=odd, people=odd, methods=odd, remarks=odd)
    plans.target(stop, odd, expected=odd[:50])
    plans.trap(stop, method=odd)
    plans.way_home(plan, carrier=odd, exported_on=odd)
    plans.application(plan, authority=odd, contact=odd, note=odd)
    FieldPlan.objects.filter(pk=plan.pk).update(title=odd, leader=odd, contacts=odd, remarks=odd)
    client = signed_in(Role.REGISTRAR)
    for name in ("plan", "plan-pack", "plan-turn", "plan-copy", "plan-edit", "plan-checklist", "plan-versions"):
        page = client.get(reverse(f"plans:{name}", args=[plan.pk])).content
        assert b"<script>alert" not in page, name
        assert b"<img src=x" not in page, name
    for name, address in {"stop": reverse("plans:stop-edit", args=[stop.pk]), "all": reverse("plans:plans")}.items():
        assert b"<script>alert" not in client.get(address).content, name
    csv = b"".join(client.get(reverse("plans:plan-csv", args=[plan.pk])))  # type: ignore[call-overload]
    assert b"=HYPERLINK" in csv
    assert not any(cell.startswith((b"=", b'"=')) for line in csv.splitlines() for cell in line.split(b","))
