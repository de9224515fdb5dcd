"""Pages of the terms of use: entering them beside the scan, reading them, what is still to be read."""

from __future__ import annotations

import csv
import io
import json
import re
from datetime import date
from typing import Any

import pytest
from django.forms import BoundField, Select
from django.test import Client
from django.urls import reverse

from accessions.people.models import Role, User
from governance.engine.uses import Said, Use
from governance.papers.actions.restricting import restrict
from governance.papers.actions.terms import save_terms
from governance.papers.forms.terms import UseSheet
from governance.papers.models import Paper, PaperScan, PaperVersion, TermsReading, UseTerm
from governance.papers.queries.terms_on_pages import terms_object
from tests.factories import register as r
from tests.factories import scans
from tests.factories.paper_objects import full_terms

pytestmark = pytest.mark.django_db


@pytest.fixture
def by() -> User:
    return r.person(Role.REGISTRAR)


@pytest.fixture
def client(by: User) -> Client:
    return signed_in(by)


def signed_in(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


@pytest.fixture
def version() -> PaperVersion:
    return r.version(r.paper("MAT-2024-001", kind="mutually-agreed-terms"), "2024-05-01", None)


def address(version: PaperVersion, name: str = "terms-edit") -> str:
    return reverse(f"papers:{name}", args=[version.pk])


def sent(version: PaperVersion, **fields: Any) -> dict[str, Any]:
    """What a browser sends: all boxes as they stand, and what was typed. ``loan_abroad__said`` is of that use."""
    data: dict[str, Any] = {}
    for form in UseSheet(None, terms_object(version)).forms:
        for box in form:
            value = box.value() or _first_option(box)
            if value not in (None, "", []) and value is not False:
                data[box.html_name] = value
    typed = {
        f"{name.split('__')[0].replace('_', '-')}-{name.split('__')[1]}" if "__" in name else name: value
        for name, value in fields.items()
    }
    return {name: value for name, value in (data | typed).items() if value is not None}


def _first_option(box: BoundField) -> Any:
    """What a browser sends of a list of which nothing was chosen; of a box to tick and of buttons, nothing."""
    is_list = type(box.field.widget) is Select
    return box.field.choices[0][0] if is_list else box.value()  # type: ignore[attr-defined]


def text(answer: Any) -> str:
    """The words of a page, without its marks."""
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def test_terms_are_entered_and_stand_on_the_page(client: Client, version: PaperVersion, by: User) -> None:
    answer = client.post(
        address(version),
        sent(
            version, loan_abroad__said="ask-first", loan_abroad__clause="Loans abroad need our consent.",
            loan_abroad__clause_number="7", loan_abroad__page="3", loan_abroad__only_in="Sweden, IS",
            loan_abroad__recipients=["public-research"], loan_abroad__otherwise="not-allowed",
            ownership="state-keeps-title", ask_whom="Access desk",
        ),
    )  # fmt: skip
    assert answer.status_code == 302
    assert answer["Location"] == address(version, "terms")

    assert terms_object(version) == {
        "ownership": "state-keeps-title", "ask_whom": "Access desk",
        "uses": [{
            "use": "loan-abroad", "said": "ask-first", "clause": "Loans abroad need our consent.",
            "clause_number": "7", "page": 3, "only_in": ["IS", "SE"], "recipients": ["public-research"],
        }],
    }  # fmt: skip
    page = text(client.get(answer["Location"]))
    for words in ("1 of 18 uses read.", "Loan abroad : ask the provider first", "Loans abroad need our consent.",
                  "MAT-2024-001, clause 7, page 3", "Only to: Public research institution",
                  "Only in Iceland and Sweden", "If a condition is not met: not allowed", "The state keeps title",
                  "Access desk", f"by {by.shown_name} on", "Not the whole text was read."):  # fmt: skip
        assert words in page, words
    assert "Teaching, Commercial use, Disposal, Return to the provider : not read yet" in page


def test_opening_and_saving_changes_nothing(client: Client, version: PaperVersion, by: User) -> None:
    """Every key goes through the boxes of the page and comes back as it was."""
    save_terms(version=version, data=full_terms(), by=by, why="read")
    answer = client.post(address(version), sent(version, why="looked at"), follow=True)
    assert "nothing was written" in text(answer)
    assert terms_object(version) == full_terms()
    assert UseTerm.history.count() == 3


def test_lines_of_a_browser_are_no_change(client: Client, version: PaperVersion, by: User) -> None:
    """Browsers send lines with a carriage return; files have none."""
    save_terms(version=version, data=full_terms(), by=by, why="read")
    clause = full_terms()["uses"][0]["clause"].replace("\n", "\r\n")
    client.post(address(version), sent(version, why="looked at", loan_abroad__clause=clause))
    assert UseTerm.history.count() == 3


def test_a_use_with_nothing_entered_is_said_to_be_not_read(client: Client, version: PaperVersion) -> None:
    page = text(client.get(address(version, "terms")))
    assert "Not read yet: what this version says of the use of material is not known." in page
    assert "Until then the desk answers “not known”" in page


def test_all_problems_at_once_each_with_its_use_and_nothing_lost(client: Client, version: PaperVersion) -> None:
    answer = client.post(
        address(version),
        sent(
            version, loan_abroad__said="allowed", loan_abroad__page="three", loan_abroad__only_in="SE, Atlantis, Oz",
            teaching__said="with-duties", teaching__clause="For pupils.", imaging__clause="Pictures may be made.",
            disposal__said="silent", exhibition__said="not-allowed", exhibition__clause="Never shown.",
            exhibition__amount="one drawer", rest_is_silent="on", reply_days="soon",
        ),
    )  # fmt: skip
    assert answer.status_code == 422
    page = text(answer)
    for words in (
        "Loan abroad, Page : Enter a whole number.",
        "Loan abroad, Clause, in its words : No clause is quoted.",
        "Loan abroad, Only in : “Atlantis”, “Oz”: no country of ISO 3166-1.",
        "Teaching, Duties : It is not said which duties.",
        "Imaging, The paper says : Something is written here, but not what the paper says.",
        "Disposal, The paper says : It is said to be silent, but the whole text was not read.",
        "Exhibition, The paper says : Conditions are set for a use that is not allowed.",
        "Tick that the whole text was read, too",
        "A reply takes about (days) : Enter a whole number.",
    ):
        assert words in page, words
    for typed in ('value="three"', 'value="SE, Atlantis, Oz"', "For pupils.", "Pictures may be made.", "Never shown.",
                  'value="one drawer"', 'value="soon"'):  # fmt: skip
        assert typed in answer.content.decode(), typed
    assert not TermsReading.objects.exists()


def test_blocks_with_mistakes_stand_open_and_the_links_lead_to_their_boxes(
    client: Client, version: PaperVersion
) -> None:
    page = client.post(address(version), sent(version, loan_abroad__said="allowed")).content.decode()
    assert re.search(r'<details class="use-block" id="use-loan-abroad" data-use open', page)
    assert not re.search(r'<details class="use-block" id="use-teaching" data-use open', page)
    for anchor in re.findall(r'<li><a href="#([^"]+)">', page):
        assert f'id="{anchor}"' in page


def test_the_rest_is_silent_only_for_who_read_all_of_it(client: Client, version: PaperVersion) -> None:
    typed = {"imaging__said": "allowed", "imaging__clause": "Pictures may be made.", "rest_is_silent": "on"}
    assert client.post(address(version), sent(version, **typed)).status_code == 422
    assert client.post(address(version), sent(version, **typed, whole_text_read="on")).status_code == 302
    said = dict(UseTerm.objects.values_list("use", "said"))
    assert len(said) == 18
    assert {use for use, one in said.items() if one != Said.SILENT} == {int(Use.IMAGING)}
    page = text(client.get(address(version, "terms")))
    assert "Read for every use." in page
    assert "The whole text was read, and it says nothing of these." in page


def test_one_clause_for_several_uses_is_typed_once(client: Client, version: PaperVersion) -> None:
    client.post(
        address(version),
        sent(
            version, loan_at_home__said="with-duties", loan_at_home__clause="All loans need our consent.",
            loan_at_home__page="4", loan_at_home__duties="Tell us.", loan_at_home__non_commercial_only="on",
            loan_abroad__like="loan-at-home", onward_loan__like="loan-at-home", onward_loan__said="ask-first",
        ),
    )  # fmt: skip
    rows = {Use(row.use): row for row in UseTerm.objects.all()}
    assert rows.keys() == {Use.LOAN_AT_HOME, Use.LOAN_ABROAD, Use.ONWARD_LOAN}
    assert {(row.clause, row.page, row.duties, row.non_commercial_only) for row in rows.values()} == {
        ("All loans need our consent.", 4, "Tell us.", True)
    }
    assert rows[Use.LOAN_ABROAD].said == Said.WITH_DUTIES
    assert rows[Use.ONWARD_LOAN].said == Said.ASK_FIRST
    assert "Loan at home, Loan abroad : allowed with duties" in text(client.get(address(version, "terms")))


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"imaging__like": "teaching"}, "Imaging, The same clause as : Nothing is entered for “Teaching”"),
        ({"imaging__like": "teaching", "teaching__like": "imaging"}, "“Teaching” is itself given as another one."),
        ({"imaging__like": "flying"}, "Select a valid choice."),
        ({"imaging__said": "perhaps"}, "Imaging, The paper says : Select a valid choice."),
    ],
)
def test_what_can_be_taken_from_no_other_use(
    typed: dict[str, str], words: str, client: Client, version: PaperVersion
) -> None:
    answer = client.post(address(version), sent(version, **typed))
    assert answer.status_code == 422
    assert words in text(answer)


def test_who_changes_what_was_read_says_why(client: Client, version: PaperVersion, by: User) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    assert client.post(address(version), sent(version, note="x")).status_code == 422
    assert client.post(address(version), sent(version, note="x", why="misread")).status_code == 302
    assert TermsReading.history.latest().history_change_reason == "misread"


def test_two_people_read_at_once(client: Client, version: PaperVersion) -> None:
    """Both began from nothing: what the first saved is taken in, and both are kept with one more click."""
    mine = sent(version, imaging__said="allowed", imaging__clause="Mine.", teaching__said="allowed",
                teaching__clause="Pupils.")  # fmt: skip
    other = signed_in(r.person(Role.COMPLIANCE))
    theirs = sent(version, disposal__said="ask-first", disposal__clause="Theirs.", teaching__said="not-allowed",
                  teaching__clause="No pupils.")  # fmt: skip
    assert other.post(address(version), theirs).status_code == 302

    answer = client.post(address(version), mine)
    assert answer.status_code == 422
    page = text(answer)
    assert "Somebody else saved these terms while you wrote" in page
    assert "Taken in from them, where you had changed nothing: Disposal." in page
    assert "Teaching: you both changed it." in page
    assert UseTerm.objects.count() == 2, "nothing of mine was saved"

    joined = {form["said"].html_name: form["said"].value() for form in answer.context["sheet"].uses}
    assert joined["imaging-said"] == joined["teaching-said"] == "allowed"
    assert joined["disposal-said"] == "ask-first"
    again = mine | {"disposal-said": "ask-first", "disposal-clause": "Theirs.", "why": "joined",
                    "base": answer.context["sheet"].reading["base"].value()}  # fmt: skip
    assert client.post(address(version), again).status_code == 302
    assert {(Use(row.use), row.clause) for row in UseTerm.objects.all()} == {
        (Use.IMAGING, "Mine."), (Use.TEACHING, "Pupils."), (Use.DISPOSAL, "Theirs."),
    }  # fmt: skip


@pytest.mark.parametrize("base", ["", "{", "[]", '{"uses": 5}', '{"uses": [5, {"use": []}]}', "[" * 100_000])
def test_a_hidden_box_with_anything_in_it_is_another_page(
    base: str, client: Client, version: PaperVersion, by: User
) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    answer = client.post(address(version), sent(version, base=base, why="x"))
    assert answer.status_code == 422
    assert terms_object(version) == full_terms()


def test_an_amendment_begins_with_the_terms_of_the_version_before(
    client: Client, version: PaperVersion, by: User
) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    later = r.version(version.paper, "2025-01-01", None)
    assert f'href="?from={version.pk}"' in client.get(address(later)).content.decode()

    answer = client.get(address(later), {"from": version.pk})
    assert "Filled from version 1. Nothing is saved yet" in text(answer)
    said = {form.use: form["said"].value() for form in answer.context["sheet"].uses if form["said"].value()}
    assert said == {Use.LOAN_ABROAD: "allowed", Use.SEQUENCING: "not-allowed", Use.EXHIBITION: "silent"}
    assert not answer.context["sheet"].reading["whole_text_read"].value(), "that was said of the other text"
    assert terms_object(later) == {}


@pytest.mark.parametrize("asked", ["0", "x", "99999"])
def test_only_an_earlier_version_of_the_same_paper_can_be_begun_with(
    asked: str, client: Client, version: PaperVersion, by: User
) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    stranger = r.version(r.paper("OTHER"), "2025-01-01", None)
    for key in (asked, str(version.pk)):
        assert client.get(address(stranger), {"from": key}).context["sheet"].read_count == 0


# The scan


@pytest.fixture
def filed(version: PaperVersion, by: User) -> PaperScan:
    """Pages 3 to 6 of a file of eight are the paper."""
    scan = scans.scan(scans.pdf(pages=8), received_by=by, page_count=8)
    return PaperScan.objects.create(
        paper=version.paper, scan=scan, name="box.pdf", first_page=3, last_page=6, filed_by=by
    )


def test_the_scan_stands_beside_and_shows_the_quoted_page(
    client: Client, version: PaperVersion, filed: PaperScan
) -> None:
    """Page 2 of the paper is page 4 of the file. Nothing typed is lost, and nothing is told to be wrong yet."""
    typed = sent(version, imaging__said="allowed", imaging__page="2", show_page="imaging-")
    answer = client.post(address(version), typed)
    assert answer.status_code == 200
    page = answer.content.decode()
    assert 'data-pane="' in page
    assert 'data-page="4"' in page
    assert 'data-pane-page="4"' in page
    assert 'role="alert"' not in page
    assert answer.context["sheet"].uses[Use.IMAGING]["said"].value() == "allowed"
    assert not TermsReading.objects.exists()


@pytest.mark.parametrize("page", ["", "x", "0", "99999", "77", "²"])
def test_a_page_that_is_none_shows_the_scan_anyway(
    page: str, client: Client, version: PaperVersion, filed: PaperScan
) -> None:
    answer = client.post(address(version), sent(version, imaging__page=page, show_page="imaging-"))
    assert answer.status_code == 200
    shown = re.search(r'data-page="(\d+)"', answer.content.decode())
    assert shown is not None
    assert 3 <= int(shown[1]) <= 6


def test_only_scans_of_the_paper_stand_beside_it(
    client: Client, version: PaperVersion, filed: PaperScan, by: User
) -> None:
    """Entering terms files no scan, so another paper's is not offered."""
    stranger = scans.scan(scans.pdf(pages=2, text="of another"), received_by=by, page_count=2)
    answer = client.get(address(version), {"scan": stranger.pk})
    assert answer.context["beside"].scan == filed.scan


# Roles and restricted papers


@pytest.mark.parametrize("role", [Role.VOLUNTEER, Role.AUDITOR])
def test_who_may_only_read(role: Role, version: PaperVersion) -> None:
    client = signed_in(r.person(role))
    assert client.get(address(version)).status_code == 403
    assert client.post(address(version), {}).status_code == 403
    page = client.get(address(version, "terms"))
    assert page.status_code == 200
    assert address(version) not in page.content.decode()
    assert address(version) not in client.get(reverse("papers:terms-unread")).content.decode()


def test_a_restricted_paper_tells_its_answers_and_none_of_its_words(version: PaperVersion, by: User) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    restrict(paper=version.paper, roles=[Role.COMPLIANCE], why="secret", by=r.person(Role.COMPLIANCE))
    curator = signed_in(r.person(Role.CURATOR))
    for name in ("terms", "terms-edit"):
        refused = curator.get(address(version, name))
        assert refused.status_code == 403
        assert "compliance officers" in text(refused)
    page = text(curator.get(reverse("papers:paper", args=[version.paper_id])))
    assert "Sequencing : not allowed" in page
    assert "Loan abroad : allowed" in page
    for words in (
        "public institutions",
        "genetic work",
        "Iceland",
        "one leg",
        "Send a copy",
        "courtesy",
        "Access desk",
    ):
        assert words not in page, words
    compliance = signed_in(r.person(Role.COMPLIANCE))
    assert "No genetic work." in text(compliance.get(reverse("papers:paper", args=[version.paper_id])))


# On the paper, in the list


def test_the_page_of_the_paper_tells_by_version(client: Client, version: PaperVersion, by: User) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    r.version(version.paper, "2025-01-01", None)
    answer = client.get(reverse("papers:paper", args=[version.paper_id]))
    page = text(answer)
    assert "Version 1, from 1 May 2024 (15 uses left to read)" in page
    assert "Version 2, from 1 January 2025 (not read yet)" in page
    assert "Loans may be made to public institutions." in page
    assert "Read the terms of use" in page
    assert '<blockquote class="clause">' in answer.content.decode()


def test_the_history_of_the_paper_names_the_use(client: Client, version: PaperVersion, by: User) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    after = full_terms()
    after["uses"][1]["said"] = "ask-first"
    save_terms(version=version, data=after, by=by, why="misread")
    changes = client.get(reverse("papers:paper", args=[version.paper_id])).context["page"].changes
    told = [(change.what, change.did, change.why) for change in changes]
    assert told[0] == ("Term of use Sequencing", "changed", "misread")
    assert told[1] == ("Reading of the terms of use", "added", "read")
    assert len([one for one in told if one[2] == "read"]) == 1, "the uses of one reading are one entry"


@pytest.fixture
def three(by: User) -> dict[str, Paper]:
    """Read to the end, in part, not at all; and a paper without a version."""
    papers = {name: r.paper(name) for name in ("ALL", "SOME", "NONE", "EMPTY")}
    silent = [{"use": use.code, "said": "silent"} for use in Use]
    for name, uses in (("ALL", silent), ("SOME", silent[:5]), ("NONE", None)):
        version = r.version(papers[name], "2024-05-01", None)
        if uses is not None:
            save_terms(version=version, data={"whole_text_read": True, "uses": uses}, by=by, why="read")
    return papers


@pytest.mark.parametrize(
    ("asked", "found"),
    [("read", ["ALL"]), ("partly", ["SOME"]), ("not-read", ["EMPTY", "NONE"]), ("", ["ALL", "EMPTY", "NONE", "SOME"]),
     ("nonsense", ["ALL", "EMPTY", "NONE", "SOME"])],
)  # fmt: skip
def test_the_list_of_papers_narrowed(asked: str, found: list[str], client: Client, three: dict[str, Paper]) -> None:
    answer = client.get(reverse("papers:papers"), {"terms": asked})
    assert [row.paper.reference for row in answer.context["page"]] == found


def test_the_list_of_papers_by_how_far_they_were_read(client: Client, three: dict[str, Paper]) -> None:
    answer = client.get(reverse("papers:papers"), {"sort": "-terms"})
    assert [row.paper.reference for row in answer.context["page"]] == ["ALL", "SOME", "NONE", "EMPTY"]
    page = text(answer)
    assert "5 of 18 read" in page
    assert "The terms of use of 3 are still to be read." in page


def test_the_list_looks_at_the_version_that_binds(client: Client, three: dict[str, Paper]) -> None:
    r.version(three["ALL"], "2025-01-01", None)
    on = {"on": "2024-12-31", "terms": "read"}
    assert len(client.get(reverse("papers:papers"), on).context["page"]) == 1
    assert len(client.get(reverse("papers:papers"), on | {"on": "2025-01-01"}).context["page"]) == 0


# What is still to be read


def test_most_material_comes_first(client: Client, three: dict[str, Paper]) -> None:
    """By hand: NONE is linked to a site with two specimens and to one specimen, SOME to an accession of two others."""
    site = r.site("GE-NAZ-7")
    event = r.event("EV-7", site=site)
    first = r.specimen("S-1", event=event)
    r.specimen("S-2", event=event)
    other = r.accession("LMN-2024-099")
    for number in ("S-3", "S-4"):
        r.specimen(number, accession=other, event=r.event(f"EV-{number}"))
    r.link(three["NONE"], site=site)
    r.link(three["NONE"], specimen=first)
    r.link(three["SOME"], accession=other)

    answer = client.get(reverse("papers:terms-unread"))
    rows = [(row.version.paper.reference, row.read, row.specimens, row.links) for row in answer.context["page"]]
    assert rows == [("NONE", 0, 3, 2), ("SOME", 5, 2, 1)]
    page = text(answer)
    assert "2 of 3 versions are not read to the end." in page
    assert "Nothing at all was read of 1 of them." in page
    assert "1 paper has no version entered at all." in page
    assert "13 uses left" in page


def test_a_paper_linked_to_everything_and_links_that_ended(client: Client, three: dict[str, Paper]) -> None:
    r.specimen("S-1")
    r.link(three["SOME"], all_accessions=True)
    ended = r.link(three["NONE"], accession=r.accession("LMN-1"))
    ended.unlinked_at = "2024-06-01T00:00Z"
    ended.save()
    rows = client.get(reverse("papers:terms-unread")).context["page"].object_list
    assert [(row.version.paper.reference, row.specimens, row.links) for row in rows] == [("SOME", 1, 1), ("NONE", 0, 0)]


def test_earlier_versions_only_if_asked_for(client: Client, three: dict[str, Paper]) -> None:
    r.version(three["SOME"], "2023-01-01", "2023-12-31")
    now = client.get(reverse("papers:terms-unread")).context["page"]
    every = client.get(reverse("papers:terms-unread"), {"versions": "all", "sort": "first"}).context["page"]
    assert len(now.object_list) == 2
    assert next(row.version.in_force_from for row in every) == date(2023, 1, 1)
    assert len(every.object_list) == 3


@pytest.mark.parametrize("sort", ["reference", "-kind", "first", "unread", "nonsense", "--reference", ""])
def test_every_order_and_none(sort: str, client: Client, three: dict[str, Paper]) -> None:
    assert client.get(reverse("papers:terms-unread"), {"sort": sort}).status_code == 200


def test_the_list_as_csv(client: Client, three: dict[str, Paper]) -> None:
    answer = client.get(reverse("papers:terms-unread-csv"), {"sort": "reference"})
    lines = list(csv.reader(io.StringIO(b"".join(answer.streaming_content).decode("utf-8-sig"))))  # type: ignore[attr-defined]
    assert lines[0][:3] == ["reference", "kind", "version from"]
    assert lines[1:] == [
        ["NONE", "collecting-permit", "2024-05-01", "", "not-read", "0", "18", "0", "0"],
        ["SOME", "collecting-permit", "2024-05-01", "", "partly", "5", "13", "0", "0"],
    ]  # fmt: skip


def test_nothing_to_read(client: Client) -> None:
    assert "There is no version to read yet." in text(client.get(reverse("papers:terms-unread")))


def test_a_version_that_does_not_exist(client: Client) -> None:
    assert client.get(reverse("papers:terms", args=[77])).status_code == 404
    assert client.get(reverse("papers:terms-edit", args=[77])).status_code == 404


# Queries


def test_queries_do_not_grow(client: Client, three: dict[str, Paper], by: User, django_assert_num_queries: Any) -> None:
    """Session and user; then the version, its paper, terms. Clauses, versions and papers add none."""
    version = three["ALL"].versions.get()
    more = r.version(three["ALL"], "2025-01-01", None)
    save_terms(version=more, data=full_terms(), by=by, why="read")
    with django_assert_num_queries(8):
        client.get(address(version, "terms"))
    with django_assert_num_queries(9):
        client.get(address(version))
    for number in range(30):
        r.link(r.version(r.paper(f"P-{number}"), "2024-05-01", None).paper, accession=r.accession(f"A-{number}"))
    with django_assert_num_queries(7):
        client.get(reverse("papers:terms-unread"))


def test_the_form_is_one_json_of_what_stood(client: Client, version: PaperVersion, by: User) -> None:
    save_terms(version=version, data=full_terms(), by=by, why="read")
    assert json.loads(client.get(address(version)).context["sheet"].reading["base"].value()) == full_terms()
