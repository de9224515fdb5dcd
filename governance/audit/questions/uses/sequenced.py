"""Which specimens were sequenced, whether that was allowed, and where the sequences are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

from django.db.models import Count, Exists, OuterRef, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from governance.audit.asking import Answer, Asked, Column, ColumnKind, Group, Missing, QueriedRows, Question, Row
from governance.audit.questions.addresses import accession_link, recipient_link, request_link, specimen_link, use_link
from governance.audit.questions.material_asked import PARAMETERS, material_asked
from governance.audit.questions.telling import counted, sentences
from governance.engine.uses import Answer as Word
from governance.engine.uses import Use
from governance.papers.models import USE_NAMES
from governance.usedesk.deeds import Deed
from governance.usedesk.models import ANSWER_NAMES, UseItem
from governance.usedesk.models import Sequence as Archived
from governance.usedesk.queries.judging import standing_of
from governance.usedesk.queries.made import NOT_SHOWN
from governance.usedesk.queries.one_use import STANDINGS, is_silence

_COLUMNS: Final = (
    Column("on", gettext_lazy("On"), ColumnKind.DAY),
    Column("specimen", gettext_lazy("Specimen")),
    Column("name", gettext_lazy("Name"), ColumnKind.TAXON),
    Column("parent", gettext_lazy("Taken from")),
    Column("accession", gettext_lazy("Accession")),
    Column("entry", gettext_lazy("Entry")),
    Column("use", gettext_lazy("Use")),
    Column("by", gettext_lazy("By")),
    Column("request", gettext_lazy("Request")),
    Column("answer", gettext_lazy("Answer of that day")),
    Column("standing", gettext_lazy("Towards the terms of that day")),
    Column("sequences", gettext_lazy("Accession numbers of sequences"), ColumnKind.CODE),
    Column("number", gettext_lazy("Sequences"), ColumnKind.NUMBER),
)

_SEQUENCED: Final = ngettext_lazy(
    "%(n)s specimen or part was sequenced.", "%(n)s specimens and parts were sequenced.", "count"
)
_WITHIN: Final = ngettext_lazy(
    "Of %(n)s the terms of that day allowed it, or a person approved it.",
    "Of %(n)s the terms of that day allowed it, or a person approved it.", "count",
)  # fmt: skip
_OPEN: Final = ngettext_lazy(
    "Of %(n)s it is not shown: papers are silent, or were not read.",
    "Of %(n)s it is not shown: papers are silent, or were not read.", "count",
)  # fmt: skip
_OUTSIDE: Final = ngettext_lazy(
    "Of %(n)s it was not within the terms as known.", "Of %(n)s it was not within the terms as known.", "count"
)
_NOT_ASKED: Final = ngettext_lazy("Of %(n)s the desk gave no answer.", "Of %(n)s the desk gave no answer.", "count")
_ARCHIVED: Final = ngettext_lazy(
    "%(n)s accession number of a sequence is on record.", "%(n)s accession numbers of sequences are on record.", "count"
)
_WITHOUT: Final = ngettext_lazy(
    "Of %(n)s no accession number of a sequence is on record.",
    "Of %(n)s no accession number of a sequence is on record.", "count",
)  # fmt: skip


def answer(asked: Asked) -> Answer:
    """Specimens of entries of sequencing, and others with sequences, the newest first: a fixed number of queries, and
    two for each slice of rows."""
    told = material_asked(asked)
    items = _items(told.material.items)
    numbers = items.aggregate(
        all=Count("pk"), specimens=Count("specimen", distinct=True), outside=Count("pk", filter=Q(is_outside=True)),
        not_shown=Count("pk", filter=NOT_SHOWN), not_asked=Count("pk", filter=Q(answer__isnull=True)),
        with_sequences=Count("pk", filter=Exists(Archived.objects.filter(item=OuterRef("pk")))),
    )  # fmt: skip
    archived = Archived.objects.filter(item__in=items.values("pk")).count()
    return Answer(
        sentence=_sentence(numbers, archived, told.words), columns=_COLUMNS,
        rows=QueriedRows(_ordered(items), _rows, numbers["all"]),
        missing=tuple(_missing(numbers["all"] - numbers["with_sequences"])),
        notes=(
            _("The answer is that of the desk, by the terms of the day of the entry, as it was recorded then. "
              "Sequences stand in the public archives (INSDC) under their accession numbers; whether they are open "
              "there is not checked here."),
        ),
        total=numbers["specimens"],
    )  # fmt: skip


def _items(items: QuerySet[UseItem]) -> QuerySet[UseItem]:
    archived = Exists(Archived.objects.filter(item=OuterRef("pk")))
    rows = items.filter(use__voided_at__isnull=True)
    return rows.filter(Q(use__deed=Deed.SEQUENCING) | Q(archived)).order_by()


def _ordered(items: QuerySet[UseItem]) -> QuerySet[UseItem]:
    rows = items.select_related(
        "use__recipient", "use__request", "specimen__name", "specimen__accession", "specimen__parent"
    )
    return rows.order_by("-use__on", "-use_id", "specimen__catalog_number", "pk").prefetch_related("sequences")


def _rows(found: Sequence[Any]) -> list[Row]:
    return [_row(item) for item in found]


def _row(item: Any) -> Row:
    made, specimen = item.use, item.specimen
    numbers = [one.accession_number for one in item.sequences.all()]
    return Row(
        f"use:{made.pk}:specimen:{specimen.pk}",
        (
            made.on, specimen_link(specimen), specimen.name.shown,
            specimen_link(specimen.parent) if specimen.parent else None, accession_link(specimen.accession),
            use_link(made), str(USE_NAMES[Use(made.use)]) if made.use is not None else "",
            recipient_link(made.recipient) if made.recipient else None,
            request_link(made.request) if made.request else None, _answer(item), _standing(item), ", ".join(numbers),
            len(numbers),
        ),
    )  # fmt: skip


def _answer(item: Any) -> str:
    if item.answer is None:
        return ""
    return str(ANSWER_NAMES[Word.SILENT if is_silence(item.answer, item.reasons) else Word(item.answer)])


def _standing(item: Any) -> str:
    if item.answer is None:
        return ""
    standing = standing_of(item.answer, is_outside=item.is_outside, is_approved=item.decision_id is not None)
    return str(STANDINGS[standing])


def _sentence(numbers: dict[str, int], archived: int, words: str) -> str:
    if not numbers["all"]:
        return _("No sequencing of material %(words)s is on record.") % {"words": words} if words else _(
            "No sequencing is on record.")  # fmt: skip
    within = numbers["all"] - numbers["outside"] - numbers["not_shown"] - numbers["not_asked"]
    told = (
        (_WITHIN, within), (_OPEN, numbers["not_shown"]), (_OUTSIDE, numbers["outside"]),
        (_NOT_ASKED, numbers["not_asked"]),
    )  # fmt: skip
    return sentences(
        counted(_SEQUENCED, numbers["specimens"]), *(counted(text, number) for text, number in told if number),
        counted(_ARCHIVED, archived),
    )  # fmt: skip


def _missing(without: int) -> Iterator[Missing]:
    if without:
        yield Missing(counted(_WITHOUT, without), without)


QUESTION: Final = Question(
    "sequenced", Group.USES,
    gettext_lazy("Which specimens were sequenced, was that allowed, and where are the sequences?"),
    gettext_lazy("Entries of sequencing, specimen by specimen, with the answer of the desk on that day and the "
                 "accession numbers of the sequences."), answer, PARAMETERS,
)  # fmt: skip
