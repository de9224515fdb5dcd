"""The check of a certificate: the nine items of the Nagoya Protocol, Art. 17(4)(a) to (i), each found or not."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from accessions.material.models import Accession
from accessions.people.access import role_bits
from accessions.sites.models import SiteTenure
from governance.engine.tables import Layer
from governance.engine.uses import Said, Use
from governance.papers.models import Paper, PaperKind, PaperStatus, VersionPlace, VersionTaxon
from tests.factories import register
from tests.factories.composed import composed, everything, notes, rows, value
from tests.factories.usedesk import use_term

pytestmark = pytest.mark.django_db

CERTIFICATE = PaperKind.CERTIFICATE_OF_COMPLIANCE


def paper(kind: str = CERTIFICATE, reference: str = "ABSCH-IRCC-GE-123456-1", **fields: Any) -> Paper:
    """A paper for the accession, which has one specimen."""
    made = register.paper(reference, (Layer.ACCESS,), kind=kind, **{"issuer": "", **fields})
    accession = Accession.objects.first()
    if accession is None:
        accession = register.accession()
        register.specimen(accession=accession)
    register.link(made, accession=accession)
    return made


def items(made: Any) -> dict[str, tuple[Any, str]]:
    return {key: (told, state) for key, told, state in rows(made, "items", "field", "value", "state")}


def test_the_nine_items_in_the_order_of_the_article():
    """Art. 17(4): issuing authority, date, provider, identifier, to whom, subject matter, terms, consent, use."""
    made = composed("certificate", paper=paper())
    nine = [(number, field, source[-3:]) for number, field, source, minimum in rows(
        made, "items", "number", "field", "source", "minimum") if minimum == "yes"]  # fmt: skip
    assert nine == [
        (1, "issuing_authority", "(a)"), (2, "date_of_issuance", "(b)"), (3, "provider", "(c)"),
        (4, "unique_identifier", "(d)"), (5, "pic_granted_to", "(e)"), (6, "subject_matter", "(f)"),
        (7, "mat_established", "(g)"), (8, "pic_obtained", "(h)"), (9, "use_type", "(i)"),
    ]  # fmt: skip
    assert value(made, "minimum_items") == "9"
    assert len(rows(made, "items", "minimum")) == 25, "the other fields of the data file follow"


def test_an_empty_certificate_has_its_number_alone():
    """Five items are not found; that terms, consent and use are meant is nowhere stated."""
    made = composed("certificate", paper=paper())
    found = {key: state for key, (_, state) in items(made).items()}
    assert found["unique_identifier"] == "on-face"
    assert [found[key] for key in ("mat_established", "pic_obtained", "use_type")] == ["not-stated"] * 3
    assert (value(made, "minimum_not_found"), value(made, "minimum_not_stated")) == ("5", "3")


def test_each_item_where_it_is_found():
    certificate = paper(issuer="Ministry of Streams", issued_on=date(2024, 4, 2), holder="J. Ek")
    version = register.version(certificate, "2024-05-01", "2027-04-30")
    VersionTaxon.objects.create(version=version, name="Calopteryx")
    VersionTaxon.objects.create(version=version, name="Unio", excluded=True)
    use_term(version, Use.COMMERCIAL_USE, Said.NOT_ALLOWED, clause="Not for sale.", clause_number="4")
    paper(PaperKind.PRIOR_INFORMED_CONSENT, "PIC-1", issuer="Streams Council", holder="Lindmark Museum")
    paper(PaperKind.MUTUALLY_AGREED_TERMS, "MAT-1")
    told = items(composed("certificate", paper=certificate))
    assert list(told.values())[:9] == [
        ("Ministry of Streams", "on-face"), ("2024-04-02", "on-face"), ("Streams Council", "linked"),
        ("ABSCH-IRCC-GE-123456-1", "on-face"), ("J. Ek", "on-face"), ("Calopteryx", "in-terms"), ("MAT-1", "yes"),
        ("PIC-1", "yes"), ("4 Not for sale.", "non-commercial"),
    ]  # fmt: skip
    assert told["date_of_expiry"] == ("2027-04-30", "on-face")


@pytest.mark.parametrize(
    ("said", "state"),
    [
        (Said.ALLOWED, "commercial"), (Said.WITH_DUTIES, "commercial"), (Said.ASK_FIRST, "ask-first"),
        (Said.NOT_ALLOWED, "non-commercial"), (Said.SILENT, "not-stated"),
    ],
)  # fmt: skip
def test_commercial_use_is_what_the_terms_say(said, state):
    certificate = paper()
    use_term(register.version(certificate), Use.COMMERCIAL_USE, said)
    assert items(composed("certificate", paper=certificate))["use_type"][1] == state


def test_confirmation_comes_from_papers_on_file_for_all_of_the_material():
    """A permit, a transfer agreement or a paper for some of it confirms nothing, or that part alone."""
    certificate = paper()
    paper(PaperKind.ACCESS_PERMIT, "ACC-1")
    paper(PaperKind.MATERIAL_TRANSFER_AGREEMENT, "MTA-1")
    assert items(composed("certificate", paper=certificate))["mat_established"] == (None, "not-stated")
    register.specimen(accession=certificate.links.get().accession)
    terms = register.paper("MAT-1", (Layer.ACCESS,), kind=PaperKind.MUTUALLY_AGREED_TERMS)
    register.link(terms, specimen=certificate.links.get().accession.specimens.first())
    assert items(composed("certificate", paper=certificate))["mat_established"] == ("MAT-1", "in-part")


@pytest.mark.parametrize(("state", "found"), [(None, "yes"), ("applied", "not-stated"), ("revoked", "not-stated")])
def test_terms_confirm_themselves_only_while_they_stand(state, found):
    terms = paper(PaperKind.MUTUALLY_AGREED_TERMS, "MAT-1")
    if state:
        PaperStatus.objects.create(paper=terms, state=state, from_on=date(2024, 7, 1))
    assert items(composed("certificate", paper=terms))["mat_established"][1] == found


def test_items_are_confidential_as_entered():
    made = composed("certificate", paper=paper(), texts={"confidential": "6: trade secret\n9: asked by the provider"})
    told = items(made)
    assert told["subject_matter"] == ("trade secret", "confidential")
    assert told["use_type"] == ("asked by the provider", "confidential")
    assert told["confidential_fields"] == ("6, 9", "told")
    assert value(made, "minimum_confidential") == "2"
    bad = composed("certificate", paper=register.paper("X"), texts={"confidential": "10: why\nnot a line"})
    assert notes(bad)["text_unread"] == {"text": "confidential", "lines": 2}


@pytest.mark.parametrize(
    ("kind", "reference", "found", "note"),
    [
        (CERTIFICATE, "ABSCH-IRCC-GE-123456-1", "on-face", None),
        (CERTIFICATE, "GE-771", "on-face", "identifier_form"),
        (PaperKind.ACCESS_PERMIT, "GE-771", "not-found", "not_a_certificate"),
    ],
)
def test_the_form_of_an_identifier_is_looked_at(kind, reference, found, note):
    """ABSCH-IRCC-country-number-revision (from memory). A permit's own number is no identifier: Art. 17(2)."""
    made = composed("certificate", paper=paper(kind, reference))
    assert items(made)["unique_identifier"][1] == found
    assert {"identifier_form", "not_a_certificate"} & set(notes(made)) == ({note} if note else set())


def test_places_and_owners_stay_out():
    certificate = paper(holder="CANARY Owner")
    SiteTenure.objects.create(site=register.site(), agent=register.agent("CANARY Owner"))
    VersionPlace.objects.create(version=register.version(certificate), site="CANARY bank")
    made = composed("certificate", paper=certificate)
    assert "CANARY" not in everything(made)
    assert items(made)["collection_location"] == (None, "kept-back")
    assert items(made)["pic_granted_to"] == (None, "kept-back")
    assert made.contents.disclosure.places == "none"
    assert (notes(made)["kept_places"], notes(made)["kept_owners"]) == ({"n": 1}, {"n": 1})


def test_closed_papers_stay_out():
    """The certificate itself to who may not read it, but for its number; another paper to everybody."""
    closed = {"restricted_to": role_bits(["compliance"]), "restricted_why": "CANARY why"}
    face = {"issuer": "CANARY issuer", "holder": "CANARY holder", "second_number": "ABSCH-IRCC-GE-99-1"}
    certificate = paper(issued_on=date(2024, 4, 2), **face, **closed)
    use_term(register.version(certificate), Use.COMMERCIAL_USE, Said.NOT_ALLOWED, clause="CANARY clause")
    paper(PaperKind.MUTUALLY_AGREED_TERMS, "CANARY-MAT", **closed)
    made = composed("certificate", paper=certificate)
    told = items(made)
    assert (
        "CANARY" not in everything(made)
        and "2024-04-02" not in everything(made)
        and "IRCC-GE-99" not in everything(made)
    )
    assert told["unique_identifier"] == ("ABSCH-IRCC-GE-123456-1", "on-face")
    assert [told[key][1] for key in ("issuing_authority", "use_type", "mat_established")] == ["kept-back"] * 3
    assert (notes(made)["kept_papers"], notes(made)["kept_whole_papers"]) == ({"n": 1}, {"n": 1})
    read = composed("certificate", reader=register.person("compliance"), paper=certificate)
    assert items(read)["issuing_authority"] == ("CANARY issuer", "on-face")
    assert items(read)["mat_established"] == (None, "kept-back"), "the report is not about that paper"


def test_a_paper_without_material_says_so():
    made = composed("certificate", paper=register.paper(kind=CERTIFICATE))
    assert rows(made, "unknown", "question") == [("no-material",)]
    assert "no_material" in notes(made)
