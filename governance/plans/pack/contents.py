"""The pack of a plan, from its check: every section in the language of the team."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from governance.papers.printed.blocks import Para, Printed, Section, plain
from governance.plans.pack.copies import copies
from governance.plans.pack.cover import cover, made_words, with_copies
from governance.plans.pack.journey import cautions, conditions, way_home
from governance.plans.pack.language import language
from governance.plans.pack.numbers import numbers
from governance.plans.pack.sources import PackSources, sources
from governance.plans.pack.stop_sheets import stop_sheets
from governance.plans.queries.check import PlanCheck


def make_pack(
    check: PlanCheck, *, reader: Any, code: str = "", stops: Collection[int] | None = None, with_scans: bool = True
) -> Printed:
    """The pack as a person may carry it.

    Args:
        check: of the plan, made now.
        reader: whose role says what may be told of restricted papers.
        code: a language; "" for that of the plan.
        stops: keys of the stops that go in; None: all.
        with_scans: whether copies of the papers are appended.
    """
    src = sources(check, reader, language(code or check.loaded.plan.language), stops)
    copied = copies(src, wanted=with_scans)
    first = with_copies(cover(src, check.today), src, copied.copied)
    sections = [first, *stop_sheets(src), numbers(src), conditions(src), way_home(src),
                cautions(src), copied.section]  # fmt: skip
    return _bound(src, sections)


def _bound(src: PackSources, sections: list[Section]) -> Printed:
    w, plan = src.words, src.plan
    if w.code != "en":
        first = sections[0]
        note = Para(plain(w("other_language")), "note")
        sections[0] = Section(first.title, [*first.blocks, note], first.sections, key=first.key)
    return Printed(
        w.code,
        plan.reference,
        plan.title,
        w("field_pack"),
        made_words(src, src.check.today),
        w("page_of", page="\0", pages="\1"),
        sections,
    )
