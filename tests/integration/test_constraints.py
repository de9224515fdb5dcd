"""What the register must never hold, tried past the forms: the database itself refuses it, by the constraint's name.

What this cannot show: that the constraints are the right ones. That every constraint is tried at all is shown by
``test_every_constraint_is_tried``, that people read words by ``test_words_of_a_form``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, models, transaction
from django.utils import timezone

from accessions.intake.models import Batch
from accessions.material.models import (
    Accession,
    Delivery,
    Determination,
    Part,
    PoolMember,
    Removal,
    SamplingEvent,
    Specimen,
    Touch,
)
from accessions.names.models import Taxon
from accessions.people.access import EVERY_ROLE
from accessions.people.models import Agent, AgentName, User
from accessions.sites.models import Site, SiteBoundary, SiteDesignation, SiteTenure
from governance.engine.tables import Layer
from governance.guide.models import SkippedStep, Step
from governance.papers.models import (
    AcceptedOffer,
    Condition,
    Paper,
    PaperContinuation,
    PaperLink,
    PaperScan,
    PaperStatus,
    PaperVersion,
    ReadingPage,
    ReceivedFile,
    TermsReading,
    TitleRecord,
    UseTerm,
    VersionCap,
    VersionPerson,
    VersionPlace,
    VersionSeason,
    VersionTaxon,
    VersionWord,
)
from governance.plans.models import (
    Application,
    ApplicationScan,
    ApplicationStop,
    Consignment,
    FieldPlan,
    PlanDecision,
    PlanNotice,
    PlanPaper,
    PlanSignOff,
    PlanVersion,
    Stop,
    StopTarget,
    StopTrap,
)
from governance.scans.models import Filing, Scan, ScanMark, ScanPage, Upload
from governance.usedesk.models import (
    CitesListing,
    DeskRules,
    ExchangeLabel,
    FootingRule,
    MadeUse,
    ProviderQuestion,
    Recipient,
    Remedy,
    RequestDecision,
    RequestItem,
    ScanLine,
    Sequence,
    SilenceRule,
    UseItem,
    UseRequest,
    WayDecision,
)
from governance.verdicts.models import (
    CountrySheet,
    HouseRuleSet,
    LayerDecision,
    Outcome,
    OutcomeFinding,
    OutcomePaper,
    Override,
    Ruling,
    RulingLayer,
    Run,
    Search,
    SheetRule,
)
from tests.factories import plans, register, scans, unwanted, unwanted_audit, usedesk

pytestmark = pytest.mark.django_db

ROOMS = (
    "people", "names", "sites", "material", "intake", "scans", "papers", "verdicts", "plans", "usedesk", "duties",
    "reports", "audit", "guide",
)  # fmt: skip
LATER, EARLIER = date(2024, 6, 17), date(2024, 6, 16)

Row = Callable[[], models.Model]


def _site_row() -> Site:
    return register.site()


def _twice(make: Row) -> Row:
    """The same row two times: the second is the one too many."""

    def second() -> models.Model:
        _write(make())
        return make()

    return second


def _boundary(**fields: Any) -> Row:
    disc = {"longitude_deg": 43.9, "latitude_deg": 42.0, "radius_m": 500.0}
    return lambda: SiteBoundary(site=_kept(Site, register.site), **(disc | fields))


def _kept(model: type[models.Model], make: Callable[[], Any]) -> Any:
    """The one row of this kind in the test, made when it is first asked for."""
    return model._default_manager.first() or make()


def _accession() -> Accession:
    kept: Accession = _kept(Accession, register.accession)
    return kept


def _paper() -> Paper:
    kept: Paper = _kept(Paper, register.paper)
    return kept


def _version() -> PaperVersion:
    kept: PaperVersion = _kept(PaperVersion, lambda: register.version(_paper()))
    return kept


def _specimen() -> Specimen:
    kept: Specimen = _kept(Specimen, register.specimen)
    return kept


def _sheet() -> CountrySheet:
    kept: CountrySheet = _kept(CountrySheet, register.sheet)
    return kept


def _plan() -> FieldPlan:
    kept: FieldPlan = _kept(FieldPlan, plans.field_plan)
    return kept


def _stop() -> Stop:
    kept: Stop = _kept(Stop, lambda: plans.stop(_plan()))
    return kept


def _plan_row(**fields: Any) -> Row:
    return lambda: FieldPlan(**{"reference": "FP-2027-01", "title": "Spring", **fields})


def _stop_row(**fields: Any) -> Row:
    return lambda: Stop(plan=_plan(), **{"name": "Weir", **fields})


def _trap_row(**fields: Any) -> Row:
    return lambda: StopTrap(stop=_stop(), **{"method": "Malaise trap", **fields})


def _plan_paper(*, at_stop: bool = False, **fields: Any) -> Row:
    return lambda: PlanPaper(
        plan=_plan(), stop=_stop() if at_stop else None, paper=_paper(), linked_by=_somebody(), **fields
    )


def _plan_decision(*, at_stop: bool = False, **fields: Any) -> Row:
    return lambda: PlanDecision(
        plan=_plan(), stop=_stop() if at_stop else None, decided_by=_somebody(),
        **{"layer": 0, "reason": "No owner is known.", "evidence": "Land register", **fields},
    )  # fmt: skip


def _application(**fields: Any) -> Row:
    return lambda: Application(plan=_plan(), **{"layer": 5, "kind": "export-permit", **fields})


def _kept_application() -> Application:
    kept: Application = _kept(Application, lambda: Application.objects.create(plan=_plan(), layer=5, kind="other"))
    return kept


def _plan_version(number: int = 1) -> PlanVersion:
    return PlanVersion(plan=_plan(), number=number, kept_by=_somebody(), contents={})


def _sign_off(**fields: Any) -> Row:
    def make() -> PlanSignOff:
        version = _kept(
            PlanVersion, lambda: PlanVersion.objects.create(plan=_plan(), number=1, kept_by=_somebody(), contents={})
        )
        return PlanSignOff(version=version, signed_by=_somebody(), **{"remark": "All is there.", **fields})

    return make


def _use_term(**fields: Any) -> Row:
    values = {"use": 1, "said": 0, "clause": "The museum may lend it."} | fields
    return lambda: UseTerm(version=_version(), **values)


def _request() -> UseRequest:
    kept: UseRequest = _kept(UseRequest, usedesk.use_request)
    return kept


def _request_row(**fields: Any) -> Row:
    return lambda: UseRequest(**{"reference": "UR-1", "title": "A loan", "asked_on": LATER, "uses": 1, **fields})


def _use_decision(**fields: Any) -> Row:
    values = {"is_approved": True, "answer": 0} | fields
    return lambda: RequestDecision(request=_request(), decided_by=_somebody(), **values)


def _question(**fields: Any) -> Row:
    values = {"uses": 1, "asked_of": "Permit desk", "asked_on": EARLIER} | fields
    return lambda: ProviderQuestion(request=_request(), paper=_paper(), recorded_by=_somebody(), **values)


def _way_decision(**fields: Any) -> Row:
    values = {"layer": int(Layer.EXPORT), "reason": "No rule.", "evidence": "Letter of the office"} | fields
    return lambda: WayDecision(request=_request(), decided_by=_somebody(), **values)


def _scan_line(**fields: Any) -> Row:
    values = {"key": "k1", "code": "LMN-1", "outcome": "unknown"} | fields
    return lambda: ScanLine(request=_request(), read_by=_somebody(), **values)


def _silence(**fields: Any) -> Row:
    return lambda: SilenceRule(**{"use": 8, "reading": 2, "reason": "House policy of 2026", **fields})


def _listing(**fields: Any) -> Row:
    return lambda: CitesListing(
        **{"name": "Parnassius apollo", "appendix": "II", "source": "Appendices", "checked_on": LATER, **fields}
    )


def _made(**fields: Any) -> Row:
    return lambda: MadeUse(**{"deed": "loan", "on": EARLIER, "recorded_by": _somebody(), **fields})


def _kept_use() -> MadeUse:
    kept: MadeUse = _kept(MadeUse, usedesk.made_use)
    return kept


def _use_item() -> UseItem:
    return UseItem(use=_kept_use(), specimen=_specimen())


def _sequence(number: str = "AB123456") -> Row:
    def make() -> Sequence:
        item = _kept(UseItem, lambda: UseItem.objects.create(use=_kept_use(), specimen=_specimen()))
        return Sequence(item=item, accession_number=number)

    return make


def _remedy(**fields: Any) -> Row:
    return lambda: Remedy(use=_kept_use(), opened_by=_somebody(), **{"what": "Tell the provider.", **fields})


def _pool_member(*, of_itself: bool = False) -> Row:
    def make() -> PoolMember:
        pool = _specimen()
        member = pool if of_itself else Specimen.objects.exclude(pk=pool.pk).first() or register.specimen()
        return PoolMember(pool=pool, member=member)

    return make


def _somebody() -> User:
    return register.person()


def _event(**fields: Any) -> Row:
    read = {"reading": "run", "earliest_on": EARLIER, "latest_on": LATER}
    return lambda: SamplingEvent(digest=register.digest_of(str(fields)), **(read | fields))


def _specimen_row(**fields: Any) -> Row:
    def make() -> Specimen:
        event = register.event()
        return Specimen(accession=_accession(), event=event, name=register.written_name(), **fields)

    return make


def _own_parent() -> Specimen:
    """A row can only name itself once it is there."""
    specimen = register.specimen()
    specimen.parent = specimen
    return specimen


def _link(*targets: str, **fields: Any) -> Row:
    makers: dict[str, Callable[[], Any]] = {
        "specimen": _specimen,
        "part": lambda: _kept(Part, lambda: register.part(_accession())),
        "accession": _accession,
        "event": lambda: _kept(SamplingEvent, register.event),
        "site": lambda: _kept(Site, register.site),
    }
    return lambda: PaperLink(paper=_paper(), **{name: makers[name]() for name in targets}, **fields)


def _reviewed_by_the_same() -> Override:
    override = _override(needs_review=True, reviewed_at=timezone.now(), review_note="I agree with myself.")()
    assert isinstance(override, Override)
    override.reviewed_by = override.decided_by
    return override


def _override(**fields: Any) -> Row:
    values = {"layer": 0, "computed": 2, "decided": 0, "reason": "the letter of 1998 is in the file"} | fields
    return lambda: Override(specimen=_specimen(), decided_by=_somebody(), **values)


def _batch(**fields: Any) -> Row:
    return lambda: Batch(file_name="june.csv", data=b"", sha256="0" * 64, received_by=_somebody(), **fields)


def _taken_back(**fields: Any) -> Batch:
    """A file that was taken back, but for what is told otherwise."""
    values: dict[str, Any] = {
        "committed_at": timezone.now(), "committed_by": _somebody(), "taken_back_at": timezone.now(),
        "taken_back_by": _somebody(), "taken_back_why": "It was the file of another year.",
    }  # fmt: skip
    batch = _batch(state="taken-back", **(values | fields))()
    assert isinstance(batch, Batch)
    return batch


def _received(**fields: Any) -> Row:
    return lambda: ReceivedFile(file_name="a.json", data=b"[]", sha256="0" * 64, received_by=_somebody(), **fields)


def _outcome() -> Outcome:
    kept: Outcome = _kept(Outcome, lambda: Outcome.objects.create(digest="0" * 64, layer=0, verdict=0))
    return kept


def _ruling() -> Ruling:
    kept: Ruling = _kept(Ruling, lambda: Ruling.objects.create(digest="0" * 64, strip="0" * 9, worst=0))
    return kept


def _place(**fields: Any) -> Row:
    return lambda: VersionPlace(version=_version(), **fields)


def _season(**fields: Any) -> Row:
    days = {"from_month": 3, "from_day": 1, "to_month": 7, "to_day": 31} | fields
    return lambda: VersionSeason(version=_version(), **days)


def _rule(**fields: Any) -> Row:
    values = {"layer": 1, "required": True, "source": "invented rule, section 1"} | fields
    return lambda: SheetRule(sheet=_sheet(), **values)


def _search(**fields: Any) -> Row:
    values = {"layer": 1, "state": 1, "searched_on": LATER, "searched_by": "Vera Lund"} | fields
    return lambda: Search(accession=_accession(), **values)


def _scan() -> Scan:
    kept: Scan = _kept(Scan, scans.scan)
    return kept


def _scan_row(**fields: Any) -> Row:
    values = {"sha256": "f" * 64, "size_bytes": 9, "media_type": "text/plain", "stored_name": "ab/c"} | fields
    return lambda: Scan(**({"original_name": "a.txt"} | values), received_by=_somebody())


_UPLOAD: dict[str, Any] = {"token": "0" * 32, "name": "a.txt", "size_bytes": 9}


def _upload(**fields: Any) -> Row:
    return lambda: Upload(**(_UPLOAD | fields), started_by=_somebody())


def _filing(*targets: str, **fields: Any) -> Row:
    makers: dict[str, Callable[[], Any]] = {"accession": _accession, "site": lambda: _kept(Site, register.site)}
    values = {"name": "consent.pdf"} | fields
    return lambda: Filing(scan=_scan(), filed_by=_somebody(), **{n: makers[n]() for n in targets}, **values)


def _scan_mark(**fields: Any) -> Row:
    return lambda: ScanMark(**({"kind": "illegible"} | fields), scan=_scan(), marked_by=_somebody())


def _scan_page(**fields: Any) -> Row:
    return lambda: ScanPage(**({"number": 3} | fields), scan=_scan())


def _kept_filing() -> Filing:
    return Filing.objects.create(accession=_accession(), scan=_scan(), name="b.pdf", filed_by=_somebody())


def _reading_page(**fields: Any) -> Row:
    return lambda: ReadingPage(version=_version(), **({"subject": "valid", "page": 1} | fields))


def _accepted_offer(**fields: Any) -> Row:
    told = {"field": "issued_on", "value": "2024-05-06", "read_from": "Date: 6 May 2024", "page": 1, "start": 0}
    return lambda: AcceptedOffer(
        paper=_paper(), scan=_scan(), accepted_by=_somebody(), **(told | fields)
    )  # fmt: skip


def _paper_scan(**fields: Any) -> Row:
    values = {"name": "consent.pdf"} | fields
    return lambda: PaperScan(paper=_paper(), scan=_scan(), filed_by=_somebody(), **values)


def _decision(**fields: Any) -> Row:
    values = {"layer": 0, "reason": "the land is our own", "evidence": "folio 12"} | fields
    return lambda: LayerDecision(accession=_accession(), decided_by=_somebody(), **values)


def _decision_of_part() -> LayerDecision:
    part = _kept(Part, lambda: register.part(_accession()))
    made: LayerDecision = _decision(part=part)()  # type: ignore[assignment]
    return made


def _continuation(**fields: Any) -> Row:
    later = Paper.objects.filter(reference="COL-2025-001").first
    return lambda: PaperContinuation(
        **{"earlier": _paper(), "later": later() or register.paper("COL-2025-001"), "proof": "not-looked"} | fields
    )


REFUSED: dict[str, Row] = {
    **unwanted.REFUSED,
    **unwanted_audit.REFUSED,
    # people
    "agent_kind_known": lambda: Agent(name="J. Ek", kind="animal"),
    "agent_named": lambda: Agent(name=""),
    "agentname_once": _twice(
        lambda: AgentName(agent=_kept(Agent, lambda: Agent.objects.create(name="J. Ek")), form="J Ek", key="jek")
    ),
    "user_role_known": lambda: User(username="nora", role="owner"),
    # names
    "taxon_rank_known": lambda: Taxon(name="Odonata", key="odonata", lineage="odonata|", rank="sort"),
    "taxon_named": lambda: Taxon(name="", key="", lineage="|"),
    # sites
    "site_code_once": _twice(lambda: Site(code="GE-NAZ-1", code_key="ge-naz-1", name_key="")),
    "site_has_code": lambda: Site(code="", code_key="", name_key=""),
    "site_country_form": lambda: Site(code="A", code_key="a", name_key="", country="se"),
    "site_subdivision_form": lambda: Site(code="A", code_key="a", name_key="", subdivision="CR-a"),
    "siteboundary_period": _boundary(held_from=LATER, held_to=EARLIER),
    "siteboundary_start_once": _twice(_boundary(held_from=EARLIER)),
    "siteboundary_unknown_start_once": _twice(_boundary()),
    "siteboundary_polygon_or_disc": _boundary(polygon='{"type": "Polygon"}'),
    "siteboundary_on_earth": _boundary(longitude_deg=180.5),
    "siteboundary_error_positive": _boundary(error_m=-1.0),
    "sitetenure_period": lambda: SiteTenure(site=_site_row(), agent=register.agent(), held_from=LATER, held_to=EARLIER),
    "sitetenure_kind_known": lambda: SiteTenure(site=_site_row(), agent=register.agent(), kind="guest"),
    "sitedesignation_period": lambda: SiteDesignation(
        site=_site_row(), name="Nazvri reserve", held_from=LATER, held_to=EARLIER
    ),
    "sitedesignation_category_known": lambda: SiteDesignation(site=_site_row(), name="Reserve", category="VII"),
    # material
    "accession_numbered": lambda: Accession(number=""),
    "accession_received_first": lambda: Accession(number="1", received_on=LATER, accessioned_on=EARLIER),
    "accession_total_kind_known": lambda: Accession(number="1", total_kind="about"),
    "part_letter_once": _twice(lambda: Part(accession=_accession(), letter="A")),
    "part_lettered": lambda: Part(accession=_accession(), letter=""),
    "delivery_number_once": _twice(lambda: Delivery(accession=_accession(), number=1)),
    "delivery_entry_number_once": _twice(lambda: Delivery(number=0, entry_number="E-2026-001")),
    "delivery_is_known_by_a_number": lambda: Delivery(number=0, entry_number=""),
    "delivery_quarantine_or_none": lambda: Delivery(
        number=0, entry_number="E-2026-001", quarantine_waived="in ethanol", quarantine_in_on=EARLIER
    ),
    "delivery_released_after_quarantine": lambda: Delivery(
        number=0, entry_number="E-2026-001", released_at=timezone.now(), released_by=register.person()
    ),
    "delivery_quarantine_order": lambda: Delivery(
        accession=_accession(), number=1, quarantine_in_on=LATER, quarantine_out_on=EARLIER
    ),
    "event_period": _event(earliest_on=LATER, latest_on=EARLIER),
    "event_days_only_if_read": _event(reading="unreadable"),
    "event_on_earth": _event(longitude_deg=0.0, latitude_deg=-90.5),
    "event_radius_positive": _event(radius_m=0.0),
    "specimen_number_once": _twice(_specimen_row(catalog_number="LMN-FW-0000001")),
    "specimen_count_range": _specimen_row(count_low=2, count_high=1),
    "specimen_not_own_parent": _own_parent,
    "specimen_part_has_parent": _specimen_row(kind="part"),
    "specimen_kind_known": _specimen_row(kind="herd"),
    "determination_one_current": lambda: Determination(specimen=_specimen(), name=register.written_name()),
    "removal_reasoned": lambda: Removal(
        specimen=1, accession=register.accession("LMN-2024-039"), removed_at=timezone.now(), removed_by=_somebody()
    ),
    "touch_scope_known": lambda: Touch(scope="room", why="changed"),
    # intake
    "batch_state_known": _batch(state="lost"),
    "batch_committed_by_somebody": _batch(state="committed"),
    "batch_taken_back_for_a_reason": lambda: _taken_back(taken_back_why=""),
    # papers
    "paper_has_reference": lambda: Paper(reference="", kind="other", layers=1),
    "paper_serves_a_layer": lambda: Paper(reference="A", kind="other", layers=0),
    "paper_restricted_for_a_reason": lambda: Paper(reference="A", kind="other", layers=1, restricted_to=4),
    "paper_kind_known": lambda: Paper(reference="A", kind="letter", layers=1),
    "paperstatus_period": lambda: PaperStatus(paper=_paper(), state="granted", from_on=EARLIER, to_on=LATER),
    "paperstatus_state_known": lambda: PaperStatus(paper=_paper(), state="lost", from_on=EARLIER),
    "paperstatus_ends_once": _twice(lambda: PaperStatus(paper=_paper(), state="revoked", from_on=EARLIER)),
    "papercontinuation_once": _twice(_continuation()),
    "papercontinuation_of_another": lambda: PaperContinuation(earlier=_paper(), later=_paper()),
    "papercontinuation_proof_known": _continuation(proof="perhaps"),
    "papercontinuation_proven_by": _continuation(proof="proven"),
    "paperversion_start_once": _twice(lambda: PaperVersion(paper=_paper(), in_force_from=EARLIER)),
    "paperversion_unknown_start_once": _twice(lambda: PaperVersion(paper=_paper())),
    "paperversion_period": lambda: PaperVersion(paper=_paper(), in_force_from=LATER, in_force_to=EARLIER),
    "paperversion_assistants_known": lambda: PaperVersion(paper=_paper(), assistants="some"),
    "versionplace_says_something": _place(),
    "versionplace_whole_disc": _place(longitude_deg=43.9, latitude_deg=42.0),
    "versionplace_error_positive": _place(country="GE", boundary_error_m=-1.0),
    "versiontaxon_named": lambda: VersionTaxon(version=_version(), name=""),
    "versionword_written": lambda: VersionWord(version=_version(), subject="methods", word=""),
    "versionword_subject_known": lambda: VersionWord(version=_version(), subject="colours", word="blue"),
    "versionperson_named": lambda: VersionPerson(version=_version(), name=""),
    "versionseason_in_calendar": _season(to_month=13),
    "versioncap_words_known": lambda: VersionCap(version=_version(), limit=10, per="week"),
    "condition_written": lambda: Condition(version=_version(), text=""),
    "condition_page_from_one": lambda: Condition(version=_version(), text="Report by May.", page=0),
    "paperlink_one_target": _link("accession", "site"),
    "paperlink_end_has_time": lambda: _link("site", unlinked_by=_somebody())(),
    "paperlink_specimen_once": _twice(_link("specimen")),
    "paperlink_part_once": _twice(_link("part")),
    "paperlink_accession_once": _twice(_link("accession")),
    "paperlink_event_once": _twice(_link("event")),
    "paperlink_site_once": _twice(_link("site")),
    "paperlink_all_once": _twice(_link(all_accessions=True)),
    "paperscan_named": _paper_scan(name=""),
    "paperscan_edition": _paper_scan(edition=2),
    "paperscan_end_whole": _paper_scan(taken_off_at=timezone.now()),
    "paperscan_range": _paper_scan(first_page=7, last_page=3),
    "paperscan_range_once": _twice(_paper_scan(first_page=3, last_page=7)),
    "paperscan_whole_once": _twice(_paper_scan()),
    # scans
    "scan_hash_form": _scan_row(sha256="F" * 64),
    "scan_not_empty": _scan_row(size_bytes=0),
    "scan_has_pages": _scan_row(page_count=0),
    "scan_named": _scan_row(original_name=""),
    "scan_text_state_known": _scan_row(text_state="lost"),
    "scan_open_to_somebody": _scan_row(restricted_to=0),
    "upload_token_form": _upload(token="../../etc/passwd"),
    "upload_not_beyond_end": _upload(received_bytes=10),
    "upload_scan_only_if_whole": lambda: Upload(**_UPLOAD, scan=_scan(), received_bytes=8, started_by=_somebody()),
    # scans: marks and pages
    "scanmark_of_what": _scan_mark(kind="translation"),
    "scanmark_not_of_itself": lambda: ScanMark(scan=_scan(), other=_scan(), kind="superseded", marked_by=_somebody()),
    "scanmark_withdrawal_whole": _scan_mark(withdrawn_at=timezone.now()),
    "scanmark_stands_once": _twice(_scan_mark()),
    "scanpage_number_once": _twice(_scan_page()),
    "scanpage_from_one": _scan_page(number=0),
    "scanpage_printed_within": _scan_page(printed_page=5, printed_of=4),
    # scans: filings
    "filing_one_target": _filing("accession", "site"),
    "filing_filed_as_known": _filing("site", filed_as="treaty"),
    "filing_named": _filing("site", name=""),
    "filing_edition": _filing("site", edition=2),
    "filing_end_whole": _filing("site", taken_off_at=timezone.now()),
    "filing_accession_once": _twice(_filing("accession")),
    "filing_site_once": _twice(_filing("site")),
    "receivedfile_taken_by_somebody": _received(taken_at=timezone.now()),
    # verdicts
    "countrysheet_country_form": lambda: CountrySheet(country="g1"),
    "countrysheet_who_and_when": lambda: CountrySheet(country="GE", checked_by="Vera Lund"),
    "sheetrule_period": _rule(from_on=LATER, to_on=EARLIER),
    "sheetrule_sourced": _rule(source=""),
    "sheetrule_layer_known": _rule(layer=len(Layer)),
    "sheetrule_start_once": _twice(_rule(from_on=EARLIER)),
    "sheetrule_unknown_start_once": _twice(_rule()),
    "houseruleset_one_row": lambda: HouseRuleSet(id=2),
    "houseruleset_radius_positive": lambda: HouseRuleSet(id=1, assumed_radius_m=0.0),
    "houseruleset_allowance_positive": lambda: HouseRuleSet(id=1, datum_allowance_m=-1.0),
    "houseruleset_percent": lambda: HouseRuleSet(id=1, approximate_count_percent=100),
    "search_layer_known": _search(layer=len(Layer)),
    "search_state_known": _search(state=3),
    "search_has_person": _search(searched_by=""),
    "layerdecision_layer_known": _decision(layer=len(Layer)),
    "layerdecision_with_evidence": _decision(evidence=""),
    "layerdecision_withdrawal_whole": _decision(withdrawn_at=timezone.now()),
    "layerdecision_of_accession_once": _twice(_decision()),
    "layerdecision_of_part_once": _twice(_decision_of_part),
    "run_state_known": lambda: Run(state="lost", engine_version="1", scope="all", why="asked"),
    "run_done_has_times": lambda: _done_run(),
    "outcomepaper_order": _twice(
        lambda: OutcomePaper(outcome=_outcome(), position=0, paper=_paper(), reference="COL-2024-052")
    ),
    "outcomefinding_order": _twice(lambda: OutcomeFinding(outcome=_outcome(), position=0, sentence="It is so.")),
    "ruling_strip_form": lambda: Ruling(digest="1" * 64, strip="000000006", worst=0),
    "ruling_worst_known": lambda: Ruling(digest="1" * 64, strip="0" * 9, worst=6),
    "rulinglayer_once": _twice(lambda: RulingLayer(ruling=_ruling(), outcome=_outcome(), layer=0)),
    "override_reasoned": _override(reason=""),
    "override_words_known": _override(decided=6),
    "override_withdrawal_whole": _override(withdrawn_at=timezone.now()),
    "override_one_stands": _twice(_override()),
    "override_review_whole": _override(reviewed_at=timezone.now(), needs_review=True),
    "override_reviewed_by_another": lambda: _reviewed_by_the_same(),
    "condition_report_by_form": lambda: Condition(version=_version(), text="A report.", report_by="31-01"),
    "fieldplan_numbered": _plan_row(reference=""),
    "fieldplan_titled": _plan_row(title=""),
    "fieldplan_language_known": _plan_row(language="xx"),
    "fieldplan_closed_for_a_reason": _plan_row(closed_why="Given up."),
    "consignment_country_form": lambda: Consignment(plan=_plan(), from_country="ge"),
    "consignment_cites_known": lambda: Consignment(plan=_plan(), cites="some"),
    "stop_named": _stop_row(name=""),
    "stop_period": _stop_row(first_on=LATER, last_on=EARLIER),
    "stop_whole_point": _stop_row(longitude_deg=43.9),
    "stop_radius_positive": _stop_row(longitude_deg=43.9, latitude_deg=42.0, radius_m=0.0),
    "stop_country_form": _stop_row(country="ge"),
    "stoptarget_named": lambda: StopTarget(stop=_stop(), name=""),
    "stoptarget_rank_known": lambda: StopTarget(stop=_stop(), name="Odonata", rank="swarm"),
    "stoptrap_named": _trap_row(method=""),
    "stoptrap_period": _trap_row(first_on=LATER, last_on=EARLIER),
    "stoptrap_number_positive": _trap_row(number=0),
    "planpaper_end_whole": _plan_paper(unlinked_at=timezone.now()),
    "planpaper_of_plan_once": _twice(_plan_paper()),
    "planpaper_of_stop_once": _twice(_plan_paper(at_stop=True)),
    "plannotice_to_whom": lambda: PlanNotice(plan=_plan(), paper=_paper(), given_on=LATER, note=""),
    "plandecision_layer_known": _plan_decision(layer=len(Layer)),
    "plandecision_with_evidence": _plan_decision(evidence=""),
    "plandecision_withdrawal_whole": _plan_decision(withdrawn_at=timezone.now()),
    "plandecision_of_plan_once": _twice(_plan_decision()),
    "plandecision_of_stop_once": _twice(_plan_decision(at_stop=True)),
    "application_layer_known": _application(layer=len(Layer)),
    "application_kind_known": _application(kind="wish"),
    "application_granted_after_asked": lambda: _application(asked_on=LATER, granted_on=EARLIER, paper=_paper())(),
    "application_refused_after_asked": _application(asked_on=LATER, refused_on=EARLIER),
    "application_promised_after_asked": _application(promised_on=LATER),
    "application_granted_with_paper": _application(granted_on=LATER),
    "application_one_end": _application(asked_on=EARLIER, refused_on=LATER, dropped_on=LATER),
    "applicationstop_once": _twice(lambda: ApplicationStop(application=_kept_application(), stop=_stop())),
    "applicationscan_once": _twice(
        lambda: ApplicationScan(application=_kept_application(), scan=_scan(), added_by=_somebody())
    ),
    "planversion_number_once": _twice(_plan_version),
    "planversion_number_from_one": lambda: _plan_version(0),
    "plansignoff_with_remark": _sign_off(remark=""),
    "plansignoff_withdrawal_whole": _sign_off(withdrawn_at=timezone.now()),
    "poolmember_once": _twice(_pool_member()),
    "poolmember_of_another": _pool_member(of_itself=True),
    "termsreading_ownership_known": lambda: TermsReading(version=_version(), read_by=_somebody(), ownership=6),
    "termsreading_page_from_one": lambda: TermsReading(version=_version(), read_by=_somebody(), ownership_page=0),
    "useterm_use_once": _twice(_use_term()),
    "useterm_words_known": _use_term(said=5),
    "useterm_otherwise_known": _use_term(otherwise=0),
    "useterm_recipients_known": _use_term(recipients=32),
    "useterm_page_from_one": _use_term(page=0),
    "useterm_clause_quoted": _use_term(clause=""),
    "useterm_duties_told": _use_term(said=1),
    "useterm_only_countries_form": _use_term(only_countries="SE, IS"),
    "useterm_not_countries_form": _use_term(not_countries="se"),
    "deskrules_one_row": lambda: DeskRules(id=2),
    "deskrules_country_form": lambda: DeskRules(id=1, country="se"),
    "deskrules_loan_months": lambda: DeskRules(id=1, loan_months=0),
    "silencerule_once": _twice(_silence()),
    "silencerule_any_use_once": _twice(_silence(use=None)),
    "silencerule_use_known": _silence(use=18),
    "silencerule_reading_known": _silence(reading=1),
    "silencerule_no_paper_is_heard": _silence(paper_kind="none", reading=-1),
    "silencerule_reasoned": _silence(reason=""),
    "footingrule_use_known": lambda: FootingRule(use=18, reason="House policy"),
    "footingrule_answers_known": lambda: FootingRule(use=1, if_outside=3, reason="House policy"),
    "footingrule_reasoned": lambda: FootingRule(use=1),
    "skippedstep_known": lambda: SkippedStep(step="sing", skipped_by=register.person()),
    "skippedstep_taken_up_whole": lambda: SkippedStep(
        step=Step.PLAN, skipped_by=register.person(), taken_up_at=timezone.now()
    ),
    "skippedstep_one_stands": _twice(lambda: SkippedStep(step=Step.PLAN, skipped_by=register.person())),
    "citeslisting_named": _listing(name=""),
    "citeslisting_sourced": _listing(source=""),
    "citeslisting_appendix_known": _listing(appendix="IV"),
    "citeslisting_period": _listing(from_on=LATER, to_on=EARLIER),
    "recipient_named": lambda: Recipient(name=""),
    "recipient_once": _twice(lambda: Recipient(name="Lakes Institute", country="IS")),
    "recipient_kind_known": lambda: Recipient(name="Lakes Institute", kind=5),
    "recipient_country_form": lambda: Recipient(name="Lakes Institute", country="is"),
    "userequest_numbered": _request_row(reference=""),
    "userequest_titled": _request_row(title=""),
    "userequest_asks_for_a_use": _request_row(uses=0),
    "userequest_told_words": _request_row(commercial="may"),
    "userequest_country_form": _request_row(country="is"),
    "userequest_period": _request_row(starts_on=LATER, ends_on=EARLIER),
    "userequest_answered_by_somebody": _request_row(answered_at=timezone.now()),
    "userequest_closed_for_a_reason": _request_row(closed_why="Withdrawn."),
    "requestdecision_answer_known": _use_decision(is_approved=False, answer=6),
    "requestdecision_beyond_terms_reasoned": _use_decision(answer=2),
    "requestdecision_not_against_a_no": _use_decision(answer=5, reason="All the same."),
    "requestdecision_withdrawal_whole": _use_decision(withdrawn_at=timezone.now()),
    "requestitem_once": _twice(lambda: RequestItem(request=_request(), specimen=_specimen(), added_by=_somebody())),
    "scanline_once": _twice(_scan_line()),
    "scanline_outcome_known": lambda: _scan_line(specimen=_specimen(), outcome="odd")(),
    "scanline_of_a_specimen": _scan_line(outcome="added"),
    "providerquestion_asks_for_a_use": _question(uses=0),
    "providerquestion_of_somebody": _question(asked_of=""),
    "providerquestion_reply_whole": _question(reply="agreed", replied_on=LATER),
    "waydecision_layer_known": _way_decision(layer=0),
    "waydecision_with_evidence": _way_decision(evidence=""),
    "waydecision_one_stands": _twice(_way_decision()),
    "waydecision_withdrawal_whole": _way_decision(withdrawn_at=timezone.now()),
    "exchangelabel_words_known": lambda: ExchangeLabel(request=_request(), preserved="alive"),
    "exchangelabel_acquired_by_evidence": lambda: ExchangeLabel(request=_request(), legally_acquired="yes"),
    "madeuse_deed_known": _made(deed="theft"),
    "madeuse_period": _made(on=LATER, until_on=EARLIER),
    "madeuse_due_of_a_loan": _made(deed="gift", due_on=LATER),
    "madeuse_publication_cited": _made(deed="publication"),
    "madeuse_doi_form": _made(doi="doi:10.1234/abc"),
    "madeuse_told_words": _made(commercial="may"),
    "madeuse_answer_known": _made(answer=6),
    "madeuse_voided_for_a_reason": _made(voided_why="A slip."),
    "madeuse_from_a_loan": lambda: _made(deed="gift", parent=_kept_use())(),
    "useitem_once": _twice(_use_item),
    "useitem_answer_known": lambda: UseItem(use=_kept_use(), specimen=_specimen(), answer=6),
    "sequence_once": _twice(_sequence()),
    "sequence_numbered": _sequence(""),
    "remedy_says_what": _remedy(what=""),
    "remedy_done_whole": _remedy(done_on=LATER),
    "readingpage_subject_once": _twice(_reading_page()),
    "readingpage_from_one": _reading_page(page=0),
    "readingpage_subject_known": _reading_page(subject="stamps"),
    "acceptedoffer_whole": _accepted_offer(value=""),
    "titlerecord_kind_known": lambda: TitleRecord(accession=_accession(), kind="theft"),
    "titlerecord_right_of_somebody": lambda: TitleRecord(accession=_accession(), kind="gift", right_basis="a will"),
}
"""For each constraint a row that only it refuses; where one row is not enough, the earlier ones are saved before."""

HALF_MISSING: list[tuple[str, Row]] = [
    *unwanted.HALF_MISSING,
    *unwanted_audit.HALF_MISSING,
    ("event_on_earth", _event(longitude_deg=43.9)),
    ("siteboundary_polygon_or_disc", _boundary(radius_m=None)),
    ("siteboundary_polygon_or_disc", _boundary(latitude_deg=None)),
    ("versionplace_whole_disc", _place(longitude_deg=43.9, radius_m=30.0)),
    ("versionplace_whole_disc", _place(country="GE", radius_m=30.0)),
    ("delivery_quarantine_order", lambda: Delivery(accession=_accession(), number=1, quarantine_out_on=EARLIER)),
    ("countrysheet_who_and_when", lambda: CountrySheet(country="GE", checked_on=LATER)),
    ("run_done_has_times", lambda: _done_run(started_at=timezone.now())),
    ("override_withdrawal_whole", lambda: _override(withdrawn_by=_somebody())()),
    ("override_review_whole", _override(review_note="Agreed.")),
    ("layerdecision_withdrawal_whole", lambda: _decision(withdrawn_by=_somebody())()),
    ("layerdecision_with_evidence", _decision(reason="")),
    ("fieldplan_closed_for_a_reason", _plan_row(closed_at=timezone.now(), closed_why="Given up.")),
    ("fieldplan_closed_for_a_reason", lambda: _plan_row(closed_by=_somebody())()),
    ("stop_whole_point", _stop_row(radius_m=30.0)),
    ("stop_whole_point", _stop_row(latitude_deg=42.0, radius_m=30.0)),
    ("planpaper_end_whole", lambda: _plan_paper(unlinked_by=_somebody())()),
    ("plandecision_withdrawal_whole", lambda: _plan_decision(withdrawn_by=_somebody())()),
    ("plandecision_with_evidence", _plan_decision(reason="")),
    ("application_refused_after_asked", _application(refused_on=LATER)),
    ("application_granted_with_paper", lambda: _application(paper=_paper())()),
    ("plansignoff_withdrawal_whole", lambda: _sign_off(withdrawn_by=_somebody())()),
    ("userequest_answered_by_somebody", lambda: _request_row(answered_by=_somebody())()),
    ("userequest_closed_for_a_reason", _request_row(closed_at=timezone.now(), closed_why="Withdrawn.")),
    ("userequest_closed_for_a_reason", lambda: _request_row(closed_by=_somebody())()),
    ("requestdecision_withdrawal_whole", lambda: _use_decision(withdrawn_by=_somebody())()),
    ("providerquestion_reply_whole", _question(reply="agreed", reply_words="Yes.")),
    ("providerquestion_reply_whole", _question(replied_on=LATER)),
    ("providerquestion_reply_whole", _question(asked_on=LATER, reply="agreed", replied_on=EARLIER, reply_words="Yes.")),
    ("waydecision_with_evidence", _way_decision(reason="")),
    ("waydecision_withdrawal_whole", lambda: _way_decision(withdrawn_by=_somebody())()),
    ("madeuse_voided_for_a_reason", _made(voided_at=timezone.now(), voided_why="A slip.")),
    ("madeuse_voided_for_a_reason", lambda: _made(voided_by=_somebody())()),
    ("madeuse_due_of_a_loan", _made(on=LATER, due_on=EARLIER)),
    ("remedy_done_whole", lambda: _remedy(done_by=_somebody(), done_how="Told.")()),
    ("batch_committed_by_somebody", _batch(state="committed", committed_at=timezone.now())),
    ("batch_committed_by_somebody", _batch(committed_at=timezone.now())),
    ("batch_taken_back_for_a_reason", lambda: _taken_back(taken_back_by=None)),
    ("batch_taken_back_for_a_reason", _batch(taken_back_why="It was the file of another year.")),
    ("scan_named", _scan_row(media_type="")),
    ("scan_named", _scan_row(stored_name="")),
    ("scan_hash_form", _scan_row(sha256="f" * 63)),
    ("scan_open_to_somebody", _scan_row(papers_restricted_to=EVERY_ROLE + 1)),
    ("upload_token_form", _upload(token="")),
    ("upload_not_beyond_end", _upload(received_bytes=-1)),
    (
        "upload_scan_only_if_whole",
        lambda: Upload(**_UPLOAD, scan=_scan(), received_bytes=9, problem="It is empty.", started_by=_somebody()),
    ),
    ("paperscan_range", _paper_scan(first_page=3)),
    ("acceptedoffer_whole", _accepted_offer(field="")),
    ("acceptedoffer_whole", _accepted_offer(read_from="")),
    ("acceptedoffer_whole", _accepted_offer(page=0)),
    ("paperscan_range", _paper_scan(last_page=3)),
    (
        "filing_edition",
        lambda: Filing(
            site=_kept(Site, register.site), scan=_scan(), filed_by=_somebody(), name="b.pdf", replaces=_kept_filing()
        ),
    ),
    ("scanpage_printed_within", _scan_page(printed_page=5)),
    ("scanpage_printed_within", _scan_page(printed_of=4)),
    ("scanmark_withdrawal_whole", lambda: _scan_mark(withdrawn_by=_somebody())()),
    ("filing_end_whole", lambda: _filing("site", taken_off_by=_somebody())()),
    ("filing_one_target", _filing()),
]
"""Rows with a part missing: SQL takes "unknown" for good in a check, so a comparison with nothing must be ruled out."""


def _done_run(**fields: Any) -> Run:
    return Run(state="done", engine_version="1", scope="all", why="asked", **fields)


def models_of_the_register() -> Iterator[type[models.Model]]:
    """All models of our rooms but the copies that keep the history."""
    for model in apps.get_models():
        if model._meta.app_label in ROOMS and not model.__name__.startswith("Historical"):
            yield model


def constraints() -> dict[str, models.BaseConstraint]:
    return {one.name: one for model in models_of_the_register() for one in model._meta.constraints}


def owner_of(name: str) -> type[models.Model]:
    return next(m for m in models_of_the_register() if name in {one.name for one in m._meta.constraints})


def test_every_constraint_is_tried() -> None:
    """A new constraint gets its line above, an old one that goes takes its line along."""
    assert len(constraints()) > 80
    assert sorted(REFUSED) == sorted(constraints())


@pytest.mark.parametrize("name", sorted(REFUSED))
def test_the_database_refuses(name: str) -> None:
    refuse(name, REFUSED[name]())


@pytest.mark.parametrize(("name", "make"), HALF_MISSING, ids=[f"{n}-{i}" for i, (n, _) in enumerate(HALF_MISSING)])
def test_the_database_refuses_half_of_it(name: str, make: Row) -> None:
    refuse(name, make())


def refuse(name: str, row: models.Model) -> None:
    with pytest.raises(IntegrityError) as refusal, transaction.atomic():
        _write(row)
    assert_names(str(refusal.value), constraints()[name], type(row))


def _write(row: models.Model) -> None:
    """Past forms and ``save``: one statement."""
    model = type(row)
    if row.pk and model._default_manager.filter(pk=row.pk).exists():
        values = {field.attname: getattr(row, field.attname) for field in model._meta.concrete_fields}
        values.pop(model._meta.pk.attname)
        model._default_manager.filter(pk=row.pk).update(**values)
    else:
        model._default_manager.bulk_create([row])


def assert_names(text: str, constraint: models.BaseConstraint, model: type[models.Model]) -> None:
    """PostgreSQL names every constraint; SQLite names checks, and of a unique one its columns."""
    if connection.vendor == "sqlite" and isinstance(constraint, models.UniqueConstraint):
        columns = [f"{model._meta.db_table}.{field.column}" for field in _fields(model, constraint)]
        assert text == "UNIQUE constraint failed: " + ", ".join(columns)
    else:
        assert constraint.name in text


def _fields(model: type[models.Model], constraint: models.UniqueConstraint) -> list[Any]:
    return [model._meta.get_field(name) for name in constraint.fields]


def with_words() -> list[str]:
    default = models.BaseConstraint.default_violation_error_message
    return sorted(name for name, one in constraints().items() if str(one.violation_error_message) != str(default))


@pytest.mark.parametrize("name", with_words())
def test_words_of_a_form(name: str) -> None:
    """What a form says is the sentence that stands beside the constraint."""
    row = REFUSED[name]()
    with pytest.raises(ValidationError) as refusal:
        row.validate_constraints()
    assert str(constraints()[name].violation_error_message) in refusal.value.messages
