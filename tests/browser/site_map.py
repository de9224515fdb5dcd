"""Every address of the site, from the URLconf, with rows of the demo for those that are of a row."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.urls import URLPattern, URLResolver, get_resolver, reverse

from accessions.people.access import VERBS_OF_ROLE
from tests.browser.conftest import Server

_SPECIMEN = "catalog_number = 'LMN-FW-0241873'"
_ACCESSION = "number = 'LMN-2024-038'"
_PAPER = "reference = 'COL-2024-052'"

_REGISTRAR = "SELECT id FROM people_user WHERE username = 'tomas.berglind'"
ROWS: dict[str, tuple[str, str]] = {
    "verdicts:accession": ("material_accession", _ACCESSION),
    "verdicts:legal-file": ("material_accession", _ACCESSION),
    "verdicts:country": ("verdicts_countrysheet", "country = 'GE'"),
    "verdicts:country-rules-at-once": ("verdicts_countrysheet", "country = 'GE'"),
    "verdicts:country-rule": ("verdicts_sheetrule", "1 = 1"),
    "verdicts:changes": ("papers_paper", _PAPER),
    "verdicts:decision-new": ("material_accession", _ACCESSION),
    "verdicts:decision-withdraw": ("verdicts_layerdecision", "1 = 1"),
    "papers:continuation": ("papers_papercontinuation", "1 = 1"),
    "verdicts:override": ("material_specimen", _SPECIMEN),
    "verdicts:paper-preview": ("papers_paper", _PAPER),
    "verdicts:specimen": ("material_specimen", _SPECIMEN),
    "verdicts:run": ("verdicts_run", "1 = 1"),
    "usedesk:use": ("usedesk_madeuse", "voided_at IS NULL"),
    "usedesk:trail-specimen": ("material_specimen", "id IN (SELECT specimen_id FROM usedesk_useitem)"),
    "usedesk:trail-accession": ("material_accession", _ACCESSION),
    "usedesk:trail-site": ("sites_site", "code = 'NA-KHO-2'"),
    "usedesk:trail-agent": ("people_agent", "id IN (SELECT agent_id FROM sites_sitetenure)"),
    "usedesk:request": ("usedesk_userequest", "closed_at IS NULL AND answered_at IS NULL"),
    "usedesk:request-ask": ("usedesk_userequest", "id IN (SELECT request_id FROM usedesk_providerquestion)"),
    "usedesk:exchange-label": ("usedesk_userequest", "closed_at IS NULL AND answered_at IS NULL"),
    "usedesk:question": ("usedesk_providerquestion", "1 = 1"),
    "usedesk:decision": ("usedesk_requestdecision", "withdrawn_at IS NULL"),
    "usedesk:way-decide": ("usedesk_userequest", "closed_at IS NULL AND answered_at IS NULL"),
    "usedesk:way-withdraw": ("usedesk_waydecision", "1 = 1"),
    "usedesk:recipient": ("usedesk_recipient", "1 = 1"),
    "usedesk:silence": ("usedesk_silencerule", "1 = 1"),
    "usedesk:listing": ("usedesk_citeslisting", "1 = 1"),
    "usedesk:loan-": ("usedesk_madeuse", "voided_at IS NULL AND deed = 'loan'"),
    "usedesk:retention": ("usedesk_madeuse", "voided_at IS NULL AND deed = 'loan'"),
    "usedesk:sequences": ("usedesk_madeuse", "voided_at IS NULL AND deed = 'sequencing'"),
    "usedesk:sequence-remove": ("usedesk_sequence", "1 = 1"),
    "usedesk:return-undo": ("usedesk_loanreturn", "1 = 1"),
    "usedesk:remedy-new": ("usedesk_madeuse", "voided_at IS NULL"),
    "usedesk:remedy": ("usedesk_remedy", "done_on IS NULL"),
    "reports:sending-void": ("reports_reportsending", "voided_at IS NULL"),
    "reports:report-file": ("reports_report", "id IN (SELECT report_id FROM reports_reportfile)"),
    "reports:report": ("reports_report", "issued_at IS NULL AND contents IS NOT NULL"),
    "duties:duty": ("duties_duty", "done_on IS NULL AND waived_on IS NULL AND dropped_on IS NULL"),
    "duties:promise": ("duties_benefitpromise", "closed_at IS NULL"),
    "duties:given": ("duties_benefitgiven", "voided_at IS NULL"),
    "duties:deposit": ("duties_deposit", "voided_at IS NULL"),
    "reports:share": ("reports_sharelink", "revoked_at IS NULL"),
    "reports:share-message": ("reports_sharemessage", "1 = 1"),
    "duties:rule": ("duties_dutyrule", "ended_at IS NULL"),
    "plans:": ("plans_fieldplan", "1 = 1"),
    "plans:plan-cell": ("plans_fieldplan", "id IN (SELECT plan_id FROM plans_stop)"),
    "plans:plan-attach": ("plans_fieldplan", "closed_at IS NULL AND accession_id IS NULL"),
    "plans:plan-decide": ("plans_fieldplan", "closed_at IS NULL AND accession_id IS NULL"),
    "plans:plan-after": ("plans_fieldplan", "accession_id IS NOT NULL"),
    "plans:plan-paper-take-off": ("plans_planpaper", "unlinked_at IS NULL"),
    "plans:plan-decision-withdraw": ("plans_plandecision", "withdrawn_at IS NULL"),
    "plans:plan-version": ("plans_planversion", "1 = 1"),
    "plans:plan-versions": ("plans_fieldplan", "1 = 1"),
    "plans:sign-off": ("plans_plansignoff", "1 = 1"),
    "papers:": ("papers_paper", _PAPER),
    "papers:terms": ("papers_paperversion", f"paper_id IN (SELECT id FROM papers_paper WHERE {_PAPER})"),
    "papers:title-": ("papers_titlerecord", "1 = 1"),
    "papers:title-new": ("material_accession", _ACCESSION),
    "papers:papers-import-file": ("papers_receivedfile", "1 = 1"),
    "papers:scan-ranges": ("scans_scan", "page_count > 1"),
    "papers:paper-scan-take-off": ("papers_paperscan", "taken_off_at IS NULL"),
    "scans:file-on-accession": ("material_accession", _ACCESSION),
    "scans:file-on-site": ("sites_site", "code = 'NA-KHO-2'"),
    "scans:": ("scans_scan", "page_count > 1"),
    "scans:scan-mark-withdraw": ("scans_scanmark", "withdrawn_at IS NULL"),
    "scans:filing-": ("scans_filing", "taken_off_at IS NULL"),
    "papers:site-boundary": ("sites_site", "code = 'NA-KHO-2'"),
    "intake:": ("intake_batch", "state = 'received'"),
    "intake:batch-take-back": ("intake_batch", "state = 'committed'"),
    "material:": ("material_accession", _ACCESSION),
    "material:part": ("material_part", "letter = 'A'"),
    "material:part-new": ("material_accession", _ACCESSION),
    "material:delivery": ("material_delivery", "1 = 1"),
    "material:arrival": ("material_delivery", "1 = 1"),
    "material:delivery-new": ("material_accession", _ACCESSION),
    "material:specimen-": ("material_specimen", _SPECIMEN),
    "sites:": ("sites_site", "code = 'NA-KHO-2'"),
    "sites:boundary-": ("sites_siteboundary", "1 = 1"),
    "sites:tenure-": ("sites_sitetenure", "1 = 1"),
    "sites:designation-": ("sites_sitedesignation", "1 = 1"),
    "people:person": ("people_user", "username = 'maja.lind'"),
    "plans:stop-": ("plans_stop", "plan_id IN (SELECT id FROM plans_fieldplan WHERE closed_at IS NULL)"),
    "plans:stop-new": ("plans_fieldplan", "closed_at IS NULL AND accession_id IS NULL"),
    "plans:stops-": ("plans_fieldplan", "closed_at IS NULL AND accession_id IS NULL"),
    "plans:home-": ("plans_consignment", "1 = 1"),
    "plans:home-new": ("plans_fieldplan", "closed_at IS NULL AND accession_id IS NULL"),
    "plans:plan-edit": ("plans_fieldplan", "closed_at IS NULL AND accession_id IS NULL"),
    "plans:plan-close": ("plans_fieldplan", "closed_at IS NULL AND accession_id IS NULL"),
    "plans:plan-notice": ("plans_fieldplan", "closed_at IS NULL AND accession_id IS NULL"),
    "plans:notice-remove": ("plans_plannotice", "1 = 1"),
    "plans:application": ("plans_application", "granted_on IS NULL"),
    "plans:application-new": ("plans_fieldplan", "closed_at IS NULL"),
    "plans:application-scan-take-off": ("plans_applicationscan", "1 = 1"),
    "people:agent": ("people_agent", "name = 'J. Ek'"),
    "audit:history": ("papers_paper", _PAPER),
    "audit:minimise": ("people_agent", "id IN (SELECT agent_id FROM sites_sitetenure)"),
    "verdicts:override-review": ("verdicts_override", "withdrawn_at IS NULL"),
    "audit:quality-withdraw": ("audit_qualitynote", "withdrawn_at IS NULL"),
    "audit:verdict-changes": ("material_specimen", _SPECIMEN),
    "audit:saved-": ("audit_savedquestion", f"removed_at IS NULL AND owner_id IN ({_REGISTRAR})"),
}
"""Table and condition of the row behind ``pk``, by the start of the name; the longest start counts."""

OF_SITE = {"sites:boundary-new", "sites:tenure-new", "sites:designation-new"}

OTHER_KEYS: dict[str, tuple[str, str]] = {
    "stop": ("plans_stop", "plan_id = {pk}"),
    "version_pk": ("papers_paperversion", "paper_id = {pk}"),
    "turn_pk": ("papers_paperstatus", "paper_id = {pk}"),
    "form_pk": ("people_agentname", "agent_id = {pk} AND form <> 'J. Ek'"),
    "paper": ("papers_paper", "id IN (SELECT paper_id FROM usedesk_providerquestion WHERE request_id = {pk})"),
}
WORDS: dict[str, int | str] = {
    "layer": "land",
    "code": "NO",
    "form": "csv",
    "number": 1,
    "step": "ask",
    "first_step": "plan",
    "deed": "loan",
    "group": "allowed",
    "use": "loan-abroad",
    "way": "export",
    "table": "material",
    "format": "docx",
    "kind": "papers.paper",
    "key": "outside-dates",
    "rule": "quality-without-date",
    "finding": "area-edge",
    "verdict": "straddles",
    "answer": "ask-first",
}


@dataclass(frozen=True)
class Address:
    """One address: its name, the keys it wants, the verb it asks for ("" for none)."""

    name: str
    keys: tuple[str, ...]
    verb: str

    def path(self, server: Server) -> str:
        """The address with rows of the demo."""
        found: dict[str, int | str] = {}
        for key in self.keys:
            if key == "pk":
                found[key] = server.key(*_row_of(self.name))
            elif key in OTHER_KEYS:
                table, condition = OTHER_KEYS[key]
                found[key] = server.key(table, condition.format(**found))
            else:
                found[key] = WORDS[key]
        return reverse(self.name, kwargs=found)

    @property
    def role(self) -> str:
        """A role that may open it; the registrar where possible, who works with the register every day."""
        if not self.verb:
            return "registrar"
        may = [role for role, verbs in VERBS_OF_ROLE.items() if self.verb in verbs]
        return str("registrar" if "registrar" in may else may[0])


def _row_of(name: str) -> tuple[str, str]:
    if name in OF_SITE:
        return ROWS["sites:"]
    starts = [start for start in ROWS if name.startswith(start)]
    assert starts, f"{name}: say in ROWS which row of the demo shows this page"
    return ROWS[max(starts, key=len)]


OF_A_MOMENT = {
    "audit:bundle-progress": "is there only while a large file is made for somebody; test_bundle_pages.py knows it",
    "audit:utilisation-withdraw": "is there only once somebody stated an end; test_keeping.py knows it",
    "audit:bundle-file": "a file, and only for whom it was made",
    "scans:upload": "is there only while its sender's file comes; tests/integration/scans knows it",
    "duties:feed": "its address is a secret that is shown once; tests/integration/duties/test_reminders.py reads one",
    "reports:shared": "its address is known to its reader alone; tests/integration/reports/test_sharing.py opens one",
    "reports:shared-file": "the same",
    "reports:shared-message": "the same",
    ":robots": "is no page",
}
"""Addresses that no row of the demo has, each with the reason."""


def addresses() -> list[Address]:
    """All addresses of the site, by name."""
    found = (address for address in _walk(get_resolver().url_patterns, "") if address.name not in OF_A_MOMENT)
    return sorted(found, key=lambda address: address.name)


def _walk(patterns: list[URLPattern | URLResolver], room: str) -> Iterator[Address]:
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            yield from _walk(pattern.url_patterns, pattern.namespace or room)
        else:
            verb = getattr(pattern.callback, "required_verb", "")
            yield Address(f"{room}:{pattern.name}", tuple(pattern.pattern.converters), str(verb))
