"""Papers with terms of use over the large register of the lists (``lists_register``), and one request for the bench.

300 papers, each with a reading and a clause on every kind of use, linked in all the ways that links have: accessions,
parts, sites, events, single specimens, all. What the clauses say is drawn by lot. Everything is invented.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone

from accessions.material.models import Accession, Part, SamplingEvent, Specimen
from accessions.people.models import User
from accessions.sites.models import Site
from governance.engine.uses import Said, Use
from governance.papers.models import Paper, PaperLink, PaperVersion, TermsReading, UseTerm
from governance.usedesk.models import DeskRules, Recipient, RequestItem, UseRequest

PAPERS = 300
ASKED_ON = date(2026, 11, 20)
USES = (Use.LOAN_AT_HOME, Use.DESTRUCTIVE_SAMPLING, Use.SEQUENCING)
_SAID = (Said.ALLOWED,) * 24 + (Said.WITH_DUTIES,) * 8 + (Said.ASK_FIRST, Said.SILENT, Said.NOT_ALLOWED)


def fill_desk(specimens: int, seed: int = 3) -> UseRequest:
    """Add papers, links, terms and a request for so many specimens, which lie all over the register."""
    lot = random.Random(seed)
    with transaction.atomic():
        user, _new = User.objects.get_or_create(username="desk-bench", defaults={"role": "registrar"})
        papers = _papers()
        versions = _versions(papers)
        _terms(lot, versions, user)
        _links(lot, papers, user)
        DeskRules.objects.update_or_create(pk=1, defaults={"institution": "Lindmark Museum", "country": "SE"})
        return _request(specimens, user)


def _papers() -> list[Paper]:
    kinds = ("collecting-permit", "access-permit", "mutually-agreed-terms", "landowner-consent", "deed-of-gift")
    Paper.objects.bulk_create(
        Paper(reference=f"USE-{n:03d}", kind=kinds[n % len(kinds)], layers=1 + n % 511, issuer="Sundvik Authority")
        for n in range(PAPERS)
    )
    return list(Paper.objects.filter(reference__startswith="USE-").order_by("pk"))


def _versions(papers: list[Paper]) -> list[PaperVersion]:
    """The first issue of each, and for every third an amendment."""
    PaperVersion.objects.bulk_create(
        PaperVersion(paper=paper, in_force_from=date(year, 1, 1))
        for n, paper in enumerate(papers)
        for year in ((2001, 2015) if n % 3 == 0 else (2001,))
    )
    return list(PaperVersion.objects.filter(paper__in=papers).order_by("pk"))


def _terms(lot: random.Random, versions: list[PaperVersion], user: User) -> None:
    first, now = versions[0].paper_id, timezone.now()  # the one that speaks for all would decide everything
    TermsReading.objects.bulk_create(TermsReading(version=v, read_by=user, read_at=now) for v in versions)

    def rows() -> Iterator[UseTerm]:
        for version in versions:
            for use in Use:
                said = lot.choice(_SAID) if version.paper_id != first else Said.ALLOWED
                yield UseTerm(
                    version=version, use=int(use), said=int(said), clause_number=f"{int(use) + 1}", page=1 + use // 4,
                    clause="" if said == Said.SILENT else f"On {use.code} the Authority says this.",
                    duties="Name the Authority." if said == Said.WITH_DUTIES else "",
                    non_commercial_only=use == Use.SEQUENCING and lot.random() < 0.3,
                )  # fmt: skip

    UseTerm.objects.bulk_create(rows(), batch_size=2_000)


def _links(lot: random.Random, papers: list[Paper], user: User) -> None:
    """Two papers in three speak for accessions, the others for parts, sites, events and specimens; one for all."""
    accessions = list(Accession.objects.order_by("pk").values_list("pk", flat=True))
    kinds: dict[str, list[int]] = {
        "part_id": list(Part.objects.order_by("pk").values_list("pk", flat=True)),
        "site_id": list(Site.objects.order_by("pk").values_list("pk", flat=True)),
        "event_id": list(SamplingEvent.objects.order_by("pk").values_list("pk", flat=True)[:50_000]),
        "specimen_id": list(Specimen.objects.order_by("pk").values_list("pk", flat=True)[:50_000]),
    }
    by_accession = papers[: 2 * len(papers) // 3]
    rows: list[dict[str, Any]] = [
        {"paper": by_accession[n % len(by_accession)], "accession_id": pk} for n, pk in enumerate(accessions)
    ]
    for n, paper in enumerate(papers[len(by_accession) :]):
        kind = list(kinds)[n % len(kinds)]
        rows += [{"paper": paper, kind: pk} for pk in lot.sample(kinds[kind], min(60, 1 + len(kinds[kind]) // 100))]
    rows.append({"paper": papers[0], "all_accessions": True})
    now = timezone.now()
    PaperLink.objects.bulk_create((PaperLink(linked_by=user, linked_at=now, **row) for row in rows), batch_size=2_000)


def _request(specimens: int, user: User) -> UseRequest:
    keys = list(Specimen.objects.order_by("pk").values_list("pk", flat=True))
    step = max(1, len(keys) // specimens)
    recipient, _new = Recipient.objects.get_or_create(name="Hafnarvík Institute for Lakes", kind=0, country="IS")
    request = UseRequest.objects.create(
        reference=f"BENCH-{specimens}", title="The bench asks", recipient=recipient, asked_on=ASKED_ON, commercial="no",
        uses=sum(1 << use for use in USES), country="SE",
    )  # fmt: skip
    now = timezone.now()
    RequestItem.objects.bulk_create(
        (RequestItem(request=request, specimen_id=pk, added_by=user, added_at=now) for pk in keys[::step][:specimens]),
        batch_size=5_000,
    )
    return request
