"""Fields of uses that were made. Entries that were voided are no uses and stay out; the answer says how many."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any, Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.db.models import Exists, OuterRef, Q
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from governance.audit.asking import Cell, ColumnKind
from governance.audit.composer.fields import YES_NO, Catalogue, Field, Kind, Shown
from governance.audit.composer.telling import Ground, Teller, Told, among, choice, flag, point, text
from governance.audit.questions.addresses import recipient_link, request_link, use_link
from governance.papers.countries import country_name
from governance.papers.models import RECIPIENT_NAMES
from governance.usedesk.models import MadeUse, Recipient, UseItem
from governance.usedesk.models.rules import ANSWERS, USES
from governance.usedesk.queries.made import Wanted, overdue_days, standing_words, uses

_ANSWERS: Final = tuple((str(answer), name) for answer, name in ANSWERS)


def _countries() -> list[tuple[str, Any]]:
    codes = Recipient.objects.exclude(country="").order_by().values_list("country", flat=True).distinct()
    return sorted(((code, country_name(code)) for code in codes), key=lambda one: one[1])


def _origins() -> list[tuple[str, Any]]:
    codes = UseItem.objects.exclude(specimen__event__country="").order_by()
    found = set(codes.values_list("specimen__event__country", flat=True).distinct())
    return sorted(((code, country_name(code)) for code in found), key=lambda one: one[1])


def _items(**where: Any) -> Q:
    return Q(Exists(UseItem.objects.filter(use=OuterRef("pk"), **where)))


def _outside() -> Teller:
    """Outside the terms, or not; not known where the desk gave no answer, or the terms do not say."""
    yes, unsaid = Q(is_outside=True), Q(is_outside=False) & (Q(answer__isnull=True) | Q(open_count__gt=0))
    return flag(lambda: yes, lambda: unsaid)


def _out(test: Any, _values: tuple[Any, ...], _ground: Ground) -> Told:
    yes = Q(out_count__gt=0)
    return Told(yes if _values[0] else ~yes)


def _of(path: str) -> Callable[[Shown], Cell]:
    return lambda shown: str(getattr(shown.row, path))


def _display(path: str) -> Callable[[Shown], Cell]:
    return lambda shown: str(getattr(shown.row, f"get_{path}_display")() or "")


def _recipient(shown: Shown) -> Cell:
    return recipient_link(shown.row.recipient) if shown.row.recipient else ""


def _recipient_country(shown: Shown) -> Cell:
    return shown.row.recipient.country if shown.row.recipient else ""


def _request(shown: Shown) -> Cell:
    return request_link(shown.row.request) if shown.row.request else ""


def _overdue(shown: Shown) -> Cell:
    row = shown.row
    return overdue_days(row.due_on, row.out_count, shown.ground.on, 0) or None


def _deed() -> Iterator[Field]:
    """What was done, when."""
    yield Field("number", _("Number"), Kind.TEXT, text("reference"), lambda shown: use_link(shown.row),
                order=("reference",))  # fmt: skip
    yield Field("deed", _("Deed"), Kind.CHOICE, choice("deed"), _display("deed"),
                choices=lambda: MadeUse.Deed.choices, may_lack=False, order=("deed", "on"))  # fmt: skip
    yield Field("use", _("Kind of use"), Kind.CHOICE, choice("use", has_null=True), _display("use"),
                choices=lambda: [(str(use), name) for use, name in USES])  # fmt: skip
    yield Field("title", _("Words of the entry"), Kind.TEXT, text("title"), _of("title"))
    yield Field("on", _("Day"), Kind.DAY, point("on"), lambda shown: shown.row.on, ColumnKind.DAY, may_lack=False,
                order=("on",))  # fmt: skip
    yield Field("until", _("Last day"), Kind.DAY, point("until_on"), lambda shown: shown.row.until_on, ColumnKind.DAY)
    yield Field("due", _("Day due back"), Kind.DAY, point("due_on"), lambda shown: shown.row.due_on, ColumnKind.DAY,
                order=("due_on",), help=_("Of loans; not known of everything else."))  # fmt: skip
    yield Field("out", _("Still out, all or a part"), Kind.FLAG, _out, lambda shown: shown.row.out_count or None,
                ColumnKind.NUMBER, choices=lambda: YES_NO, may_lack=False)  # fmt: skip
    yield Field("overdue", _("Overdue"), Kind.NUMBER, None, _overdue, ColumnKind.NUMBER, unit="days")
    yield Field("specimens", _("Specimens"), Kind.NUMBER, point("item_count"), lambda shown: shown.row.item_count,
                ColumnKind.NUMBER, may_lack=False)  # fmt: skip
    yield Field("origin", _("Country of the material"), Kind.COUNTRY,
                among(lambda value, _ground: _items(specimen__event__country=value),
                      lambda _ground: _items(specimen__event__country="")), choices=_origins, is_slow=True,
                help=_("Not known where the country of some specimen is not."))  # fmt: skip
    yield Field("accession", _("Accession of the material"), Kind.TEXT,
                among(lambda value, _ground: _items(specimen__accession__number=value)), may_lack=False)  # fmt: skip


def _who() -> Iterator[Field]:
    """By or to whom, and how it stands towards the terms."""
    yield Field("recipient", _("Recipient"), Kind.TEXT, text("recipient__name", has_null=True), _recipient,
                order=("recipient__name", "on"))  # fmt: skip
    yield Field("recipient-kind", _("Kind of recipient"), Kind.CHOICE, choice("recipient__kind", has_null=True),
                lambda shown: str(shown.row.recipient.get_kind_display() or "") if shown.row.recipient else "",
                choices=lambda: [(str(int(kind)), name) for kind, name in RECIPIENT_NAMES.items()])  # fmt: skip
    yield Field("country", _("Country of the recipient"), Kind.COUNTRY,
                choice("recipient__country", lacking="", has_null=True), _recipient_country, ColumnKind.COUNTRY,
                choices=_countries)  # fmt: skip
    for key, label, path in (("commercial", _("Commercial"), "commercial"),
                             ("identification", _("For identification only"), "identification_only"),
                             ("acknowledged", _("Source acknowledged as the papers ask"), "acknowledged")):  # fmt: skip
        yield Field(key, label, Kind.CHOICE, choice(path, lacking=""), _display(path), choices=lambda: YES_NO)
    yield Field("answer", _("Answer of the desk"), Kind.CHOICE, choice("answer", has_null=True), _display("answer"),
                choices=lambda: _ANSWERS)  # fmt: skip
    yield Field("outside", _("Outside the terms"), Kind.FLAG, _outside(),
                lambda shown: standing_words(shown.row), choices=lambda: YES_NO)  # fmt: skip
    yield Field("request", _("Request"), Kind.TEXT, text("request__reference", has_null=True), _request)
    yield Field("citation", _("Citation"), Kind.TEXT, text("citation"), _of("citation"))
    yield Field("doi", _("DOI"), Kind.TEXT, text("doi"), _of("doi"))
    yield Field("remedies", _("Open remedies"), Kind.NUMBER, point("remedy_count"),
                lambda shown: shown.row.remedy_count or None, ColumnKind.NUMBER, may_lack=False)  # fmt: skip


def _prepare(_rows: Sequence[Any], _wanted: frozenset[str], _ground: Ground) -> Callable[[Any], Any]:
    return lambda _row: None


def _counted(n: int) -> str:
    return ngettext("%(n)s use", "%(n)s uses", n) % {"n": intcomma(n)}


CATALOGUE: Final = Catalogue(
    fields=(*_deed(), *_who()), rows=lambda ground: uses(Wanted(), ground.on),
    usual=("number", "deed", "on", "recipient", "country", "specimens", "outside"), usual_order="-on", key="use",
    counted=_counted, prepare=_prepare,
)  # fmt: skip
