"""What the desk answers from rows of the register: links, versions, verdicts, inheritance, the way there, replies."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from accessions.material.models import PoolMember, Specimen, Touch
from governance.engine.tables import Layer
from governance.engine.uses import Answer, Said, Use
from governance.papers.models import Paper, TitleRecord
from governance.usedesk.models import (
    CitesListing,
    DeskRules,
    FootingRule,
    ProviderQuestion,
    SilenceRule,
    UseRequest,
    WayDecision,
)
from governance.usedesk.queries.answering import Facts, answers_for, derived_answer, desk_answer, one_answer
from governance.usedesk.queries.holding import NoSuchSpecimenError
from governance.usedesk.words import snapshot
from tests.factories.register import accession, link, paper, person, rule, sheet, specimen, version, written_name
from tests.factories.usedesk import made_use, use_request, use_term
from tests.factories.verdicts import judged

pytestmark = pytest.mark.django_db


def test_the_strictest_of_two_papers_decides_with_its_clause() -> None:
    one, other = specimen(), specimen()
    judged(one)
    judged(other)
    kind, strict = paper("COL-1"), paper("ABS-1")
    use_term(version(kind, "2019-01-01", None), Use.IMAGING, Said.ALLOWED)
    use_term(version(strict, "2024-01-01", None), Use.IMAGING, Said.ASK_FIRST, clause_number="13.1", page=6)
    link(kind, accession=one.accession)
    link(strict, specimen=other)

    desk = desk_answer(use_request(Use.IMAGING, specimens=[one, other], country=""))

    assert {word: count for word, count in desk.counts.items() if count} == {Answer.ALLOWED: 1, Answer.ASK_FIRST: 1}
    assert [(group.word, group.ids) for group in desk.groups] == [
        (Answer.ALLOWED, (one.pk,)), (Answer.ASK_FIRST, (other.pk,)),
    ]  # fmt: skip
    (reason,) = snapshot(desk.case_of(other.pk), desk)
    assert reason["reference"] == "ABS-1"
    assert reason["sentence"] == "ABS-1 asks for written agreement first."
    assert desk.may_go == 1


def _allowing(reference: str, use: Use, said: Said = Said.ALLOWED, **values: Any) -> Paper:
    """A paper with one clause, in force since 2019."""
    one = paper(reference)
    use_term(version(one, "2019-01-01", None), use, said, **values)
    return one


def _word(request: UseRequest, one: Specimen) -> Answer:
    return desk_answer(request).case_of(one.pk).word


def test_a_part_has_all_papers_and_the_verdict_of_what_it_was_taken_from() -> None:
    """TRADE 6.3: physical parts take all terms of the parent; common practice, no source."""
    whole = specimen(accession=accession("LMN-1"))
    leg = specimen(parent=whole, kind="part", accession=accession("LMN-2"))
    extract = specimen(parent=leg, kind="part", accession=accession("LMN-3"))
    for one in (whole, leg, extract):
        judged(one)
        link(_allowing(f"COL-{one.pk}", Use.IMAGING), specimen=one)
    link(_allowing("DEP-1", Use.IMAGING, Said.NOT_ALLOWED), specimen=whole)
    request = use_request(Use.IMAGING, specimens=[leg, extract], country="")

    assert [_word(request, one) for one in (leg, extract)] == [Answer.NOT_ALLOWED] * 2
    assert desk_answer(request).case_of(extract.pk).deciding[0].paper == desk_answer(request).references.index("DEP-1")


def test_a_part_of_material_outside_terms_waits_even_if_it_was_judged_well_itself() -> None:
    whole = specimen()
    leg = specimen(parent=whole, kind="part")
    judged(whole, "411111111")
    judged(leg)
    for one in (whole, leg):
        link(_allowing(f"COL-{one.pk}", Use.IMAGING), specimen=one)

    case = desk_answer(use_request(Use.IMAGING, specimens=[leg], country="")).case_of(leg.pk)

    assert case.answer == Answer.NOT_KNOWN
    assert [finding.code for finding in case.deciding] == ["verdict-outside"]


def test_a_pool_is_as_strict_as_its_strictest_member() -> None:
    members = [specimen() for _ in range(3)]
    pool = specimen(accession=accession("LMN-POOL"))
    for n, one in enumerate([*members, pool]):
        judged(one)
        link(_allowing(f"COL-{n}", Use.IMAGING, Said.ASK_FIRST if n == 1 else Said.ALLOWED), specimen=one)
    PoolMember.objects.bulk_create(PoolMember(pool=pool, member=one) for one in members)
    request = use_request(Use.IMAGING, specimens=[pool, members[0]], country="")

    assert _word(request, pool) == Answer.ASK_FIRST
    assert _word(request, members[0]) == Answer.ALLOWED


def test_data_takes_the_clauses_on_data_alone() -> None:
    one = specimen()
    judged(one)
    permit = paper("MTA-1")
    its = version(permit, "2019-01-01", None)
    use_term(its, Use.LOAN_AT_HOME, Said.NOT_ALLOWED)
    use_term(its, Use.PUBLISHING_IMAGES, Said.WITH_DUTIES)
    link(permit, specimen=one)
    facts = Facts((Use.LOAN_AT_HOME, Use.PUBLISHING_IMAGES), date(2026, 11, 20))

    assert answers_for([one.pk], facts).case_of(one.pk).answer == Answer.NOT_ALLOWED
    assert derived_answer([one.pk], facts).case_of(one.pk).answer == Answer.WITH_DUTIES


@pytest.mark.parametrize(
    ("day", "word"),
    [
        (date(2024, 5, 31), Answer.ALLOWED),
        (date(2024, 6, 1), Answer.NOT_ALLOWED),
        (date(2024, 6, 2), Answer.NOT_ALLOWED),
    ],
)
def test_the_version_of_the_day_of_the_request_decides(day: date, word: Answer) -> None:
    """The amendment starts on 1 June 2024: the day before it the first issue binds, from that day on the amendment."""
    one = specimen()
    judged(one)
    permit = paper("COL-1")
    use_term(version(permit, "2019-01-01", "2019-12-31"), Use.IMAGING, Said.ALLOWED)
    use_term(version(permit, "2024-06-01", None), Use.IMAGING, Said.NOT_ALLOWED)
    link(permit, specimen=one)

    assert _word(use_request(Use.IMAGING, specimens=[one], country="", asked_on=day), one) == word


def test_a_waiting_change_is_not_milder_than_its_verdict_nor_than_none() -> None:
    """A mark that nobody has taken up: the verdict that stands may be wrong, so a person looks."""
    one, other = specimen(accession=accession("LMN-1")), specimen(accession=accession("LMN-2"))
    for each in (one, other):
        judged(each)
        link(_allowing(f"COL-{each.pk}", Use.IMAGING), specimen=each)
    Touch.objects.create(scope="accession", key=one.accession_id, why="a date was corrected")
    request = use_request(Use.IMAGING, specimens=[one, other], country="")

    assert _word(request, one) == Answer.NOT_KNOWN
    assert desk_answer(request).case_of(one.pk).deciding[0].code == "not-judged"
    assert _word(request, other) == Answer.ALLOWED
    FootingRule.objects.create(use=int(Use.IMAGING), if_outside=0, if_doubtful=0, reason="Images do no harm.")
    assert _word(request, one) == Answer.ALLOWED


def _list_acinonyx(**values: Any) -> CitesListing:
    """A genus that no specimen of these tests but one belongs to."""
    return CitesListing.objects.create(
        name="Acinonyx", rank="genus", higher_classification="Animalia | Chordata | Mammalia | Carnivora | Felidae",
        appendix="I", source="invented list", checked_on="2026-01-01", **values,
    )  # fmt: skip


def _abroad(one: Specimen, **values: Any) -> UseRequest:
    judged(one)
    link(_allowing("COL-1", Use.LOAN_ABROAD), specimen=one)
    DeskRules.objects.create(pk=1, country="SE")
    return use_request(Use.LOAN_ABROAD, specimens=[one], **values)


def _codes(request: UseRequest, one: Specimen) -> set[str]:
    return {finding.code for finding in desk_answer(request).case_of(one.pk).deciding}


def test_the_way_there_is_not_known_without_sheets_and_is_by_them() -> None:
    one = specimen()
    request = _abroad(one)
    assert _codes(request, one) == {"export-not-known", "import-not-known", "cites-not-known"}

    rule(sheet("SE"), Layer.EXPORT, required=False)
    rule(sheet("IS"), Layer.IMPORT, required=True)
    _list_acinonyx()
    written = written_name("Calopteryx splendens", kingdom="Animalia", family="Calopterygidae", genus="Calopteryx")
    Specimen.objects.update(name=written)

    assert _codes(request, one) == {"import-needed"}


def test_a_decision_on_the_way_counts_for_the_country_that_was_named_then() -> None:
    one = specimen()
    request = _abroad(one)
    _list_acinonyx()
    Specimen.objects.update(name=written_name("Calopteryx splendens", genus="Calopteryx", family="Calopterygidae"))
    for layer in (Layer.EXPORT, Layer.IMPORT):
        WayDecision.objects.create(
            request=request, layer=int(layer), reason="No law", evidence="letter", decided_by=person()
        )
    assert _word(request, one) == Answer.ALLOWED

    request.country = "US"
    request.save()

    assert _codes(request, one) == {"export-not-known", "import-not-known"}


def test_material_that_nothing_is_known_of_is_not_known_to_be_free_of_cites() -> None:
    one = specimen(name=written_name("Indet."))
    request = _abroad(one)
    _list_acinonyx()

    assert "cites-not-known" in _codes(request, one)


def test_a_listed_name_counts_only_on_its_days() -> None:
    one = specimen(name=written_name("Acinonyx jubatus", genus="Acinonyx", family="Felidae", kingdom="Animalia"))
    request = _abroad(one)
    listing = _list_acinonyx(from_on="2026-11-20")
    assert {finding.code for finding in desk_answer(request).case_of(one.pk).findings} >= {"cites-needed"}

    CitesListing.objects.filter(pk=listing.pk).update(from_on="2026-11-21")

    assert "cites-not-known" in _codes(request, one), "no listing is in force on the day, so nothing is known"


def _question(request: UseRequest, of: Paper, reply: str, on: str | None, use: Use = Use.IMAGING) -> None:
    ProviderQuestion.objects.create(
        request=request, paper=of, uses=1 << use, asked_of="The Authority", asked_on="2026-11-01", reply=reply,
        replied_on=on, reply_words="As written." if reply else "", recorded_by=person(),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ([("", None)], Answer.ASK_FIRST),
        ([("agreed", "2026-11-10")], Answer.WITH_DUTIES),
        ([("agreed", "2026-11-10"), ("", None)], Answer.WITH_DUTIES),
        ([("agreed", "2026-11-10"), ("refused", "2026-11-12")], Answer.NOT_ALLOWED),
        ([("refused", "2026-11-10"), ("agreed", "2026-11-12")], Answer.WITH_DUTIES),
        ([("agreed", "2026-11-12"), ("refused", "2026-11-12")], Answer.NOT_ALLOWED),
    ],
)
def test_the_latest_reply_counts_and_of_one_day_the_refusal(
    words: list[tuple[str, str | None]], answer: Answer
) -> None:
    one = specimen()
    judged(one)
    asks = _allowing("ABS-1", Use.IMAGING, Said.ASK_FIRST)
    link(asks, specimen=one)
    request = use_request(Use.IMAGING, specimens=[one], country="")
    for reply, on in words:
        _question(request, asks, reply, on)

    assert _word(request, one) == answer
    other = use_request(Use.IMAGING, specimens=[one], country="")
    assert _word(other, one) == Answer.ASK_FIRST, "an agreement counts for one request"


@pytest.mark.parametrize(("limit", "word"), [(4, Answer.NOT_ALLOWED), (5, Answer.ALLOWED)])
def test_a_limit_counts_what_was_used_before_each_specimen_once(limit: int, word: Answer) -> None:
    """Two are asked for, three others were used before, one of the two as well: five different specimens in all."""
    made = [specimen() for _ in range(6)]
    permit = _allowing("COL-1", Use.IMAGING, most_specimens=limit)
    for one in made:
        judged(one)
        if one is not made[5]:
            link(permit, specimen=one)
    link(_allowing("COL-2", Use.IMAGING), specimen=made[5])
    made_use(*made[1:6], deed="imaging", use=int(Use.IMAGING))
    made_use(made[0], deed="imaging", use=int(Use.SEQUENCING))
    request = use_request(Use.IMAGING, specimens=made[:2], country="")

    assert {_word(request, one) for one in made[:2]} == {word}
    scanned = one_answer(Facts.of(request), made[0].pk)
    assert scanned.case_of(made[0].pk).word == word, "a scan counts the basket too"


def test_a_deposit_without_a_paper_asks_its_owner_for_what_only_an_owner_may_allow() -> None:
    one = specimen(accession=accession("LMN-D", kind="deposit"))
    judged(one)
    link(_allowing("COL-1", Use.GIFT_OR_EXCHANGE), specimen=one)
    SilenceRule.objects.create(reading=int(Answer.ALLOWED), reason="A test.")
    request = use_request(Use.GIFT_OR_EXCHANGE, specimens=[one], country="SE")
    DeskRules.objects.create(pk=1, country="SE")

    desk = desk_answer(request)

    case = desk.case_of(one.pk)
    assert (case.answer, [finding.code for finding in case.deciding]) == (Answer.ASK_FIRST, ["title-elsewhere"])
    assert snapshot(case, desk)[0]["reference"] == "deposit of LMN-D, no paper on file"
    assert desk.groups[0].lines[0].startswith("deposit of LMN-D, no paper on file is silent on it")


def test_a_paper_of_deposit_that_does_not_tell_who_keeps_title_leaves_it_with_the_depositor() -> None:
    one = specimen(accession=accession("LMN-D"))
    judged(one)
    deed = _allowing("DEP-1", Use.DISPOSAL, Said.SILENT)
    TitleRecord.objects.create(accession=one.accession, kind="deposit", paper=deed)
    SilenceRule.objects.create(reading=int(Answer.ALLOWED), reason="A test.")

    case = desk_answer(use_request(Use.DISPOSAL, specimens=[one], country="")).case_of(one.pk)

    assert [(finding.code, finding.answer) for finding in case.deciding] == [("title-elsewhere", Answer.ASK_FIRST)]


def test_groups_have_the_same_key_whatever_else_is_asked_for() -> None:
    """Addresses of groups are sent in mails: rows of papers change with the basket, keys must not."""
    one, other = specimen(), specimen()
    for n, each in enumerate((one, other)):
        judged(each)
        link(_allowing(f"P-{n}", Use.IMAGING, Said.ASK_FIRST), specimen=each)
    alone = desk_answer(use_request(Use.IMAGING, specimens=[other], country=""))
    both = desk_answer(use_request(Use.IMAGING, specimens=[one, other], country=""))

    assert alone.groups[0].key in {group.key for group in both.groups}
    assert both.group("ask-first") is not None
    assert both.group("ask-first").count == 2  # type: ignore[union-attr]


def test_a_key_that_is_no_specimen_is_refused() -> None:
    with pytest.raises(NoSuchSpecimenError):
        answers_for([10**9], Facts((Use.IMAGING,), date(2026, 11, 20)))


def test_an_agreement_does_not_count_for_another_recipient_or_purpose_than_it_was_given_for() -> None:
    """A provider who agreed to non-commercial work did not agree to what the request was changed to afterwards."""
    one = specimen()
    judged(one)
    asks = _allowing("ABS-1", Use.IMAGING, Said.ASK_FIRST)
    link(asks, specimen=one)
    request = use_request(Use.IMAGING, specimens=[one], country="")
    _question(request, asks, "agreed", "2026-11-10")
    assert _word(request, one) == Answer.WITH_DUTIES

    request.remarks = "A word that changes nothing."
    request.save()
    assert _word(request, one) == Answer.WITH_DUTIES
    request.commercial = "yes"
    request.save()

    assert _word(request, one) == Answer.ASK_FIRST
