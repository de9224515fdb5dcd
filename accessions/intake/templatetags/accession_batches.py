"""The files that an accession came in, on its page, which lies below: ``{% batches_of accession as batches %}``."""

from __future__ import annotations

from django import template

from accessions.intake.models import Batch
from accessions.material.models import Accession

register = template.Library()


@register.simple_tag
def batches_of(accession: Accession) -> list[Batch]:
    """Files meant for this accession, and files whose commit named it: one query.

    The names stand in the summary of each file, so all summaries are read; files are hundreds, not millions.
    """
    batches = Batch.objects.defer("data", "mapping", "dates", "changes").select_related("received_by")
    return [batch for batch in batches if batch.accession_id == accession.pk or _names(batch, accession)]


def _names(batch: Batch, accession: Accession) -> bool:
    return any(key == accession.pk for key, _number in batch.summary.get("into", ()))
