"""Scans filed with accessions and sites, sorted, and taken off again. Filings are dated and never deleted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from accessions.material.models import Accession
from accessions.people.access import Verb, check
from accessions.sites.models import Site
from governance.scans.actions.dropping import Arrived, Drop, take_in
from governance.scans.editions import Standing
from governance.scans.filed import Filed, Outcome
from governance.scans.models import FiledAs, Filing, Scan
from governance.scans.queries.visible import check_open

WHY_LENGTH = 200


def file_scans(*, scans: Sequence[Scan], accession: Accession | None = None, site: Site | None = None,
               filed_as: str = FiledAs.UNSORTED, names: Mapping[int, str] | None = None, by: Any,
               why: str = "") -> list[Filed]:  # fmt: skip
    """File scans that the person may open with one accession or one site.

    Args:
        names: by the key of a scan the name that it came under this time; its first name where it is missing.

    Returns:
        what became of each: filed, filed as a later edition of its name, or filed there already.

    Raises:
        NotAllowedError: the person may not file scans, or may not open one of these.
        ValidationError: not one target, or no such kind of file.
    """
    check(by, Verb.ATTACH_SCANS)
    for scan in scans:
        check_open(by, scan)
    known = names or {}
    arrived = [Arrived(scan, known.get(scan.pk) or scan.original_name) for scan in scans]
    return _file_all(arrived, _target(accession, site), filed_as, by, why)


def file_drop(*, drop: Drop, accession: Accession | None = None, site: Site | None = None,
              filed_as: str = FiledAs.UNSORTED, by: Any, why: str = "") -> list[Filed]:  # fmt: skip
    """Receive the files of a drop and file the sound ones; what became of each, in their order."""
    check(by, Verb.ATTACH_SCANS)
    target = _target(accession, site)
    _known_kind(filed_as)  # before anything is received
    results = take_in(drop=drop, by=by, why=why)
    filed = iter(_file_all([one for one in results if isinstance(one, Arrived)], target, filed_as, by, why))
    return [next(filed) if isinstance(one, Arrived) else one for one in results]


def _target(accession: Accession | None, site: Site | None) -> dict[str, Accession | Site]:
    given = {name: value for name, value in (("accession", accession), ("site", site)) if value is not None}
    if len(given) != 1:
        raise ValidationError(_("A scan is filed with one accession or one site."))
    return given


def _file_all(arrived: Sequence[Arrived], target: Mapping[str, Any], filed_as: str, by: Any, why: str) -> list[Filed]:
    kind = _known_kind(filed_as)
    with transaction.atomic():
        [place] = target.values()
        type(place).objects.select_for_update().get(pk=place.pk)  # two drops of one name become two editions
        there = Standing(Filing.objects.filter(**target, taken_off_at=None).select_related("replaces"))
        return [_file(one, target, there, kind, by, why) for one in arrived]


def _file(one: Arrived, target: Mapping[str, Any], there: Standing[Filing], kind: FiledAs, by: Any, why: str) -> Filed:
    same = there.same_content(one.scan)
    if same is not None:
        return Filed(one.name, Outcome.ALREADY, one.scan, same, key=one.key)
    before = there.edition_before(one.name)
    filing = Filing.objects.create(
        **target, scan=one.scan, name=one.name[:500], filed_by=by, filed_why=why[:WHY_LENGTH], replaces=before,
        edition=before.edition + 1 if before else 1,
        filed_as=before.filed_as if before and kind == FiledAs.UNSORTED else kind,
    )  # fmt: skip
    there.add(filing)
    return Filed(one.name, Outcome.EDITION if before else Outcome.FILED, one.scan, filing, one.was_known, key=one.key)


def _known_kind(filed_as: str) -> FiledAs:
    try:
        return FiledAs(filed_as)
    except ValueError:
        kinds = ", ".join(FiledAs.values)
        words = _("“%(found)s” is no kind of file. The kinds are: %(kinds)s.") % {"found": filed_as, "kinds": kinds}
        raise ValidationError(words) from None


def sort(*, filing: Filing, filed_as: str, by: Any) -> Filing:
    """Say what a filed scan is. It is a heading of the folder and no evidence, so it asks for no reason."""
    check(by, Verb.ATTACH_SCANS)
    kind = _known_kind(filed_as)
    with transaction.atomic():
        standing = Filing.objects.select_for_update().get(pk=filing.pk)
        check_open(by, standing.scan)
        if standing.taken_off_at is not None:
            raise ValidationError(_("It was taken off meanwhile, so there is nothing to sort."))
        standing.filed_as = kind
        standing.save(update_fields=["filed_as"])
    return standing


def take_off(*, filing: Filing, by: Any, why: str) -> bool:
    """Take a scan off an accession or a site; False if somebody has done so meanwhile. The filing stays on record.

    Raises:
        ValidationError: no reason was given.
        NotAllowedError: the person may not file scans, or may not open this one.
    """
    check(by, Verb.ATTACH_SCANS)
    if not why.strip():
        raise ValidationError({"why": _("Say why it is taken off.")})
    with transaction.atomic():
        standing = Filing.objects.select_for_update().get(pk=filing.pk)
        check_open(by, standing.scan)
        if standing.taken_off_at is not None:
            return False
        standing.taken_off_at, standing.taken_off_by = timezone.now(), by
        standing.taken_off_why = why.strip()[:WHY_LENGTH]
        standing.save(update_fields=["taken_off_at", "taken_off_by", "taken_off_why"])
    return True
