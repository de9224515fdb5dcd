"""A paper that is restricted after a report told of it: what is stored and shared is for its readers alone."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from accessions.people.access import role_bits
from accessions.people.models import Role
from governance.papers.models import Paper
from governance.reports.actions import sharing
from governance.reports.actions.composing import compose_now
from governance.reports.models import Report, ShareVisit
from tests.factories import register, reports
from tests.integration.reports.composing.georgia import make_georgia

pytestmark = pytest.mark.django_db

TODAY = timezone.localdate()


@pytest.fixture
def canary() -> Paper:
    """A paper that bears on material of Georgia, open to all."""
    made = register.paper("CANARY-1", issuer="Zzissuer")
    register.version(made, "2020-01-01", None)
    register.link(made, accession=make_georgia().here)
    return made


def restrict(paper: Paper) -> None:
    Paper.objects.filter(pk=paper.pk).update(restricted_to=role_bits([Role.COMPLIANCE]), restricted_why="secret")


def signed_in(role: Role) -> Client:
    client = Client()
    client.force_login(register.person(role))
    return client


def composed(by: Any) -> Report:
    draft = reports.draft()
    compose_now(report=draft, by=by, today=TODAY)
    draft.refresh_from_db()
    return draft


def seen(client: Client, report: Report) -> str:
    """What the page of a report and its rows tell."""
    told = ""
    for path in ("", "rows/papers/", "rows/papers/export.csv"):
        answer = client.get(f"/reports/{report.pk}/{path}", follow=True)
        told += b"".join(list(answer)).decode("utf-8", "replace")  # of streams, too
    return told


def test_draft_is_shut_until_it_is_composed_anew(canary: Paper) -> None:
    registrar = register.person(Role.REGISTRAR)
    draft = composed(registrar)
    assert canary.pk in (draft.contents or {})["papers"]
    others, readers = signed_in(Role.REGISTRAR), signed_in(Role.COMPLIANCE)
    assert "Zzissuer" in seen(others, draft)
    restrict(canary)
    assert "Zzissuer" in seen(readers, draft)
    assert "Zzissuer" not in seen(others, draft)
    page = others.get(f"/reports/{draft.pk}/")
    assert page.status_code == 200 and "To be composed anew" in page.content.decode()
    assert others.get(f"/reports/{draft.pk}/rows/papers/").status_code == 404
    compose_now(report=draft, by=registrar, today=TODAY)
    page = others.get(f"/reports/{draft.pk}/")
    assert "To be composed anew" not in page.content.decode() and "Zzissuer" not in seen(others, draft)
    draft.refresh_from_db()
    assert canary.pk not in (draft.contents or {})["papers"]


def test_issued_report_is_for_those_who_may_read_all_that_it_tells_of(canary: Paper) -> None:
    report = composed(register.person(Role.REGISTRAR))
    report.issued_at, report.issued_by, report.digest = timezone.now(), register.person(Role.REGISTRAR), "0" * 64
    report.save()
    others = signed_in(Role.VOLUNTEER)
    assert others.get(f"/reports/{report.pk}/").status_code == 200
    restrict(canary)
    refused = others.get(f"/reports/{report.pk}/")
    assert refused.status_code == 403 and "compliance officers" in refused.content.decode()
    assert others.get(f"/reports/{report.pk}/rows/papers/").status_code == 403
    assert signed_in(Role.COMPLIANCE).get(f"/reports/{report.pk}/").status_code == 200


def test_shared_page_offers_no_report_on_a_paper_restricted_since(canary: Paper) -> None:
    """The page of the country stays; the report goes from it, with its file."""
    by = register.person(Role.COMPLIANCE)
    report = composed(by)
    report.title, report.issued_at, report.issued_by, report.digest = "Zztitle", timezone.now(), by, "0" * 64
    report.save()
    reports.file(report)
    made: dict[str, Any] = {
        "by": by,
        "why": "x",
        "name": "Directorate",
        "open_until": TODAY + timedelta(3),
        "reports": [report],
    }
    _link, token = sharing.make_link(country="GE", **made)
    path, file = f"/reports/shared/{token}/", f"/reports/shared/{token}/files/{report.pk}/docx/"
    assert "Zztitle" in Client().get(path).content.decode() and Client().get(file).status_code == 200
    restrict(canary)
    assert Client().get(path).status_code == 200
    assert "Zztitle" not in Client().get(path).content.decode() and Client().get(file).status_code == 404


def test_shared_page_about_a_paper_restricted_since_is_refused(canary: Paper) -> None:
    by = register.person(Role.COMPLIANCE)
    made: dict[str, Any] = {"by": by, "why": "x", "name": "Directorate", "open_until": TODAY + timedelta(3)}
    link, token = sharing.make_link(paper=canary, **made)
    assert Client().get(f"/reports/shared/{token}/").status_code == 200
    restrict(canary)
    assert Client().get(f"/reports/shared/{token}/").status_code == 404
    assert link.visits.filter(what=ShareVisit.What.REFUSED).count() == 1


def test_what_was_shared_of_a_restricted_paper_on_purpose_stays(canary: Paper) -> None:
    """Restricted in the house, and shown to the authority that gave it."""
    canary.restricted_to, canary.restricted_why = role_bits([Role.COMPLIANCE]), "secret"
    canary.save()
    made: dict[str, Any] = {"by": register.person(Role.COMPLIANCE), "why": "x", "name": "Directorate"}
    _link, token = sharing.make_link(paper=canary, open_until=TODAY + timedelta(3), **made)
    assert Client().get(f"/reports/shared/{token}/").status_code == 200
