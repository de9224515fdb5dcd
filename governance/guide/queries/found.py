"""How far a register is: what there is of all that the first steps lead to."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from accessions.intake.models import Batch
from accessions.people.models import User
from governance.audit.models import SavedQuestion
from governance.guide.models import SkippedStep, Step
from governance.papers.models import Paper, PaperLink
from governance.plans.models import FieldPlan
from governance.scans.queries.listing import unfiled
from governance.usedesk.models import DeskRules, UseRequest
from governance.verdicts.models import CountrySheet, SheetRule, Standing
from governance.verdicts.queries.countries import countries_of_material
from governance.verdicts.queries.specimens import specimen_count, worst_tallies
from governance.verdicts.queries.today import unread_papers


@dataclass(frozen=True)
class Beginnings:
    """Which of the last steps are done or skipped: who reads verdicts, asks and plans needs to be led no further."""

    skipped: frozenset[str]
    has_verdicts: bool
    has_question: bool
    has_plan: bool

    @property
    def is_over(self) -> bool:
        """Whether the register is in use."""
        done = {Step.VERDICTS: self.has_verdicts, Step.QUESTION: self.has_question, Step.PLAN: self.has_plan}
        return all(is_done or step in self.skipped for step, is_done in done.items())


def beginnings(user: User) -> Beginnings:
    """Two short queries, on a register of any size."""
    row = User.objects.filter(pk=user.pk).values_list(
        Exists(Standing.objects.all()),
        Exists(SavedQuestion.objects.filter(removed_at__isnull=True)),
        Exists(UseRequest.objects.all()),
        Exists(FieldPlan.objects.all()),
    )
    has_verdicts, has_saved, has_request, has_plan = map(bool, row.get())
    return Beginnings(skipped_steps(), has_verdicts, has_saved or has_request, has_plan)


def skipped_steps() -> frozenset[str]:
    """The steps that are skipped now."""
    return frozenset(SkippedStep.objects.filter(taken_up_at__isnull=True).values_list("step", flat=True))


@dataclass(frozen=True)
class Found:
    """What there is.

    ruled: countries of whose sheet a rule was entered; unruled: countries of material of which none was, with the key
    of the sheet if there is one. waiting_file: the oldest file that waits to be committed. unread: papers without a
    version; unlinked: papers that speak for nothing yet. judged: specimens with a verdict.
    """

    institution: str
    country: str
    people: int
    ruled: int
    unruled: tuple[tuple[str, int | None], ...]
    specimens: int
    waiting_file: Batch | None
    papers: int
    unread: tuple[Paper, ...]
    loose_scans: int
    unlinked: tuple[Paper, ...]
    tallies: dict[int, int]

    @property
    def judged(self) -> int:
        return sum(self.tallies.values())


def found() -> Found:
    """A fixed number of queries."""
    house = DeskRules.objects.only("institution", "country").first()
    ruled = set(SheetRule.objects.order_by().values_list("sheet__country", flat=True).distinct())
    sheets = dict(CountrySheet.objects.values_list("country", "pk"))
    return Found(
        institution=house.institution if house else "",
        country=house.country if house else "",
        people=User.objects.filter(is_active=True).count(),
        ruled=len(ruled),
        unruled=tuple((code, sheets.get(code)) for code in countries_of_material() if code not in ruled),
        specimens=specimen_count(),
        waiting_file=Batch.objects.filter(state=Batch.State.RECEIVED).only("file_name").order_by("pk").first(),
        papers=Paper.objects.count(),
        unread=tuple(unread_papers()),
        loose_scans=unfiled().count(),
        unlinked=_unlinked(),
        tallies=worst_tallies(),
    )


def _unlinked() -> tuple[Paper, ...]:
    """Papers on file that speak for nothing yet, by reference."""
    standing = PaperLink.objects.filter(paper=OuterRef("pk"), unlinked_at__isnull=True)
    read = Paper.objects.filter(versions__isnull=False).exclude(Exists(standing)).distinct()
    return tuple(read.only("reference").order_by("reference"))
