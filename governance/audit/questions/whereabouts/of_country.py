"""Where all material of a country is now, and every part of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from accessions.material.models import Delivery, Specimen
from governance.audit.asking import (
    Answer,
    Asked,
    Column,
    ColumnKind,
    Group,
    Missing,
    Parameter,
    ParameterKind,
    QueriedRows,
    Question,
    Row,
    UnknownValueError,
)
from governance.audit.questions.addresses import accession_link, recipient_link, specimen_link, use_link
from governance.audit.questions.telling import counted, sentences
from governance.audit.questions.whereabouts.places import Away, Place, away, places_of
from governance.audit.resolving import country_of
from governance.papers.countries import country_name
from governance.usedesk.queries import material as usedesk_material
from governance.usedesk.queries.material import Material, among

_COLUMNS: Final = (
    Column("specimen", gettext_lazy("Specimen")),
    Column("name", gettext_lazy("Name"), ColumnKind.TAXON),
    Column("kind", gettext_lazy("Kind")),
    Column("parent", gettext_lazy("Taken from")),
    Column("accession", gettext_lazy("Accession")),
    Column("place", gettext_lazy("Where it is")),
    Column("holder", gettext_lazy("With whom")),
    Column("holder_country", gettext_lazy("In which country"), ColumnKind.COUNTRY),
    Column("since", gettext_lazy("Since"), ColumnKind.DAY),
    Column("due", gettext_lazy("Due back on"), ColumnKind.DAY),
    Column("entry", gettext_lazy("Entry")),
)

_HELD: Final = ngettext_lazy(
    "%(n)s specimen or part from %(country)s is on record: %(here)s here, %(out)s out on loan, %(gone)s no longer "
    "here.",
    "%(n)s specimens and parts from %(country)s are on record: %(here)s here, %(out)s out on loan, %(gone)s no longer "
    "here.", "count",
)  # fmt: skip
_LENT_ON: Final = ngettext_lazy(
    "%(n)s of those on loan was lent on by the borrower.", "%(n)s of those on loan were lent on by the borrower.",
    "count",
)  # fmt: skip
_TAKEN: Final = ngettext_lazy(
    "%(n)s of them was taken from material of the country or pooled of it, and is recorded under another place.",
    "%(n)s of them were taken from material of the country or pooled of it, and are recorded under another place.",
    "count",
)  # fmt: skip
_NO_COUNTRY: Final = ngettext_lazy(
    "Of %(n)s specimen no country is known: it may come from there.",
    "Of %(n)s specimens no country is known: they may come from there.", "count",
)  # fmt: skip
_UNOPENED: Final = ngettext_lazy(
    "%(n)s delivery has no accession yet: what is in it is not told by specimens.",
    "%(n)s deliveries have no accession yet: what is in them is not told by specimens.", "count",
)  # fmt: skip


def answer(asked: Asked) -> Answer:
    """Every specimen and part with where it is: a fixed number of queries, and four for each slice of rows."""
    code = country_of(asked)
    if not code:
        raise UnknownValueError("country", _("Choose a country."))
    found = usedesk_material.of_country(code)
    total, far = found.total or 0, away(found.items)
    return Answer(
        sentence=_sentence(code, total, far),
        columns=_COLUMNS,
        rows=QueriedRows(_specimens(found), _rows, total),
        missing=tuple(_missing()),
        notes=tuple(_notes(found)),
    )


def _specimens(found: Material) -> QuerySet[Specimen]:
    own = found.where("") if found.where is not None else among("pk", ())
    condition = own | among("pk", found.taken) if found.taken else own
    rows = Specimen.objects.filter(condition).select_related("accession", "name", "parent")
    return rows.order_by("catalog_number", "pk")


def _rows(found: Sequence[Any]) -> list[Row]:
    places = places_of([one.pk for one in found])
    return [_row(one, places.get(one.pk, Place())) for one in found]


def _row(specimen: Specimen, place: Place) -> Row:
    made = place.item.use if place.item is not None else None
    holder = made.recipient if made is not None else None
    parent = specimen.parent
    return Row(
        f"specimen:{specimen.pk}",
        (
            specimen_link(specimen), specimen.name.shown, str(specimen.get_kind_display()),
            specimen_link(parent) if parent is not None else None, accession_link(specimen.accession), place.words,
            recipient_link(holder) if holder is not None else None, holder.country if holder is not None else "",
            made.on if made is not None else None, made.due_on if made is not None and place.is_out else None,
            use_link(made) if made is not None else None,
        ),
    )  # fmt: skip


def _sentence(code: str, total: int, far: Away) -> str:
    name = country_name(code)
    if not total:
        return _("No specimen from %(country)s is on record.") % {"country": name}
    here = total - far.out - far.gone
    numbers = {"here": intcomma(here), "out": intcomma(far.out), "gone": intcomma(far.gone)}
    return sentences(
        counted(_HELD, total, country=name, **numbers), counted(_LENT_ON, far.lent_on) if far.lent_on else ""
    )


def _missing() -> Iterator[Missing]:
    nowhere = Specimen.objects.filter(event__country="").order_by().count()
    if nowhere:
        yield Missing(counted(_NO_COUNTRY, nowhere), nowhere)
    unopened = Delivery.objects.filter(accession__isnull=True).count()
    if unopened:
        yield Missing(counted(_UNOPENED, unopened), unopened, reverse("material:arrivals"))


def _notes(found: Material) -> Iterator[str]:
    if found.taken:
        yield counted(_TAKEN, len(found.taken))
    yield _(
        "The country is that of the record of collecting. A specimen of which no entry says that it left is here. "
        "Loans, gifts, losses and returns count as they are entered; to ask of an earlier time, ask as known on a day "
        "of the register."
    )


QUESTION: Final = Question(
    "where-is-it", Group.WHEREABOUTS, gettext_lazy("Where is all material of a country now, and every part of it?"),
    gettext_lazy("Every specimen that was taken there, with what was taken from it or pooled of it: here, out on loan "
                 "and with whom, or no longer here."), answer,
    (
        Parameter("country", ParameterKind.COUNTRY, gettext_lazy("Country"), is_required=True,
                  help=gettext_lazy("Where the material was taken")),
    ),
)  # fmt: skip
