"""The material that a question is asked about: of a country, of a paper, an accession, a specimen, or all of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from django.db.models import Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from accessions.material.models import PoolMember, Specimen
from governance.audit.asking import Asked, Parameter, ParameterKind
from governance.audit.resolving import accession_of, country_of, paper_of, specimen_of
from governance.duties.queries.paper_material import specimens_under
from governance.papers.countries import country_name
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
    """The material of which all parameters tell that stand in the address; where none does, all of it.

    Raises:
        UnknownValueError: the register does not hold one of them.
    """
    found = list(_named(asked))
    if len(found) < 2:
        return found[0] if found else MaterialAsked(_all_of_it(), "")
    items, requested = UseItem.objects.order_by(), RequestItem.objects.order_by()
    for one in found:
        items = items.filter(pk__in=one.material.items.values("pk"))
        requested = requested.filter(pk__in=one.material.asked.values("pk"))
    return MaterialAsked(Material("several", "", items, requested), ", ".join(one.words for one in found))


def _named(asked: Asked) -> Iterator[MaterialAsked]:
    if asked["country"]:
        code = country_of(asked)
        yield MaterialAsked(material.of_country(code), _("from %(country)s") % {"country": country_name(code)})
    if asked["paper"]:
        paper = paper_of(asked)
        yield MaterialAsked(_of_paper(paper), _("under %(paper)s") % {"paper": paper.reference})
    if asked["accession"]:
        accession = accession_of(asked)
        told = {"accession": accession.number}
        yield MaterialAsked(material.of_accession(accession), _("of accession %(accession)s") % told)
    if asked["specimen"]:
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
    children = Specimen.objects.filter(parent__isnull=False).order_by()
    parents = {key for key in children.values_list("parent", flat=True).distinct() if key is not None}
    return {*parents, *PoolMember.objects.order_by().values_list("member", flat=True).distinct()}
