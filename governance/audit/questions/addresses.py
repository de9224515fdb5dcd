"""From records to the pages where they stand: the links in the rows of answers.

A link never says more than its page: whoever may not read a record is refused there. Queries that read no whole rows
link by key with ``link``.
"""

from __future__ import annotations

from typing import Final

from django.urls import reverse

from accessions.material.models import Accession, Delivery, Specimen
from accessions.people.models import Agent
from accessions.sites.models import Site
from governance.audit.asking import Cell, Linked, Plain
from governance.duties.models import Deposit, Duty
from governance.papers.models import Paper
from governance.reports.models import Report
from governance.scans.models import Scan
from governance.usedesk.models import MadeUse, Recipient, UseRequest

_PAGES: Final = {
    "specimen": "verdicts:specimen", "accession": "material:accession", "legal-file": "verdicts:legal-file",
    "delivery": "material:arrival", "paper": "papers:paper", "scan": "scans:scan", "site": "sites:site",
    "agent": "people:agent", "use": "usedesk:use", "request": "usedesk:request", "recipient": "usedesk:recipient",
    "duty": "duties:duty", "deposit": "duties:deposit", "report": "reports:report", "country": "verdicts:country",
    "plan": "plans:plan", "person": "people:person", "version-terms": "papers:terms",
}  # fmt: skip


_PAGES_BY_MODEL: Final = {
    "material.specimen": "specimen", "material.accession": "accession", "material.delivery": "delivery",
    "papers.paper": "paper", "scans.scan": "scan", "sites.site": "site", "people.agent": "agent",
    "usedesk.madeuse": "use", "usedesk.userequest": "request", "usedesk.recipient": "recipient",
    "duties.duty": "duty", "duties.deposit": "deposit", "reports.report": "report", "verdicts.countrysheet": "country",
    "plans.fieldplan": "plan",
}  # fmt: skip


def page_of(label: str, key: int) -> str:
    """The address of the page of a record, by the label of its model; "" where it has none.

    >>> page_of("material.part", 1)
    ''
    """
    kind = _PAGES_BY_MODEL.get(label)
    return reverse(_PAGES[kind], args=[key]) if kind else ""


def link(kind: str, key: int | None, value: Plain) -> Cell:
    """A value that leads to the page of a record by its primary key; the value alone where there is no record.

    Raises:
        KeyError: no records of this kind have pages.
    """
    name = _PAGES[kind]
    return value if key is None else Linked(value, reverse(name, args=[key]))


def specimen_link(specimen: Specimen) -> Linked:
    """By its catalogue number; one without is told by its key."""
    return Linked(str(specimen), reverse(_PAGES["specimen"], args=[specimen.pk]))


def accession_link(accession: Accession) -> Linked:
    return Linked(accession.number, reverse(_PAGES["accession"], args=[accession.pk]))


def delivery_link(delivery: Delivery) -> Linked:
    return Linked(str(delivery), reverse(_PAGES["delivery"], args=[delivery.pk]))


def paper_link(paper: Paper) -> Linked:
    """By its reference, which everybody may see."""
    return Linked(paper.reference, reverse(_PAGES["paper"], args=[paper.pk]))


def scan_link(scan: Scan, page: int | None = None) -> Linked:
    """By its name, at a page of the scan. Only for whoever may open it: the name of a scan is a part of it.

    page: counts in the scan, from 1.
    """
    address = reverse(_PAGES["scan"], args=[scan.pk])
    return Linked(scan.original_name, f"{address}?page={page}#pane" if page else address)


def site_link(site: Site) -> Linked:
    """By its code."""
    return Linked(site.code, reverse(_PAGES["site"], args=[site.pk]))


def agent_link(agent: Agent) -> Linked:
    return Linked(agent.name, reverse(_PAGES["agent"], args=[agent.pk]))


def use_link(use: MadeUse) -> Linked:
    """By its number; an entry without one is told by its key."""
    return Linked(str(use), reverse(_PAGES["use"], args=[use.pk]))


def request_link(request: UseRequest) -> Linked:
    return Linked(request.reference, reverse(_PAGES["request"], args=[request.pk]))


def recipient_link(recipient: Recipient) -> Linked:
    return Linked(recipient.name, reverse(_PAGES["recipient"], args=[recipient.pk]))


def duty_link(duty: Duty, value: Plain) -> Linked:
    """A duty by what the caller says of it: the words of a duty may be those of a paper that is not open to all."""
    return Linked(value, reverse(_PAGES["duty"], args=[duty.pk]))


def deposit_link(deposit: Deposit, value: Plain) -> Linked:
    return Linked(value, reverse(_PAGES["deposit"], args=[deposit.pk]))


def report_link(report: Report) -> Linked:
    return Linked(report.reference, reverse(_PAGES["report"], args=[report.pk]))
