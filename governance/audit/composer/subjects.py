"""The fields of each subject."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from governance.audit.composer import duties, material, papers, uses
from governance.audit.composer.conditions import Subject
from governance.audit.composer.fields import Catalogue

CATALOGUES: Final[Mapping[Subject, Catalogue]] = {
    Subject.MATERIAL: material.CATALOGUE, Subject.PAPERS: papers.CATALOGUE, Subject.USES: uses.CATALOGUE,
    Subject.DUTIES: duties.CATALOGUE,
}  # fmt: skip
