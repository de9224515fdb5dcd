"""The material that a question is asked about: of a country, of a paper, of an accession, a specimen, or all of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from accessions.material.models import PoolMember, Specimen
from governance.audit.asking import Asked, Parameter, ParameterKind, UnknownValueError
from governance.audit.resolving import accession_of, country_of, paper_of, specimen_of
from governance.duties.queries.paper_material import specimens_under
from governance.jurisdictions.codes import country_name
from governance.papers.models import Paper
from governance.usedesk.models import RequestItem, UseItem
from governance.usedesk.queries import material
from governance.usedesk.queries.material import Material, among, with_taken

COUNTRY: Final = Parameter(
    "country", ParameterKind.COUNTRY, gettext_lazy("Country"), help=gettext_lazy("Where the material was taken")
)
PAPER: Final = Parameter(
    "paper", ParameterKind.PAPER, gettext_lazy("Paper"), help=gettext_lazy("Reference of a paper that bears on it")
)
ACCESSION: Final = Parameter(
    "accession", ParameterKind.ACCESSION, gettext_lazy("Accession"), help=gettext_lazy("Its number")
)
SPECIMEN: Final = Parameter(
    "specimen", ParameterKind.SPECIMEN, gettext_lazy("Specimen"), help=gettext_lazy("Its catalogue number")
)
PARAMETERS: Final = (COUNTRY, PAPER, ACCESSION, SPECIMEN)


@dataclass(frozen=True)
class MaterialAsked:
    """Material with what was taken from it or pooled of it. words: of which, for a sentence: "from Georgia"; of all
    material ""."""

    material: Material
    words: str


def material_asked(asked: Asked) -> MaterialAsked:
    """The material of the one parameter that is told; of none of them, all of it.

    Raises:
        UnknownValueError: several are told, or the register does not hold it.
    """
    told = [one.key for one in PARAMETERS if asked[one.key]]
    if len(told) > 1:
        raise UnknownValueError(told[1], _("Ask of one of these: a country, a paper, an accession or a specimen."))
    found = next(_named(asked, told[0])) if told else None
    return found or MaterialAsked(_all_of_it(), "")


def _named(asked: Asked, key: str) -> Iterator[MaterialAsked]:
    if key == "country":
        code = country_of(asked)
        yield MaterialAsked(material.of_country(code), _("from %(country)s") % {"country": country_name(code)})
    elif key == "paper":
        paper = paper_of(asked)
        yield MaterialAsked(_of_paper(paper), _("under %(paper)s") % {"paper": paper.reference})
    elif key == "accession":
        accession = accession_of(asked)
        told = {"accession": accession.number}
        yield MaterialAsked(material.of_accession(accession), _("of accession %(accession)s") % told)
    else:
        specimen = specimen_of(asked)
        yield MaterialAsked(material.of_specimen(specimen), _("of specimen %(specimen)s") % {"specimen": specimen})


def _all_of_it() -> Material:
    return Material("all", "", UseItem.objects.order_by(), RequestItem.objects.order_by(), lambda _path: Q())


def _of_paper(paper: Paper) -> Material:
    """What the paper bears on by itself, with what was taken from that: of it, what was used or asked for."""
    own = specimens_under([paper.pk])[paper.pk]
    keys = own | with_taken(own & _sources()) if own else own
    items, asked = UseItem.objects.order_by(), RequestItem.objects.order_by()
    used, wanted = (
        keys.intersection(rows.values_list("specimen", flat=True).distinct()) for rows in (items, asked)
    )  # a paper may bear on a million specimens, and a statement names only those that it is about
    return Material(
        "paper", paper.pk, items.filter(among("specimen", used)), asked.filter(among("specimen", wanted)), None,
        tuple(sorted(keys - own)),
    )  # fmt: skip


def _sources() -> set[int]:
    """Specimens from which something was taken, or of which something was pooled: two queries."""
    parents = Specimen.objects.filter(parent__isnull=False).order_by().values_list("parent", flat=True).distinct()
    return {*parents, *PoolMember.objects.order_by().values_list("member", flat=True).distinct()}
