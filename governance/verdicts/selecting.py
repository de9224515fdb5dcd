"""Which specimens a change touches, and all that is counted together with them."""

from __future__ import annotations

from accessions.material.models import Accession
from governance.verdicts.actions.assessing import Selection


def of_accession(accession: Accession) -> Selection:
    raise NotImplementedError
