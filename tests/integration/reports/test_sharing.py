"""Shared pages: a signed address, opened, counted, revoked, ended, refused; nothing on it that is not for its reader.

That signatures, hashes and headers do what is asked of them is held against hashlib and against what the address itself
holds. Headers: RFC 9309 (robots.txt), the Referrer Policy of the W3C, and RFC 9111 (no-store).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import yaml
from django.core import signing
from django.core.exceptions import ValidationError
from django.test import Client
from django.utils import timezone

from accessions.people.access import role_bits
from accessions.people.models import Role
from accessions.sites.models import SiteTenure
from governance.engine.uses import Said, Use
from governance.papers.restriction import RestrictedPaperError
from governance.reports.actions import sharing as actions
from governance.reports.actions.errors import ReportError
from governance.reports.models import ReportFile, ShareLink, ShareMessage
from governance.reports.queries import shared_page
from governance.reports.queries.shared_secrecy import Secrecy
from governance.usedesk.models import DeskRules
from tests.factories import duties, register, usedesk
from tests.factories.reports import issued_report

pytestmark = pytest.mark.django_db
WORDS = Path(__file__).parents[3] / "governance" / "reports" / "shared_words"


@pytest.fixture
def by() -> Any:
    return register.person(Role.COMPLIANCE)


@pytest.fixture
def staff(by: Any) -> Client:
    client = Client()
    client.force_login(by)
    return client


def made(by: Any, **values: Any) -> tuple[ShareLink, str]:
    told: dict[str, Any] = {"name": "Nazvri Directorate", "open_until": timezone.localdate() + timedelta(30)} | values
    if not {"country", "paper", "agent"} & set(told):
        told["country"] = "GE"
    link, token = actions.make_link(by=by, why="made", **told)
    return link, f"/reports/shared/{token}/"


def file_of(report: Any) -> ReportFile:
    data = b"PK document"
    return ReportFile.objects.create(
        report=report, format="docx", name=f"{report.reference}.docx", data=data, size_bytes=len(data),
        sha256=hashlib.sha256(data).hexdigest(),
    )  # fmt: skip


def whats(link: ShareLink) -> list[str]:
    return list(link.visits.order_by("pk").values_list("what", flat=True))


def is_quiet(answer: Any) -> bool:
    return (
        answer["X-Robots-Tag"] == "noindex, nofollow, noarchive" and answer["Referrer-Policy"] == "same-origin"
        and answer["Cache-Control"] == "private, no-store"
    )  # fmt: skip


# Opened and refused ---------------------------------------------------------------------------------------------------


def test_address_is_shown_once_and_kept_as_a_hash(staff: Client, client: Client) -> None:
    sent = {"name": "Nazvri Directorate", "country": "Georgia", "language": "en", "shows_material": "on",
            "open_until": (timezone.localdate() + timedelta(90)).isoformat(), "takes_messages": "on"}  # fmt: skip
    page = staff.post("/reports/shares/new/", sent, follow=True).content.decode()
    (address,) = re.findall(r"/reports/shared/[^/]+/", page)
    link = ShareLink.objects.get()
    assert address not in staff.get(f"/reports/shares/{link.pk}/").content.decode()
    secret = address.split("/")[3].rpartition(".")[0]
    assert link.secret_sha256 == hashlib.sha256(secret.encode()).hexdigest()
    assert secret not in str(list(ShareLink.history.values())) + str(list(ShareLink.objects.values()))
    assert len(secret) >= 43  # 32 bytes are 43 characters of base64 (RFC 4648)
    answer = client.get(address)
    assert answer.status_code == 200 and is_quiet(answer)
    text = answer.content.decode()
    assert '<meta name="robots" content="noindex, nofollow, noarchive">' in text and "<script" not in text
    assert "Material from Georgia" in text and "no legal advice" in text
    assert whats(link) == ["page"]


def test_every_refusal_is_the_same(by: Any, client: Client) -> None:
    """Mistyped, of another register, revoked, ended, a file that is not offered: one page, and no word of the link."""
    link, path = made(by)
    ended, ended_path = made(by, name="Zzname")
    ShareLink.objects.filter(pk=ended.pk).update(open_until=timezone.localdate() - timedelta(1))
    token = path.split("/")[3]
    forged = signing.Signer(key="k" * 50, salt="fieldwrit.shared-page", sep=".").sign(token.rpartition(".")[0])
    unsalted = signing.Signer(sep=".").sign(token.rpartition(".")[0])
    unknown = signing.Signer(salt="fieldwrit.shared-page", sep=".").sign("A" * 43)
    wrong = [f"/reports/shared/{one}/" for one in (f"{token}x", f"x{token}", "0" * 32, forged, unsalted, unknown)]
    bodies = {client.get(one).content for one in [*wrong, ended_path, f"{path}files/1/docx/"]}
    assert (whats(link), whats(ended)) == (["refused"], ["refused"])
    assert client.get(path).status_code == 200
    actions.revoke(link, by=by, why="no longer wanted")
    for one in [path, f"{path}files/1/docx/", ended_path, *wrong]:
        answer = client.get(one)
        assert answer.status_code == 404 and is_quiet(answer), one
        bodies.add(answer.content)
    answer = client.post(f"{path}message/", {"name": "A", "text": "B"})
    assert answer.status_code == 404 and not ShareMessage.objects.exists()
    (body,) = {*bodies, answer.content}
    assert b"Zzname" not in body and b"Georgia" not in body and b"This page is not open" in body
    assert whats(link) == ["refused", "page", "refused", "refused", "refused"]
    with pytest.raises(ReportError, match="revoked"):
        actions.revoke(link, by=by, why="again")


@pytest.mark.parametrize(("days", "status"), [(0, 200), (-1, 404)])
def test_last_day_is_open(by: Any, client: Client, days: int, status: int) -> None:
    link, path = made(by)
    ShareLink.objects.filter(pk=link.pk).update(open_until=timezone.localdate() + timedelta(days))
    assert client.get(path).status_code == status


def test_what_cannot_be_made(by: Any, staff: Client) -> None:
    for days in (-1, 367):
        with pytest.raises(ValidationError, match=r"passed|at most"):
            made(by, open_until=timezone.localdate() + timedelta(days))
    closed = register.paper("SECRET", restricted_to=role_bits([Role.REGISTRAR]), restricted_why="asked for")
    with pytest.raises(RestrictedPaperError):
        made(by, paper=closed)
    sent = {"name": "X", "country": "GE", "paper": "SECRET", "open_until": "2026-13-01", "language": "xx"}
    answer = staff.post("/reports/shares/new/", sent)
    text = answer.content.decode()
    assert answer.status_code == 422 and all(words in text for words in ("open to registrars", "valid date", "xx"))
    sent = {"name": "X", "open_until": timezone.localdate().isoformat(), "language": "en"}
    assert "one of them" in staff.post("/reports/shares/new/", sent).content.decode()
    assert not ShareLink.objects.exists()


# Reports --------------------------------------------------------------------------------------------------------------


def test_file_is_taken_and_no_other(by: Any, client: Client) -> None:
    """As it was issued, byte for byte; not that of another page, not a draft, not after it was withdrawn."""
    report, other = issued_report(reference="RP-1"), issued_report(reference="RP-2", country="NO")
    file = file_of(report)
    file_of(other)
    link, path = made(by, reports=[report])
    page = client.get(path).content.decode()
    assert "RP-1" in page and file.sha256 in page and "RP-2" not in page
    answer = client.get(f"{path}files/{report.pk}/docx/")
    assert answer.content == bytes(file.data) and is_quiet(answer)
    assert answer["Content-Disposition"] == 'attachment; filename="RP-1.docx"'
    assert client.get(f"{path}files/{other.pk}/docx/").status_code == 404
    assert client.get(f"{path}files/{report.pk}/xlsx/").status_code == 404
    assert whats(link) == ["page", "file", "refused", "refused"]
    assert link.visits.filter(report=report, format="docx").count() == 1
    report.withdrawn_at, report.withdrawn_by, report.withdrawn_why = timezone.now(), by, "wrong"
    report.save()
    assert client.get(f"{path}files/{report.pk}/docx/").status_code == 404
    page = client.get(path).content.decode()
    assert "withdrawn on" in page and file.sha256 not in page


def test_reports_of_others_are_not_offered(by: Any, staff: Client) -> None:
    """A landowner's report stands on no page of a country; a draft and another country's report on none."""
    agent = register.agent("Elin Dahl")
    land, norway = issued_report(kind="landowner", agent=agent), issued_report(country="NO")
    draft = issued_report()
    type(draft).objects.filter(pk=draft.pk).update(issued_at=None, issued_by=None, digest="")
    for report in (land, norway, draft):
        with pytest.raises(ReportError, match="about something else"):
            made(by, reports=[report])
    assert not ShareLink.objects.exists()
    link, _ = made(by, agent=agent, reports=[land])
    sent = {"name": "Elin Dahl", "language": "fr", "why": "in French", "takes_messages": "on",
            "open_until": link.open_until.isoformat()}  # fmt: skip
    staff.post(f"/reports/shares/{link.pk}/edit/", sent)
    link.refresh_from_db()
    assert (link.language, link.shows_material, link.shared_reports.count()) == ("fr", False, 0)


# What it shows --------------------------------------------------------------------------------------------------------


def test_landowner_sees_their_own_land_in_their_own_time(by: Any, client: Client) -> None:
    """Of four: before the tenure, in it, on other land, without a day. One is shown, and one is told of."""
    agent, site, other = register.agent("Elin Dahl"), register.site(), register.site("GE-KAZ-1", name="Zzother meadow")
    SiteTenure.objects.create(site=site, agent=agent, held_from="2024-06-01", held_to="2024-06-30")
    SiteTenure.objects.create(site=other, agent=register.agent("Zzowner"))
    for number, (where, day) in enumerate(
        [(site, "2024-05-31"), (site, "2024-06-30"), (other, "2024-06-15"), (site, "")]
    ):
        accession = register.accession(f"LMN-2024-10{number}")
        register.specimen(accession=accession, event=register.event(day=day, site=where))
    _, path = made(by, agent=agent)
    text = client.get(path).content.decode()
    assert "LMN-2024-101" in text and "30 June 2024" in text and "Nazvri, upper bridge" in text
    assert not any(name in text for name in ("LMN-2024-100", "LMN-2024-102", "LMN-2024-103", "Zzother", "Zzowner"))
    assert "Records without a date on your land: 1." in text and "Material from your land" in text


def test_what_became_of_it(by: Any, client: Client) -> None:
    """5 under a paper: 1 lent, 1 returned, 1 used up by sampling; 2 here; one publication. Nobody is named."""
    paper, accession = register.paper(), register.accession()
    rows = [register.specimen(accession=accession, event=register.event(site=None)) for _ in range(5)]
    register.link(paper, accession=accession)
    there = usedesk.recipient(name="Zzrecipient")
    usedesk.made_use(rows[0], recipient=there, title="zztitle")
    usedesk.made_use(rows[1], deed="return", recipient=there)
    usedesk.made_use(rows[2], deed="sampling").items.update(is_used_up=True)
    usedesk.made_use(*rows, deed="publication", citation="Dahl 2026, Flies of Nazvri", doi="10.1234/abc")
    usedesk.made_use(rows[3], deed="disposal", voided_at=timezone.now(), voided_by=by, voided_why="zzwhy")
    elsewhere = register.specimen(accession=register.accession("LMN-OTHER"))
    usedesk.made_use(elsewhere, deed="exhibition")
    link, path = made(by, paper=paper)
    counts = shared_page.counts(shared_page.material_of(link))
    assert (counts.specimens, counts.here, counts.out, dict(counts.gone)) == (5, 2, 1, {"return": 1, "used-up": 1})
    text = client.get(path).content.decode()
    where = "Kept here: 2; Out on loan: 1; returned to the provider: 1; used up: 1"
    assert text.count(where) == 2
    assert "lent: 1; sampled: 1; published: 1; returned to the provider: 1" in text
    assert "Dahl 2026, Flies of Nazvri" in text and "https://doi.org/10.1234/abc" in text
    assert not re.search("(?i)zzrecipient|zztitle|zzwhy|LMN-OTHER|exhibited|42.084", text)


def test_names_are_listed(by: Any, client: Client) -> None:
    """As a landowner asks for: what was found, by name, with and without author one; and how much has no name."""
    for name, rank in (
        ("Baetis rhodani", "species"), ("Baetis rhodani (Pictet, 1843)", "species"), ("Baetis rhodani", "species"),
        ("Plecoptera", "order"), ("", ""),
    ):  # fmt: skip
        register.specimen(name=register.written_name(name, rank=rank))
    link, path = made(by)
    found = shared_page.named(shared_page.material_of(link), Secrecy(frozenset(), str))
    assert [(row.name, row.count, row.is_italic) for row in found.rows] == [
        ("Baetis rhodani", 3, True), ("Plecoptera", 1, False)
    ]  # fmt: skip
    assert (found.more, found.nameless) == (0, 1)
    text = client.get(path).content.decode()
    assert '<th scope="row" class="taxon">Baetis rhodani</th><td class="num">3</td>' in text
    assert '<th scope="row" class="muted">without a name</th><td class="num">1</td>' in text


def test_place_that_is_withheld_is_not_named(by: Any, client: Client) -> None:
    register.specimen(event=register.event(site=register.site(name="Zzden"), information_withheld="nest site"))
    _, path = made(by)
    text = client.get(path).content.decode()
    assert "place not given out" in text and "Zzden" not in text and "nest site" not in text


def test_owners_and_secret_places_are_on_no_page(by: Any, client: Client) -> None:
    """As a report to the country keeps them back: the consent of a private person forbids publishing localities."""
    site, other = register.site(name="Meadow of Karin Zzowner"), register.site("GE-KAZ-1", name="Ford of Karin Zzowner")
    for of in (site, other):
        SiteTenure.objects.create(site=of, agent=register.agent("Karin Zzowner"))
    secret, named = register.accession("LMN-2024-101"), register.accession("LMN-2024-102")
    one = register.specimen(accession=secret, event=register.event(site=site))
    register.specimen(accession=named, event=register.event(site=other))
    paper = register.paper("PRIV-1", kind="landowner-consent", issuer="Tamar Zzissuer")
    register.link(paper, accession=secret)
    usedesk.use_term(register.version(paper, "2020-01-01", None), Use.PUBLISHING_LOCALITIES, Said.NOT_ALLOWED)
    usedesk.made_use(one, deed="publication", citation="Ek 2026, Flies of Karin Zzowner and of Tamar Zzissuer")
    _, path = made(by)
    text = client.get(path).content.decode()
    assert not re.search("(?i)zzowner|zzissuer|meadow", text)
    assert text.count("place not given out") == 1 and "Ford of […]" in text and "Flies of […] and of […]" in text


def test_private_issuers_are_in_no_name_on_any_page_of_the_list(by: Any, client: Client) -> None:
    """The names are of all accessions, the page lists some of them: what stands with another is kept back here, too."""
    accessions = [register.accession(f"LMN-2024-{number}") for number in range(100, 151)]
    paper = register.paper("PRIV-1", kind="landowner-consent", issuer="Tamar Zzissuer", jurisdiction="")
    register.link(paper, accession=accessions[-1])
    for accession in accessions[:-1]:
        register.specimen(accession=accession, name=register.written_name("Plecoptera", rank="order"))
    register.specimen(accession=accessions[-1], name=register.written_name("Baetis of Tamar Zzissuer", rank="genus"))
    _, path = made(by)
    for page in ("?size=25", "?size=25&page=3"):
        text = client.get(path + page).content.decode()
        assert "Baetis of […]" in text and not re.search("(?i)zzissuer", text), page
    owner = register.agent("Tamar Zzissuer")
    site = register.site()
    SiteTenure.objects.create(site=site, agent=owner)
    register.specimen(event=register.event(site=site), name=register.written_name("Perla of Tamar Zzissuer"))
    _, own = made(by, agent=owner)
    assert "Perla of Tamar Zzissuer" in client.get(own).content.decode()


def test_deposits_of_a_restricted_paper_are_on_no_page(by: Any, client: Client) -> None:
    """Nor does any other word of it stand there."""
    closed = register.paper("ZZ-1", restricted_to=role_bits([Role.REGISTRAR]), restricted_why="asked for")
    duties.deposit(paper=closed, depository="Zzdepository", what="Zzwhat")
    duties.deposit(depository="Collection of Nazvri")
    _, path = made(by)
    text = client.get(path).content.decode()
    assert "Collection of Nazvri" in text and not re.search("(?i)zz-1|zzdepository|zzwhat", text)


def test_owner_is_named_on_their_own_page_alone(by: Any, client: Client) -> None:
    agent, site = register.agent("Elin Dahl"), register.site(name="Meadow of Elin Dahl and Karin Zzowner")
    for of in (agent, register.agent("Karin Zzowner")):
        SiteTenure.objects.create(site=site, agent=of)
    register.specimen(event=register.event(site=site))
    _, path = made(by, agent=agent)
    text = client.get(path).content.decode()
    assert "Meadow of Elin Dahl and […]" in text and "Zzowner" not in text


def test_page_speaks_its_language(by: Any, client: Client) -> None:
    """Its own words, days and numbers; greeting and house as they were typed."""
    DeskRules.objects.update_or_create(pk=1, defaults={"institution": "Lindmark Museum", "country": "SE"})
    link, path = made(by, language="es", greeting="Estimados colegas", open_until=timezone.localdate())
    register.specimen(event=register.event(day="2024-06-17"))
    text = client.get(path).content.decode()
    assert '<html lang="es">' in text and "17 de junio de 2024" in text and "Conservados aquí: 1" in text
    assert "Estimados colegas" in text and "Lindmark Museum" in text and "Escribir al museo" in text
    actions.change_link(link, by=by, why="shorter", shows_material=False, takes_messages=False)
    text = client.get(path).content.decode()
    assert "Conservados" not in text and "Escribir" not in text


def test_files_of_words_agree() -> None:
    """Every language has the keys and placeholders of English."""
    told = {path.stem: yaml.safe_load(path.read_text("utf-8")) for path in WORDS.glob("*.yaml")}
    assert set(told) == {"en", "es", "fr", "pt"}
    for code, groups in told.items():
        for group, words in told["en"].items():
            assert list(groups[group]) == list(words), (code, group)
            for key, text in words.items():
                marks = [sorted(re.findall(r"{(\w+)}", one)) for one in (text, groups[group][key])]
                assert marks[0] == marks[1], (code, key)


# Messages -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("how", ["revoked", "ended", "takes none"])
def test_message_to_a_page_that_was_closed_in_the_meantime(
    by: Any, client: Client, monkeypatch: pytest.MonkeyPatch, how: str
) -> None:
    """Closed after the page was looked up, before the message is kept: none, and the answer of closed pages."""
    link, path = made(by)
    stale = ShareLink.objects.select_related("paper", "agent").get(pk=link.pk)
    monkeypatch.setattr("governance.reports.views.shared._opened", lambda _token: stale)
    if how == "revoked":
        actions.revoke(link, by=by, why="no longer wanted")
    elif how == "ended":
        ShareLink.objects.update(open_until=timezone.localdate() - timedelta(1))
    else:
        actions.change_link(link, by=by, why="quiet", takes_messages=False)
    with pytest.raises(actions.ClosedPageError):
        actions.leave_message(stale, name="Gia", contact="", text="Thank you")
    answer = client.post(f"{path}message/", {"name": "Gia", "contact": "", "text": "Thank you"})
    assert answer.status_code == 404 and not ShareMessage.objects.exists()


def test_message_arrives_and_is_read(by: Any, staff: Client, client: Client) -> None:
    link, path = made(by)
    answer = client.post(f"{path}message/", {"name": "Gia", "contact": "", "text": "<b>Thank you</b>"}, follow=True)
    assert "Your message has arrived" in answer.content.decode()
    message = ShareMessage.objects.get()
    page = staff.get("/reports/shares/").content.decode()
    assert (
        "1 message waits to be read." in page
        and "1 message from a shared page" in staff.get("/reports/").content.decode()
    )
    assert "&lt;b&gt;Thank you&lt;/b&gt;" in page
    staff.post(f"/reports/shares/messages/{message.pk}/read/", {"back": "https://elsewhere.example/"})
    message.refresh_from_db()
    assert message.read_by == by and "waits to be read" not in staff.get("/reports/shares/").content.decode()
    staff.post(f"/reports/shares/messages/{message.pk}/read/", {"read": "no"})
    assert "Gia" in staff.get("/reports/shares/").content.decode()
    assert staff.get(f"/reports/shares/{link.pk}/").status_code == 200


def test_message_is_bounded(by: Any, client: Client) -> None:
    """Blank and long ones are told why; the sixth of a day waits for tomorrow."""
    link, path = made(by)
    answer = client.post(f"{path}message/", {"name": "", "text": "x" * 4001})
    assert answer.status_code == 422 and "at most 4000 characters" in answer.content.decode()
    assert "Please give your name" in answer.content.decode() and not ShareMessage.objects.exists()
    for number in range(5):
        assert client.post(f"{path}message/", {"name": "Gia", "text": f"{number}"}).status_code == 302
    answer = client.post(f"{path}message/", {"name": "Gia", "text": "six"})
    assert answer.status_code == 422 and "used up" in answer.content.decode()
    ShareMessage.objects.update(received_at=timezone.now() - timedelta(hours=25))
    assert client.post(f"{path}message/", {"name": "Gia", "text": "tomorrow"}).status_code == 302
    assert link.messages.count() == 6


def test_page_of_a_restricted_paper_is_for_its_readers(by: Any) -> None:
    """Whoever may not read the paper neither closes its page nor says that its messages were read."""
    paper = register.paper("SECRET-1")
    link, _path = made(by, paper=paper)
    message = actions.leave_message(link, name="Gia", contact="", text="Thank you")
    paper.restricted_to, paper.restricted_why = role_bits([Role.REGISTRAR]), "asked for"
    paper.save()
    with pytest.raises(RestrictedPaperError):
        actions.mark_message(message, by=by, is_read=True)
    with pytest.raises(RestrictedPaperError):
        actions.revoke(link, by=by, why="over")
    message.refresh_from_db()
    link.refresh_from_db()
    assert (message.read_at, link.revoked_at) == (None, None)


def test_message_is_marked_once(by: Any) -> None:
    message = actions.leave_message(made(by)[0], name="Gia", contact="", text="Thank you")
    actions.mark_message(message, by=by, is_read=True)
    actions.mark_message(message, by=register.person(Role.REGISTRAR), is_read=True)
    message.refresh_from_db()
    assert message.read_by == by, "whoever read it first"
    assert message.history.count() == 2


def test_what_an_action_refuses_of_a_page(by: Any) -> None:
    link, _path = made(by)
    with pytest.raises(ReportError, match="Say why it is revoked"):
        actions.revoke(link, by=by, why=" ")
    with pytest.raises(ValidationError, match="too long"):
        actions.leave_message(link, name="Gia", contact="", text="x" * (actions.LONGEST_MESSAGE + 1))
    with pytest.raises(ValidationError, match="no country"):
        made(by, country="XX")
    link.refresh_from_db()
    assert (link.revoked_at, ShareLink.objects.count(), ShareMessage.objects.count()) == (None, 1, 0)


def test_box_that_a_browser_filled_loses_nothing(by: Any, client: Client) -> None:
    """The text stands in the form again, the box is empty, and sending once more works; nothing pretends to be sent."""
    _, path = made(by, language="fr")
    answer = client.post(f"{path}message/", {"name": "Gia", "text": "Une question", "kept_blank": "http://x.example"})
    text = answer.content.decode()
    assert answer.status_code == 422 and not ShareMessage.objects.exists()
    assert "Une question" in text and "x.example" not in text and "n’a donc pas été envoyé" in text
    assert 'name="kept_blank"' in text and 'autocomplete="off"' in text
    assert client.post(f"{path}message/", {"name": "Gia", "text": "Une question", "kept_blank": ""}).status_code == 302


def test_days_that_nobody_wrote_are_not_told(by: Any, client: Client) -> None:
    """Of one delivery: a day, a month, a year. The month is not told as its first and last day."""
    register.specimen(event=register.event(day="2024-06-17"))
    for written, first, last in (
        ("2024-05", date(2024, 5, 1), date(2024, 5, 31)), ("2023", date(2023, 1, 1), date(2023, 12, 31)),
    ):  # fmt: skip
        vague = register.event(day="", event_date=written, reading="vague", earliest_on=first, latest_on=last)
        register.specimen(event=vague)
    _, path = made(by)
    text = client.get(path).content.decode()
    assert "17 June 2024; 2023; May 2024" in text and "1 May" not in text and "1 January" not in text
    _, path = made(by, language="pt")
    assert "maio de 2024" in client.get(path).content.decode()


def test_deposits_in_the_country_are_told(by: Any, client: Client) -> None:
    """12 and 5 in two houses, none of them ever entered here, one of them voided (3): 17."""
    register.specimen()
    for where, count in (("Nazvri House", 12), ("Tbilisi House", 5)):
        duties.deposit(country="GE", depository=where, specimens=count)
    duties.deposit(country="GE", specimens=3, voided_at=timezone.now(), voided_by=by, voided_why="twice")
    _, path = made(by)
    text = client.get(path).content.decode()
    assert "17 (Nazvri House: 12; Tbilisi House: 5)" in text and "never entered in this register: 17" in text
    _, path = made(by, agent=register.agent("Elin Dahl"))
    assert "Nazvri House" not in client.get(path).content.decode()


def test_report_is_named_in_the_language_of_the_page(by: Any, client: Client) -> None:
    _, path = made(by, language="fr", reports=[issued_report(language="en")])
    text = client.get(path).content.decode()
    assert "Rapport de conformité au pays fournisseur" in text and "English" in text


def test_foreign_form_is_refused(by: Any) -> None:
    _, path = made(by)
    assert Client(enforce_csrf_checks=True).post(f"{path}message/", {"name": "A", "text": "B"}).status_code == 403


def test_robots_are_told(client: Client) -> None:
    assert client.get("/robots.txt").content == b"User-agent: *\nDisallow: /\n"


# Numbers --------------------------------------------------------------------------------------------------------------


def test_queries_do_not_grow(
    by: Any, staff: Client, client: Client, django_assert_num_queries: Callable[..., AbstractContextManager[Any]]
) -> None:
    """Of 2 accessions and of 12 the same number of queries, to read the page and to list the links."""
    _link, path = made(by, reports=[issued_report()])
    for first, last in ((0, 2), (2, 12)):
        for number in range(first, last):
            specimen = register.specimen(
                accession=register.accession(f"LMN-{number}"),
                event=register.event(day=date(2024, 6, 1 + number).isoformat()),
            )
            usedesk.made_use(specimen)
            made(by)
        with django_assert_num_queries(40):
            client.get(path)
        with django_assert_num_queries(6):
            staff.get("/reports/shares/")
