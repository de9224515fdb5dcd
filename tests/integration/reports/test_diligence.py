"""The due-diligence sheet: what is on file, what people told, and what is not known. Never a declaration.

Fields: Regulation (EU) 511/2014, Art. 4(3), and Implementing Regulation (EU) 2015/1866, Annexes II and III, mostly from
memory, as the data file says field by field.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from accessions.material.models import Accession
from accessions.people.access import role_bits
from accessions.sites.models import SiteTenure
from governance.engine.tables import Layer
from governance.engine.uses import Said, Use
from governance.jurisdictions import diligence_fields
from governance.papers.models import Paper, PaperKind, PaperStatus
from governance.usedesk.models import DeskRules
from tests.factories import register
from tests.factories.composed import composed, everything, notes, rows, value
from tests.factories.usedesk import made_use, recipient, use_term

pytestmark = pytest.mark.django_db

CONSENT, TERMS, CERTIFICATE = (
    PaperKind.PRIOR_INFORMED_CONSENT, PaperKind.MUTUALLY_AGREED_TERMS, PaperKind.CERTIFICATE_OF_COMPLIANCE,
)  # fmt: skip


@pytest.fixture
def accession() -> Accession:
    """Two specimens of Kakheti, of 17 and 18 June 2024."""
    made = register.accession()
    for day in ("2024-06-17", "2024-06-18"):
        register.specimen(accession=made, event=register.event(day=day, state_province="Kakheti", locality="a bridge"))
    return made


def paper(kind: str, reference: str, of: Accession | None = None, **fields: Any) -> Paper:
    made = register.paper(reference, (Layer.ACCESS,), kind=kind, **fields)
    if of is not None:
        register.link(made, accession=of)
    return made


def fields(made: Any) -> dict[str, tuple[Any, str]]:
    return {key: (told, state) for key, told, state in rows(made, "fields", "field", "value", "state")}


def test_nothing_on_file_stays_not_known():
    """An accession without material and papers: no field is filled by what would be likely."""
    made = composed("diligence", accession=register.accession())
    told = fields(made)
    assert {key for key, (_, state) in told.items() if state != "not-known"} == {"subsequent_users"}
    assert told["subsequent_users"] == (None, "not-found")
    assert value(made, "fields") == "20"
    assert value(made, "fields_not_known") == "19"
    assert "unknown_no-material" in notes(made)


def test_fields_from_the_register(accession):
    DeskRules.objects.update_or_create(pk=1, defaults={"institution": "Lindmark Museum", "address": "Quay 1"})
    accession.source = register.agent("Nazvri Institute", kind="organisation")
    accession.save()
    paper(PaperKind.ACCESS_PERMIT, "ACC-1", accession)
    paper(CONSENT, "PIC-1", accession, issuer="Ministry of Streams", holder="J. Ek")
    paper(TERMS, "MAT-1", accession)
    told = fields(composed("diligence", accession=accession))
    assert {key: told[key] for key in (
        "place_of_access", "description", "date_of_access", "access_permit", "pic_granted_by", "pic_granted_to", "mat",
        "source", "user", "certificate_identifier",
    )} == {
        "place_of_access": ("GE: Kakheti", "on-file"),
        "description": ("Calopteryx splendens", "on-file"),
        "date_of_access": ("2024-06-17/2024-06-18", "on-file"),
        "access_permit": ("ACC-1", "on-file"),
        "pic_granted_by": ("Ministry of Streams", "on-file"),
        "pic_granted_to": ("J. Ek", "on-file"),
        "mat": ("MAT-1", "yes"),
        "source": ("Nazvri Institute", "on-file"),
        "user": ("Lindmark Museum, Quay 1", "on-file"),
        "certificate_identifier": (None, "not-known"),
    }  # fmt: skip


def test_a_day_that_is_not_known_to_the_day_is_neither_first_nor_last(accession):
    """May 2024 beside 17 and 18 June: the days are June's, in part, and the specimen stands among what is not known."""
    event = register.event(day="2024-05-01", latest_on=date(2024, 5, 31), state_province="Kakheti")
    register.specimen(accession=accession, event=event)
    made = composed("diligence", accession=accession)
    assert fields(made)["date_of_access"] == ("2024-06-17/2024-06-18", "in-part")
    assert rows(made, "unknown", "question") == [("undated",)] and notes(made)["days_not_exact"] == {"n": 1}


def test_without_a_permit_the_agreement_on_access_is_named(accession):
    """As one in an agreement; terms that do not answer the layer of access name nothing. No source says "memory"."""
    other = register.paper("MTA-1", (Layer.EXPORT,), kind=TERMS)
    register.link(other, accession=accession)
    assert fields(composed("diligence", accession=accession))["access_permit"] == (None, "not-known")
    paper(TERMS, "MAT-1", accession)
    made = composed("diligence", accession=accession)
    assert fields(made)["access_permit"] == ("MAT-1", "linked")
    paper(PaperKind.ACCESS_PERMIT, "ACC-1", accession)
    assert fields(composed("diligence", accession=accession))["access_permit"] == ("ACC-1", "on-file")
    assert not [source for (source,) in rows(made, "fields", "source") if "memory" in source]


def test_what_people_told(accession):
    texts = {
        "research": "Rivers", "grant": "G-12", "recipient": "J. Ek, Quay 1", "funding": "public",
        "confidential": "item 2", "product": "a paper", "event": "none yet",
    }  # fmt: skip
    told = fields(composed("diligence", accession=accession, texts=texts))
    assert [told[key] for key in (
        "research_subject", "funding_recipient", "funding_source", "confidential", "product", "event", "covers",
    )] == [
        ("Rivers; G-12", "told"), ("J. Ek, Quay 1", "told"), ("public", "told"), ("item 2", "told"),
        ("a paper", "told"), ("none yet", "told"), (None, "not-known"),
    ]  # fmt: skip


def test_a_certificate_of_all_the_material_stands_in_for_place_and_permit(accession):
    """Art. 4(3): the certificate, or else the place, the day, the permit. It is of its user and its use alone."""
    certificate = paper(CERTIFICATE, "ABSCH-IRCC-GE-123456-1", accession)
    register.version(certificate, "2024-06-17", None)
    made = composed("diligence", accession=accession)
    told = fields(made)
    assert told["certificate_identifier"] == ("ABSCH-IRCC-GE-123456-1", "on-file")
    not_needed = {key for key, (_, state) in told.items() if state == "not-needed"}
    assert not_needed == {key for key, one in diligence_fields().items() if one.without_certificate}
    assert "certificate_of_its_user" in notes(made)
    assert fields(composed("diligence", paper=certificate))["certificate_identifier"][1] == "on-file"


@pytest.mark.parametrize(
    ("reference", "first", "suspended"),
    [
        ("ABSCH-IRCC-GE-123456-1", "2024-06-18", False),  # a day after the first was taken
        ("ABSCH-IRCC-GE-123456-1", None, False),  # no version was read
        ("ABSCH-IRCC-GE-123456-1", "2020-01-01", True),
        ("GE-123456", "2020-01-01", False),  # not the form of the Clearing-House
    ],
)
def test_a_certificate_that_did_not_stand_leaves_the_answers(accession, reference, first, suspended):
    certificate = paper(CERTIFICATE, reference, accession)
    if first:
        register.version(certificate, first, None)
    if suspended:
        PaperStatus.objects.create(paper=certificate, state="suspended", from_on=date(2021, 1, 1))
    told = fields(composed("diligence", accession=accession))
    assert "not-needed" not in {state for _, state in told.values()}
    assert told["date_of_access"] == ("2024-06-17/2024-06-18", "on-file")


def test_a_certificate_of_a_part_stands_in_for_nothing(accession):
    certificate = paper(CERTIFICATE, "ABSCH-IRCC-GE-123456-1")
    register.link(certificate, specimen=accession.specimens.first())
    told = fields(composed("diligence", accession=accession))
    assert told["certificate_identifier"] == ("ABSCH-IRCC-GE-123456-1", "in-part")
    assert told["date_of_access"] == ("2024-06-17/2024-06-18", "on-file")


def test_agreements_that_share_the_material_cover_it_together(accession):
    first, second = accession.specimens.all()
    register.link(paper(TERMS, "MAT-1"), specimen=first)
    later = paper(TERMS, "MAT-2")
    assert fields(composed("diligence", accession=accession))["mat"] == ("MAT-1", "in-part")
    register.link(later, specimen=second)
    assert fields(composed("diligence", accession=accession))["mat"] == ("MAT-1; MAT-2", "yes")


@pytest.mark.parametrize("state", ["applied", "refused", "revoked", "surrendered"])
def test_terms_that_were_not_given_or_ended_are_none(accession, state):
    """That none stands is not that none is needed: never "no"."""
    terms = paper(TERMS, "MAT-1", accession)
    PaperStatus.objects.create(paper=terms, state=state, from_on=date(2024, 7, 1))
    made = composed("diligence", accession=accession)
    assert fields(made)["mat"] == (None, "not-known")
    assert notes(made)["agreements_ended"] == {"n": 1}


def test_days_and_places_that_are_missing_are_in_part(accession):
    register.specimen(accession=accession, event=register.event(day="", country=""))
    made = composed("diligence", accession=accession)
    told = fields(made)
    assert told["date_of_access"] == ("2024-06-17/2024-06-18", "in-part")
    assert told["place_of_access"] == ("GE: Kakheti", "in-part")
    assert sorted(row[0] for row in rows(made, "unknown", "question")) == ["undated", "unplaced"]


def test_what_read_terms_say_is_passed_on(accession):
    """Nothing read is not known, though the paper is on file; a silent term says nothing."""
    terms = paper(TERMS, "MAT-1", accession)
    version = register.version(terms, "2024-01-01", None)
    use_term(version, Use.IMAGING, Said.SILENT)
    assert fields(composed("diligence", accession=accession))["rights_and_obligations"] == (None, "not-known")
    use_term(version, Use.COMMERCIAL_USE, Said.NOT_ALLOWED, clause="Nothing is sold.", clause_number="7.2")
    told = fields(composed("diligence", accession=accession))
    assert told["rights_and_obligations"] == ("MAT-1", "in-terms")
    assert told["mat_content"] == ("MAT-1 7.2: Nothing is sold.", "in-terms")


def test_later_users_are_institutions(accession):
    first, second = accession.specimens.all()
    made_use(first, recipient=recipient(name="Nordvik Museum"))
    made_use(second, deed="gift", recipient=recipient(name="CANARY collector", kind=3))
    made = composed("diligence", accession=accession)
    assert fields(made)["subsequent_users"] == ("Nordvik Museum", "in-part")
    assert "CANARY" not in everything(made) and notes(made)["kept_recipients"] == {"n": 1}


def test_nearer_places_owners_and_closed_papers_stay_out(accession):
    """Canaries in the locality, the site, the source who owns land, and in a closed paper that the reader may read."""
    owner = register.agent("CANARY Owner")
    site = register.site("CANARY-SITE", name="CANARY bank")
    SiteTenure.objects.create(site=site, agent=owner)
    accession.source = owner
    accession.save()
    for one in accession.specimens.all():
        one.event.site, one.event.locality = site, "CANARY bridge"
        one.event.save()
    closed = {"restricted_to": role_bits(["compliance"]), "restricted_why": "CANARY why"}
    terms = paper(TERMS, "CANARY-7", accession, issuer="CANARY issuer", holder="CANARY holder", **closed)
    use_term(register.version(terms), Use.IMAGING, Said.ALLOWED, clause="CANARY clause")
    paper(CONSENT, "PIC-1", accession, issuer="CANARY Owner", holder="J. Ek")
    made = composed("diligence", reader=register.person("compliance"), accession=accession)
    told, said = fields(made), notes(made)
    assert "CANARY" not in everything(made)
    assert [told[key] for key in ("mat", "source", "pic_granted_by", "mat_content")] == [(None, "kept-back")] * 4
    assert (said["kept_whole_papers"], said["kept_localities"]) == ({"n": 1}, {"n": 2})
    assert made.contents.disclosure.places == "region"


def test_a_closed_paper_is_told_to_its_readers_where_the_sheet_is_about_it(accession):
    closed = {"restricted_to": role_bits(["compliance"]), "restricted_why": "why"}
    terms = paper(TERMS, "MAT-1", accession, **closed)
    read = composed("diligence", reader=register.person("compliance"), paper=terms)
    assert fields(read)["mat"] == ("MAT-1", "yes")
    made = composed("diligence", paper=terms)
    assert fields(made)["mat"] == (None, "kept-back") and notes(made)["kept_papers"] == {"n": 1}


def test_the_sheet_says_that_it_is_no_declaration(accession):
    made = composed("diligence", accession=accession)
    assert "not_a_declaration" in notes(made)
    assert value(made, "fields_from_memory") == "15"  # 20 fields, of which the source of 5 was read
