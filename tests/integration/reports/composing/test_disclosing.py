"""What stays out of a report to a country: papers open to some roles only, names of private owners, secret places."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest

from accessions.people.access import EVERY_ROLE, role_bits
from accessions.people.models import Role
from accessions.sites.models import Site, SiteTenure
from governance.engine.tables import Layer
from governance.engine.uses import Said, Use
from governance.papers.models import Paper, VersionPlace
from governance.papers.restriction import RestrictedPaperError
from governance.reports.composing.codes import WITHHELD
from governance.reports.contents import Composed
from governance.usedesk.models import Remedy
from tests.factories import duties, register
from tests.factories.usedesk import made_use, use_term
from tests.factories.verdicts import Why, judged
from tests.integration.reports.composing.georgia import YEAR, Georgia, column, make_georgia, note, numbers, report_on

pytestmark = pytest.mark.django_db

FEW = role_bits([Role.REGISTRAR, Role.COMPLIANCE])


@pytest.fixture
def georgia() -> Georgia:
    return make_georgia()


def text_of(made: Composed) -> str:
    """Everything that the report holds."""
    return json.dumps([made.contents.as_json(), [list(table.rows) for table in made.tables.values()]])


def closed_paper(georgia: Georgia, **values: Any) -> Paper:
    """A paper full of words that stand nowhere else, and everything that hangs on it."""
    told = {"issuer": "Zzissuer", "holder": "Zzholder", "kind": "mutually-agreed-terms"} | values
    paper = register.paper("ZZ-1", restricted_to=FEW, restricted_why="Zzreason", **told)
    register.link(paper, accession=georgia.here)
    version = register.version(paper, first="2020-01-01", last=None, note="Zznote")
    VersionPlace.objects.create(version=version, position=0, longitude_deg=43.9, latitude_deg=42.0, radius_m=500)
    use_term(version, Use.SEQUENCING, Said.NOT_ALLOWED, clause="Zzclause")
    judged(georgia.lot, "141111111", {Layer.COLLECTING: Why("after-end", "Zzsentence about ZZ-1.", paper)})
    made = made_use(georgia.lot, deed="sequencing", on=date(2025, 2, 1), use=8)
    Remedy.objects.create(use=made, paper=paper, what="Zzremedy", opened_by=register.person())
    promise = duties.promise(paper, what="Zzpromise")
    duties.given(promise, on=date(2025, 5, 4), what="Zzgiven")
    duties.deposit(paper=paper, on=date(2025, 5, 4), depository="Zzdeposit")
    duties.duty(paper=paper, what="Zzduty")
    return paper


@pytest.mark.parametrize("kind", ["provider", "benefits"])
def test_a_paper_open_to_some_roles_only_stays_out_with_all_that_hangs_on_it(georgia: Georgia, kind: str) -> None:
    """Also where the person who composes may read it: the readers of the report are not of the house."""
    closed_paper(georgia)
    made = report_on(kind, **YEAR, reader=register.person(Role.REGISTRAR))
    assert "zz" not in text_of(made).casefold()
    kept = {one.key: one.values["n"] for one in made.contents.disclosure.kept_back}
    expected = {"kept_papers": 1, "kept_benefits": 2, "kept_deposits": 1, "kept_duties": 1}
    assert kept == expected | ({"kept_findings": 1, "kept_remedies": 1} if kind == "provider" else {})


def test_the_exception_itself_is_told(georgia: Georgia) -> None:
    closed_paper(georgia)
    made = report_on(**YEAR)
    assert column(made, "exceptions", "specimen", "layer", "verdict", "finding", "paper") == [
        ("A2", "collecting", "outside", None, None)
    ]
    assert numbers(made, "exceptions", "sequences", "uses") == [1, 0, 1]


def test_a_report_on_the_paper_itself_has_it(georgia: Georgia) -> None:
    made = report_on(paper=closed_paper(georgia), **YEAR)
    text = text_of(made)
    for word in ("ZZ-1", "Zzsentence", "Zzremedy", "Zzpromise", "Zzgiven", "Zzdeposit", "Zzduty"):
        assert word in text, word


def test_who_may_not_read_the_paper_composes_nothing_on_it(georgia: Georgia) -> None:
    paper = closed_paper(georgia)
    with pytest.raises(RestrictedPaperError):
        report_on(paper=paper, reader=register.person(Role.CURATOR))


def test_names_of_private_owners_stay_out(georgia: Georgia) -> None:
    """Of who consented as a private person, and of who owns the site; an organisation on file is named."""
    owner = register.agent("Nino Beridze")
    Site.objects.update(name="Meadow of Nino Beridze")
    SiteTenure.objects.create(site=Site.objects.get(), agent=owner)
    papers: list[dict[str, Any]] = [
        {"kind": "landowner-consent", "issuer": "Tamar Lomidze"},
        {"kind": "landowner-consent", "issuer": "Forest Cooperative",
         "issuer_agent": register.agent("Forest Cooperative", kind="organisation")},
        {"kind": "other", "issuer": "Nino Beridze"},
    ]  # fmt: skip
    for number, values in enumerate(papers):
        register.link(register.paper(f"LND-{number}", **values), accession=georgia.here)
    register.paper("Letter of Tamar Lomidze, 1974", kind="other")
    made = report_on(**YEAR)
    assert dict(column(made, "papers", "paper", "issuer")) == {
        "LND-0": WITHHELD, "LND-1": "Forest Cooperative", "LND-2": WITHHELD,
        f"Letter of {WITHHELD}, 1974": "Nazvri Directorate",
    }  # fmt: skip
    assert "Beridze" not in text_of(made)
    assert "Lomidze" not in text_of(made)
    assert note(made, "kept_owners") is not None
    assert not made.contents.disclosure.names_owners


def secretive(georgia: Georgia, said: Said = Said.NOT_ALLOWED, **values: Any) -> None:
    """A paper on one specimen that does not want localities told."""
    paper = register.paper("SEC-1", **values)
    register.link(paper, specimen=georgia.three)
    use_term(register.version(paper, first="2020-01-01", last=None), Use.PUBLISHING_LOCALITIES, said)


@pytest.mark.parametrize(
    ("values", "hidden"),
    [
        ({"jurisdiction": "GE"}, []), ({"jurisdiction": "SE"}, ["A1", "B1"]), ({"jurisdiction": ""}, ["A1", "B1"]),
        ({"jurisdiction": "GE", "kind": "landowner-consent"}, ["A1", "B1"]),
        ({"jurisdiction": "SE", "said": Said.ALLOWED}, []),
    ],
)  # fmt: skip
def test_a_place_that_another_provider_wants_secret_is_kept_back(
    georgia: Georgia, values: dict[str, Any], hidden: list[str]
) -> None:
    """The country itself sees exact places. What was taken from the specimen comes from the same place."""
    secretive(georgia, **values)
    made = report_on()
    blank = [row[0] for row in column(made, "material", "specimen", "latitude_deg", "longitude_deg", "locality", "site")
             if row[1:] == (None, None, None, None)]  # fmt: skip
    assert blank == hidden
    kept = note(made, "kept_localities")
    assert (kept.values["n"] if kept else 0) == len(hidden)


def test_findings_and_the_map_do_not_tell_a_secret_place(georgia: Georgia) -> None:
    """On the map: A2, A3, A4 and A6 at one position; A5 is nowhere; A1 and its leg are kept back."""
    secretive(georgia, jurisdiction="SE")
    where = Why("coordinates-invalid", "The coordinates cannot be: {where}.", None)
    judged(georgia.three, "141111111", {Layer.COLLECTING: where})
    judged(georgia.lot, "141111111", {Layer.COLLECTING: where})
    made = report_on()
    findings = dict(column(made, "exceptions", "specimen", "finding"))
    assert findings["A1"] is None
    assert "42.084" in str(findings["A2"])
    assert made.contents.map is not None
    assert [(point.latitude_deg, point.longitude_deg) for point in made.contents.map.points] == [(42.084, 43.903)]
    without = note(made, "map_without_position")
    assert without is not None and without.values == {"n": 1}


def test_the_map_has_the_areas_of_papers_that_go_in(georgia: Georgia) -> None:
    closed_paper(georgia)
    version = register.version(register.paper("COL-1"), first="2020-01-01", last=None)
    VersionPlace.objects.create(version=version, position=0, longitude_deg=43.9, latitude_deg=42.0, radius_m=500)
    VersionPlace.objects.create(version=version, position=1, country="GE")
    made = report_on()
    assert made.contents.map is not None
    ((name, area),) = made.contents.map.areas
    assert (name, json.loads(area)["type"]) == ("COL-1", "Polygon")


def test_a_paper_that_is_open_to_all_is_told(georgia: Georgia) -> None:
    """The canary lives: the same paper, open, stands in the report."""
    paper = closed_paper(georgia)
    Paper.objects.filter(pk=paper.pk).update(restricted_to=EVERY_ROLE, restricted_why="")
    made = report_on(**YEAR)
    assert {"Zzissuer", "Zzsentence", "Zzduty"} <= {word for word in ("Zzissuer", "Zzsentence", "Zzduty")
                                                    if word in text_of(made)}  # fmt: skip
    assert made.contents.disclosure.kept_back == ()
