"""What was taken and how it came in: accessions, their deliveries and parts, sampling events, specimens."""

from accessions.material.models.accessions import Accession, Delivery, Part
from accessions.material.models.events import SamplingEvent
from accessions.material.models.removals import Removal
from accessions.material.models.specimens import Determination, PoolMember, Specimen
from accessions.material.models.touches import Touch

__all__ = [
    "Accession",
    "Delivery",
    "Determination",
    "Part",
    "PoolMember",
    "Removal",
    "SamplingEvent",
    "Specimen",
    "Touch",
]
