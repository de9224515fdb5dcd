"""Which pages of a scan are which paper: one row a range."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.forms import BaseFormSet, formset_factory
from django.http import QueryDict
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from accessions.people.entry_forms import Form
from accessions.people.history import WHY_LENGTH
from governance.papers.forms.rows import without_errors
from governance.papers.models import Paper, PaperScan
from governance.papers.page_ranges import PageRange, RangeProblem, problems_of
from governance.scans.models import Scan

BLANK_ROWS = 2
MORE_ROWS = 3
_MOST_ROWS = 500


def _page(label: Any) -> forms.IntegerField:
    box = forms.NumberInput(attrs={"class": "in s", "inputmode": "numeric"})
    return forms.IntegerField(label=label, required=False, min_value=1, widget=box)


class RangeRow(Form):
    """A paper and its first and last page; both pages blank for all of the scan."""

    paper = forms.CharField(
        label=_("Paper"), required=False, max_length=100,
        widget=forms.TextInput(attrs={"list": "papers-known", "autocomplete": "off", "class": "in s"}),
    )  # fmt: skip
    first = _page(_("First page"))
    last = _page(_("Last page"))


class BaseRangeRows(BaseFormSet[RangeRow]):
    """All rows; under ``ranges`` what they say, once they are valid. Papers are looked up together."""

    ranges: list[PageRange]
    rows: list[RangeRow]

    def __init__(self, *args: Any, page_count: int | None, **more: Any) -> None:
        super().__init__(*args, **more)
        self.page_count = page_count

    def clean(self) -> None:
        """Rows that hold nothing are left out; a number that the register does not have is named."""
        told = [form for form in self.forms if not form.errors and any(form.cleaned_data.values())]
        papers = Paper.objects.in_bulk({form.cleaned_data["paper"] for form in told}, field_name="reference")
        self.ranges, self.rows = [], []
        for form in told:
            number = form.cleaned_data["paper"]
            if number in papers:
                told_pages = (form.cleaned_data["first"], form.cleaned_data["last"])
                self.ranges.append(PageRange(papers[number], *told_pages))
                self.rows.append(form)
            else:
                form.add_error("paper", _unknown(number))
        if len(self.rows) < len(told):  # else the action says the same, and more
            self.refuse(problems_of(self.ranges, self.page_count, may_overlap=True))

    def refuse(self, problems: Sequence[RangeProblem]) -> None:
        """Put each problem beside its row."""
        for problem in problems:
            self.rows[problem.row].add_error(None, problem.words)

    def is_valid(self) -> bool:
        """Also looked at again by ``clean``: a row that is wrong by its paper makes all invalid."""
        return super().is_valid() and not any(form.errors for form in self.forms)


def _unknown(number: str) -> str:
    if not number:
        return _t("Which paper are these pages? Write its reference, or register a new paper from them below.")
    return _t("The register has no paper %(number)s. Check the reference, or register it first.") % {"number": number}


RangeRows: Any = formset_factory(
    RangeRow, formset=BaseRangeRows, extra=BLANK_ROWS, max_num=_MOST_ROWS, absolute_max=_MOST_ROWS
)


def rows_initial(standing: Sequence[PaperScan]) -> list[dict[str, Any]]:
    """The ranges that stand, as the rows show them."""
    return [{"paper": one.paper.reference, "first": one.first_page, "last": one.last_page} for one in standing]


class RangesForm(Form):
    """What is said of all rows, and what the person saw of the scan."""

    may_overlap = forms.BooleanField(label=_("Pages may belong to two papers"), required=False)
    why = forms.CharField(
        label=_("Reason"), required=False, max_length=WHY_LENGTH, widget=forms.TextInput(attrs={"class": "in s"})
    )
    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def clean_seen(self) -> list[int]:
        """Keys of the filings that stood when the page was made."""
        keys = str(self.cleaned_data["seen"]).split()
        return [int(key) for key in keys if key.isascii() and key.isdigit() and len(key) < 19]


class NewPaperForm(Form):
    """Pages that become a new paper."""

    first = _page(_("First page"))
    last = _page(_("Last page"))

    def __init__(self, *args: Any, page_count: int, **more: Any) -> None:
        super().__init__(*args, **more)
        self.page_count = page_count

    def clean(self) -> dict[str, Any]:
        """Two pages of the scan, in their order."""
        told = super().clean() or {}
        first, last = told.get("first"), told.get("last") or told.get("first")
        if not self.errors and not (first and last and first <= last <= self.page_count):
            words = _t("Write the first and the last page of the new paper: from 1 to %(count)d.")
            raise forms.ValidationError(words % {"count": self.page_count})
        return told | {"pages": f"{first}-{last}"}


class RangesSheet:
    """The whole page: the rows, what is said of all of them, and the pages of a new paper.

    sent: what was posted; None for a page that is only read.
    """

    def __init__(self, sent: QueryDict | None, scan: Scan, standing: Sequence[PaperScan]) -> None:
        self.is_new_paper = sent is not None and "new_paper" in sent
        self.wants_more_rows = sent is not None and "more_ranges" in sent
        data = None if sent is None or self.is_new_paper else _with_more(sent)
        self.rows = RangeRows(data, prefix="ranges", initial=rows_initial(standing), page_count=scan.page_count)
        self.form = RangesForm(data, initial={"seen": _keys(standing)})
        self.new = NewPaperForm(sent if self.is_new_paper else None, page_count=scan.page_count or 0)
        if self.wants_more_rows:
            without_errors([*self.rows.forms, self.form])

    def is_valid(self) -> bool:
        """Whether ranges were sent that can be saved."""
        told = self.form.is_bound and not self.wants_more_rows
        return told and all([self.rows.is_valid(), self.form.is_valid()])

    def somebody_was_quicker(self, words: str, standing: Sequence[PaperScan]) -> None:
        """Say so, and take what now stands for seen: the page that comes back shows it."""
        self.form.add_error(None, words)
        self.form.data = {**self.form.data, "seen": _keys(standing)}

    @property
    def is_wrong(self) -> bool:
        """Whether there are mistakes on the page."""
        if self.wants_more_rows:
            return False
        return bool(self.rows.is_bound and self.rows.non_form_errors()) or any(
            one.is_bound and one.errors for one in (*self.rows.forms, self.form, self.new)
        )


def _keys(standing: Sequence[PaperScan]) -> str:
    return " ".join(str(one.pk) for one in standing)


def _with_more(sent: QueryDict) -> QueryDict:
    """More rows, if the button for them was pressed."""
    if "more_ranges" not in sent:
        return sent
    more = sent.copy()
    total = str(more.get("ranges-TOTAL_FORMS", "0"))
    number = int(total) if total.isascii() and total.isdigit() and len(total) < 4 else 0
    more["ranges-TOTAL_FORMS"] = str(number + MORE_ROWS)
    return more
