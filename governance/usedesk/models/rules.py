"""The house rules of the desk: where the house is, how silence is read, what footing lets material go, listed names."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from governance.engine.uses import NO_PAPER, NOT_HEARD, Answer, Use
from governance.papers.models import USE_NAMES, PaperKind

USES = [(int(use), name) for use, name in USE_NAMES.items()]

ANSWER_NAMES = {
    Answer.ALLOWED: _("Allowed"),
    Answer.WITH_DUTIES: _("Allowed with duties"),
    Answer.ASK_FIRST: _("Ask the provider first"),
    Answer.SILENT: _("Terms silent"),
    Answer.NOT_KNOWN: _("Not known"),
    Answer.NOT_ALLOWED: _("Not allowed"),
}
"""Words of the answers on screens, mildest first."""

ANSWERS = [(int(answer), name) for answer, name in ANSWER_NAMES.items()]

READINGS = [
    (NOT_HEARD, _("Not expected to speak of it")),
    (int(Answer.ALLOWED), _("Read as allowed")),
    (int(Answer.ASK_FIRST), _("Read as: ask the provider first")),
    (int(Answer.SILENT), _("Not decided: a person decides each time")),
    (int(Answer.NOT_ALLOWED), _("Read as not allowed")),
]
"""How silence may be read."""

FOOTINGS = [
    (int(Answer.ALLOWED), _("Goes like any other")),
    (int(Answer.ASK_FIRST), _("The provider is asked first")),
    (int(Answer.NOT_KNOWN), _("A person decides")),
    (int(Answer.NOT_ALLOWED), _("Stays here")),
]
"""What becomes of material whose legal footing is not settled."""

SILENT_KINDS = [("", _("Any paper")), (NO_PAPER, _("No paper on file speaks")), *PaperKind.choices]


class DeskRules(models.Model):
    """Where the house is and how it is known. One row; its history tells since when. country: ISO 3166-1."""

    institution = models.CharField(_("institution"), max_length=300, blank=True)
    address = models.TextField(_("address"), blank=True)
    country = models.CharField(_("country"), max_length=2, blank=True)
    cites_code = models.CharField(
        _("number in the CITES register of institutions"), max_length=20, blank=True,
        help_text=_("Blank: not registered, or not known"),
    )  # fmt: skip
    loan_months = models.PositiveSmallIntegerField(_("a loan lasts (months)"), default=12)
    overdue_grace_days = models.PositiveSmallIntegerField(_("days before a loan is shown as overdue"), default=0)

    history = HistoricalRecords()

    class Meta:
        verbose_name = _("rules of the desk")
        verbose_name_plural = _("rules of the desk")
        constraints = [
            models.CheckConstraint(condition=Q(id=1), name="deskrules_one_row"),
            models.CheckConstraint(
                condition=Q(country="") | Q(country__regex=r"^[A-Z]{2}$"),
                name="deskrules_country_form",
                violation_error_message=_("A country is two capital letters (ISO 3166-1)."),
            ),
            models.CheckConstraint(
                condition=Q(loan_months__range=(1, 120)),
                name="deskrules_loan_months",
                violation_error_message=_("A loan lasts between 1 and 120 months."),
            ),
        ]


class SilenceRule(models.Model):
    """How the house reads a paper that says nothing of a use. use null: any use. paper_kind "": any kind of paper;
    "none": no paper on file is heard. The most specific rule counts, the kind before the use. Screens still say silent.
    """

    use = models.PositiveSmallIntegerField(_("use"), choices=USES, null=True, blank=True)
    paper_kind = models.CharField(_("paper"), max_length=40, choices=SILENT_KINDS, blank=True)
    reading = models.SmallIntegerField(_("silence is"), choices=READINGS)
    reason = models.TextField(_("because"))

    history = HistoricalRecords()

    class Meta:
        ordering = [F("use").asc(nulls_first=True), "paper_kind"]
        verbose_name = _("reading of silence")
        verbose_name_plural = _("readings of silence")
        constraints = [
            models.UniqueConstraint(
                fields=["use", "paper_kind"],
                name="silencerule_once",
                violation_error_message=_("Silence of this paper on this use has a rule already."),
            ),
            models.UniqueConstraint(
                fields=["paper_kind"],
                condition=Q(use__isnull=True),
                name="silencerule_any_use_once",
                violation_error_message=_("Silence of this paper on any use has a rule already."),
            ),
            models.CheckConstraint(
                condition=Q(use__isnull=True) | Q(use__lt=len(Use)), name="silencerule_use_known"
            ),
            models.CheckConstraint(
                condition=Q(reading__in=[reading for reading, _name in READINGS]), name="silencerule_reading_known"
            ),
            models.CheckConstraint(
                condition=~Q(paper_kind=NO_PAPER) | ~Q(reading=NOT_HEARD),
                name="silencerule_no_paper_is_heard",
                violation_error_message=_("Where no paper speaks, say what that means."),
            ),
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="silencerule_reasoned",
                violation_error_message=_("Say why silence is read so."),
            ),
        ]  # fmt: skip


class FootingRule(models.Model):
    """What becomes of material whose legal footing is not settled, when it is asked for a use. Without a rule a person
    decides; only a look on the spot and the return to the provider are open to all material.
    """

    use = models.PositiveSmallIntegerField(_("use"), choices=USES, unique=True)
    if_outside = models.PositiveSmallIntegerField(
        _("outside terms, or no paper on file"), choices=FOOTINGS, default=int(Answer.NOT_KNOWN)
    )
    if_doubtful = models.PositiveSmallIntegerField(
        _("straddles, cannot tell, or not judged"), choices=FOOTINGS, default=int(Answer.NOT_KNOWN)
    )
    reason = models.TextField(_("because"))

    history = HistoricalRecords()

    class Meta:
        ordering = ["use"]
        verbose_name = _("rule on the footing")
        verbose_name_plural = _("rules on the footing")
        constraints = [
            models.CheckConstraint(condition=Q(use__lt=len(Use)), name="footingrule_use_known"),
            models.CheckConstraint(
                condition=Q(
                    if_outside__in=[one for one, _name in FOOTINGS], if_doubtful__in=[one for one, _name in FOOTINGS]
                ),
                name="footingrule_answers_known",
            ),
            models.CheckConstraint(
                condition=~Q(reason=""), name="footingrule_reasoned", violation_error_message=_("Say why.")
            ),
        ]  # fmt: skip


class CitesListing(models.Model):
    """A name that the CITES Appendices list, from one day to another, as the house entered it, with its source.

    rank, higher_classification: where the name stands, so that a specimen of another order is known to be none of it
    even where the register knows the listed name from nowhere else. Without any row nothing is known to be free of
    CITES. The names that CITES uses, and who checked them, are the house's to keep; the tool lists none.
    """

    class Appendix(models.TextChoices):
        I = "I", "I"  # noqa: E741  # the number of the Appendix
        II = "II", "II"
        III = "III", "III"

    name = models.CharField(_("listed name"), max_length=200)
    kingdom = models.CharField(_("kingdom"), max_length=50, blank=True)
    rank = models.CharField(_("rank"), max_length=20, blank=True, help_text=_("taxonRank, such as species or genus"))
    higher_classification = models.CharField(
        _("belongs to"), max_length=500, blank=True,
        help_text=_("Names above it with | between: Animalia | Arthropoda | Insecta | Lepidoptera"),
    )  # fmt: skip
    appendix = models.CharField(_("Appendix"), max_length=3, choices=Appendix)
    from_on = models.DateField(_("from"), null=True, blank=True)
    to_on = models.DateField(_("to"), null=True, blank=True)
    source = models.CharField(_("source"), max_length=300)
    checked_on = models.DateField(_("checked on"))

    history = HistoricalRecords()

    class Meta:
        ordering = ["name", "from_on"]
        verbose_name = _("listed name")
        verbose_name_plural = _("listed names")
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="citeslisting_named"),
            models.CheckConstraint(
                condition=~Q(source=""),
                name="citeslisting_sourced",
                violation_error_message=_("Say where the listing stands, and of which day."),
            ),
            models.CheckConstraint(condition=Q(appendix__in=["I", "II", "III"]), name="citeslisting_appendix_known"),
            models.CheckConstraint(
                condition=Q(from_on__isnull=True) | Q(to_on__isnull=True) | Q(to_on__gte=F("from_on")),
                name="citeslisting_period",
                violation_error_message=_("The last day is before the first day."),
            ),
        ]
