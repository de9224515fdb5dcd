"""Fields of the due-diligence sheet: Regulation (EU) 511/2014, Art. 4(3); Implementing Regulation (EU) 2015/1866."""

from datetime import date

from governance.jurisdictions import diligence_fields


def test_fields_are_numbered_in_order():
    assert [field.number for field in diligence_fields().values()] == list(range(1, 21))


def test_fields_that_a_published_paper_names_decide_and_the_rest_is_from_memory():
    """Commission questions and answers of March 2018: subject matter or grant code, name of the product, place of
    access, description, identifier of the access permit or its equivalent. Every other field is from memory."""
    published = {code for code, field in diligence_fields().items() if field.decides}
    assert published == {"research_subject", "product", "place_of_access", "description", "access_permit"}
    assert all("from memory" in field.source for field in diligence_fields().values() if not field.decides)


def test_what_a_certificate_stands_in_for():
    """Annex II, from memory: with the identifier of a certificate, place, description, date, permit, who granted
    consent and to whom, and whether there are terms are not asked for; of Art. 4(3)(b) the rights and obligations."""
    assert {code for code, field in diligence_fields().items() if field.without_certificate} == {
        "place_of_access", "description", "date_of_access", "access_permit", "pic_granted_by", "pic_granted_to", "mat",
        "rights_and_obligations",
    }  # fmt: skip


def test_each_field_says_who_knows_it_and_when_it_was_checked():
    by_people = {code for code, field in diligence_fields().items() if field.by == "people"}
    assert by_people == {
        "covers", "research_subject", "funding_recipient", "funding_source", "confidential", "product", "event",
    }  # fmt: skip
    for field in diligence_fields().values():
        assert field.by in {"people", "register"}
        assert field.annex in {"II", "III", ""}
        assert field.checked_on == date(2026, 11, 20)
