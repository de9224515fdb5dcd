"""To which material a question is narrowed: an accession, a country, a layer, a year; the same for all that ask it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from accessions.material.models import Accession, Specimen
from governance.audit.asking import Asked, Missing, Parameter, ParameterKind, UnknownValueError
from governance.audit.resolving import accession_of, country_of
from governance.engine.tables import Layer
from governance.papers.countries import country_name
from governance.papers.models import LAYER_NAMES
from governance.verdicts.models import Standing

_ALL: Final = gettext_lazy("Blank: the whole register.")

ACCESSION: Final = Parameter("accession", ParameterKind.ACCESSION, gettext_lazy("Accession"), help=_ALL)
COUNTRY: Final = Parameter("country", ParameterKind.COUNTRY, gettext_lazy("Country of collecting"), help=_ALL)


def layer_parameter(every: Any, layers: tuple[Layer, ...] = tuple(Layer)) -> Parameter:
    """A choice of one layer. every: what a blank means, in words."""
    choices = (("", every), *((layer.code, LAYER_NAMES[layer]) for layer in layers))
    return Parameter("layer", ParameterKind.CHOICE, gettext_lazy("Layer"), choices=choices)


def layer_of(asked: Asked) -> Layer | None:
    """The layer that is asked for, None for a blank.

    Raises:
        UnknownValueError: no such layer.
    """
    code = asked["layer"]
    found = next((layer for layer in Layer if layer.code == code), None)
    if code and found is None:
        raise UnknownValueError("layer", _("“%(text)s” is no layer; choose one of the list.") % {"text": code})
    return found


@dataclass(frozen=True)
class Scope:
    """The material that a question is narrowed to."""

    accession: Accession | None = None
    country: str = ""

    @property
    def condition(self) -> Q:
        """On ``Standing``. An accession by the index of its specimens: the narrow table has none on its key."""
        condition = Q(specimen__accession=self.accession) if self.accession else Q()
        return condition & Q(country=self.country) if self.country else condition

    @property
    def standings(self) -> QuerySet[Standing]:
        return Standing.objects.filter(self.condition).order_by()

    @property
    def words(self) -> str:
        """ "of accession LMN-2024-038 from Georgia", with a blank before it; "" for the whole register."""
        words = ""
        if self.accession:
            words += _(" of accession %(number)s") % {"number": self.accession.number}
        return words + (_(" from %(country)s") % {"country": country_name(self.country)} if self.country else "")

    @property
    def unchecked(self) -> int:
        """Specimens of it that no assessment has taken up: no answer about verdicts speaks of them. Two queries."""
        specimens = Specimen.objects.order_by()
        if self.accession:
            specimens = specimens.filter(accession=self.accession)
        if self.country:
            specimens = specimens.filter(event__country=self.country)
        return max(0, specimens.count() - self.standings.count())


def scope_of(asked: Asked) -> Scope:
    """What the parameters ``accession`` and ``country`` narrow to.

    Raises:
        UnknownValueError: one of them names nothing.
    """
    return Scope(accession_of(asked) if asked["accession"] else None, country_of(asked))


def without_verdict(count: int) -> tuple[Missing, ...]:
    """What is said of specimens that were not checked; nothing where there are none."""
    if not count:
        return ()
    return (Missing(_("Verdicts of specimens that no assessment has taken up yet."), count),)
