"""The rules of all layers of a country on one page."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from accessions.people.models import Role
from governance.engine.tables import Layer
from governance.verdicts.models import SheetRule
from tests.factories import register

pytestmark = pytest.mark.django_db


@pytest.fixture
def client() -> Client:
    made = Client()
    made.force_login(register.person(Role.REGISTRAR))
    return made


def test_what_is_said_is_saved_and_the_rest_stays_open(client: Client) -> None:
    """A row's own source goes before the one above; a layer that has a rule is not asked again."""
    sheet = register.sheet("GE")
    register.rule(sheet, Layer.LAND)
    address = reverse("verdicts:country-rules-at-once", args=[sheet.pk])
    assert "says-land" not in client.get(address).content.decode()
    answer = client.post(address, {
        "source": "Nature Act, § 4", "says-collecting": "True", "from-collecting": "2001-03-01",
        "says-export": "False", "source-export": "Customs Code, § 12",
    })  # fmt: skip
    assert answer.headers["Location"] == reverse("verdicts:country", args=[sheet.pk])
    rules = SheetRule.objects.exclude(layer=Layer.LAND).values_list("layer", "required", "from_on", "source")
    assert [(layer, required, day and day.isoformat(), source) for layer, required, day, source in rules] == [
        (Layer.COLLECTING, True, "2001-03-01", "Nature Act, § 4"), (Layer.EXPORT, False, None, "Customs Code, § 12"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "problem"),
    [
        ({"source": "Nature Act"}, "Say of at least one layer whether it is required."),
        ({"says-land": "True"}, "Say where the rule stands: law, paragraph, date."),
        ({"says-land": "True", "source": "x", "source-export": "y"}, "or leave the row blank"),
        ({"says-land": "True", "source": "x", "from-land": "soon"}, "Enter a valid date."),
    ],
)  # fmt: skip
def test_what_does_not_hold_saves_nothing(client: Client, typed: dict[str, str], problem: str) -> None:
    answer = client.post(reverse("verdicts:country-rules-at-once", args=[register.sheet("GE").pk]), typed)
    assert answer.status_code == 422
    assert problem in answer.content.decode()
    assert not SheetRule.objects.exists()


def test_a_sheet_that_says_all_is_not_asked_again(client: Client) -> None:
    sheet = register.sheet("GE")
    for layer in Layer:
        register.rule(sheet, layer)
    answer = client.get(reverse("verdicts:country-rules-at-once", args=[sheet.pk]))
    assert answer.headers["Location"] == reverse("verdicts:country", args=[sheet.pk])
