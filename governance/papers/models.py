"""The papers: what was granted, from when to when, where, for what, to whom; and what each is linked to."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.material.models import Accession, Part, SamplingEvent, Specimen
from accessions.people.models import Agent
from accessions.sites.models import Site
from governance.engine.tables import Layer


class PaperKind(models.TextChoices):
    """Kinds of papers: the words of the exchange file (the contract of verdicts, section 8)."""

    LANDOWNER_CONSENT = "landowner-consent", _("Landowner’s consent")
    OCCUPIER_CONSENT = "occupier-consent", _("Occupier’s consent")
    COMMUNITY_CONSENT = "community-consent", _("Community consent")
    COLLECTING_PERMIT = "collecting-permit", _("Collecting permit")
    RESEARCH_PERMIT = "research-permit", _("Research permit")
    SPECIES_LICENCE = "species-licence", _("Species licence")
    PROTECTED_SITE_CONSENT = "protected-site-consent", _("Protected-site consent")
    PRIOR_INFORMED_CONSENT = "prior-informed-consent", _("Prior informed consent (PIC)")
    MUTUALLY_AGREED_TERMS = "mutually-agreed-terms", _("Mutually agreed terms (MAT)")
    ACCESS_PERMIT = "access-permit", _("Access permit (ABS)")
    CERTIFICATE_OF_COMPLIANCE = "certificate-of-compliance", _("Certificate of compliance (IRCC)")
    EXPORT_PERMIT = "export-permit", _("Export permit")
    IMPORT_PERMIT = "import-permit", _("Import permit")
    CITES_EXPORT_PERMIT = "cites-export-permit", _("CITES export permit")
    CITES_IMPORT_PERMIT = "cites-import-permit", _("CITES import permit")
    CITES_REEXPORT_CERTIFICATE = "cites-reexport-certificate", _("CITES re-export certificate")
    CITES_CERTIFICATE_OF_ORIGIN = "cites-certificate-of-origin", _("CITES certificate of origin")
    CITES_EXCHANGE_LABEL = "cites-exchange-label", _("CITES label for scientific exchange")
    PHYTOSANITARY_CERTIFICATE = "phytosanitary-certificate", _("Phytosanitary certificate")
    VETERINARY_CERTIFICATE = "veterinary-certificate", _("Veterinary certificate")
    MATERIAL_TRANSFER_AGREEMENT = "material-transfer-agreement", _("Material transfer agreement (MTA)")
    DEED_OF_TRANSFER = "deed-of-transfer", _("Deed of transfer")
    SALVAGE_PERMIT = "salvage-permit", _("Salvage permit")
    EXEMPTION = "exemption", _("Exemption")
    OTHER = "other", _("Other")


LAYER_NAMES = {
    Layer.LAND: _("Land"),
    Layer.COLLECTING: _("Collecting"),
    Layer.SPECIES: _("Species"),
    Layer.PROTECTED_SITE: _("Protected site"),
    Layer.ACCESS: _("Access (ABS)"),
    Layer.EXPORT: _("Export"),
    Layer.IMPORT: _("Import"),
    Layer.CITES: _("CITES"),
    Layer.TRANSFER: _("Transfer"),
}
"""Names of the layers on screens."""


class Paper(models.Model):
    """One legal document, with its numbers and its face; what it allows stands in its versions.

    layers: bit n is set if the paper serves layer n of ``Layer``.
    """

    reference = models.CharField(_("reference"), max_length=100, unique=True, help_text=_("The number on the paper"))
    second_number = models.CharField(_("second number"), max_length=100, blank=True)
    kind = models.CharField(_("kind"), max_length=40, choices=PaperKind)
    layers = models.PositiveSmallIntegerField(_("layers"))
    issuer = models.CharField(_("given by"), max_length=300, blank=True)
    issuer_agent = models.ForeignKey(
        Agent, on_delete=models.PROTECT, null=True, blank=True, related_name="issued_papers"
    )
    jurisdiction = models.CharField(
        _("jurisdiction"), max_length=6, blank=True, help_text=_("ISO 3166: CR, or CR-A for a province")
    )
    holder = models.CharField(_("held by"), max_length=300, blank=True)
    issued_on = models.DateField(_("issued on"), null=True, blank=True)
    language = models.CharField(_("language"), max_length=20, blank=True, help_text=_("BCP 47, such as es"))
    remarks = models.TextField(_("remarks"), blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["reference"]
        verbose_name = _("paper")
        verbose_name_plural = _("papers")
        constraints = [
            models.CheckConstraint(
                condition=~Q(reference=""), name="paper_has_reference", violation_error_message=_("Write its number.")
            ),
            models.CheckConstraint(
                condition=Q(layers__range=(1, 2 ** len(Layer) - 1)),
                name="paper_serves_a_layer",
                violation_error_message=_("Choose at least one layer that the paper answers."),
            ),
            models.CheckConstraint(
                condition=Q(kind__in=PaperKind.values),
                name="paper_kind_known",
                violation_error_message=_("Choose one of the kinds."),
            ),
        ]

    def __str__(self) -> str:
        return self.reference

    @property
    def layer_list(self) -> list[Layer]:
        """The layers it serves, in their order."""
        return [layer for layer in Layer if self.layers >> layer & 1]

    @staticmethod
    def layers_of(layers: object) -> int:
        """The bits of some layers."""
        return sum(1 << layer for layer in set(layers))  # type: ignore[call-overload]


class PaperStatus(models.Model):
    """A turn in the life of a paper: applied for, granted, suspended from one day to another, revoked, surrendered.

    Suspensions are holes in its validity; from the first day of a revocation or surrender on it no longer holds.
    """

    class State(models.TextChoices):
        APPLIED = "applied", _("Applied for")
        REFUSED = "refused", _("Refused")
        GRANTED = "granted", _("Granted")
        SUSPENDED = "suspended", _("Suspended")
        REVOKED = "revoked", _("Revoked")
        SURRENDERED = "surrendered", _("Surrendered")

    paper = models.ForeignKey(Paper, on_delete=models.CASCADE, related_name="statuses")
    state = models.CharField(_("state"), max_length=12, choices=State)
    from_on = models.DateField(_("from"))
    to_on = models.DateField(
        _("to"), null=True, blank=True, help_text=_("Of a suspension; blank: until told otherwise")
    )
    note = models.CharField(_("note"), max_length=300, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["paper", "from_on", "pk"]
        verbose_name = _("state of a paper")
        verbose_name_plural = _("states of papers")
        constraints = [
            models.CheckConstraint(
                condition=Q(to_on__isnull=True) | Q(state="suspended", to_on__gte=F("from_on")),
                name="paperstatus_period",
                violation_error_message=_("Only a suspension has a last day, and it is not before its first."),
            ),
            models.CheckConstraint(
                condition=Q(state__in=["applied", "refused", "granted", "suspended", "revoked", "surrendered"]),
                name="paperstatus_state_known",
            ),
            models.UniqueConstraint(
                fields=["paper"],
                condition=Q(state__in=["revoked", "surrendered"]),
                name="paperstatus_ends_once",
                violation_error_message=_("The paper was already revoked or surrendered."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.paper_id} {self.state} {self.from_on}"


class PaperVersion(models.Model):
    """What a paper allows from one day to another: the first issue, an amendment, a renewal under the same number.

    in_force_from null: the start is not known. in_force_to null: valid until told otherwise. A paper without versions
    is unread.
    """

    class Assistants(models.TextChoices):
        NOT_ALLOWED = "not-allowed", _("Named people only")
        SUPERVISED = "supervised", _("Others under supervision of a named person")
        ALLOWED = "allowed", _("Others too")

    paper = models.ForeignKey(Paper, on_delete=models.CASCADE, related_name="versions")
    in_force_from = models.DateField(_("valid from"), null=True, blank=True)
    in_force_to = models.DateField(_("valid to"), null=True, blank=True)
    assistants = models.CharField(_("assistants"), max_length=12, choices=Assistants, blank=True)
    note = models.CharField(_("what changed"), max_length=300, blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["paper", F("in_force_from").asc(nulls_first=True)]
        verbose_name = _("version of a paper")
        verbose_name_plural = _("versions of papers")
        constraints = [
            models.UniqueConstraint(
                fields=["paper", "in_force_from"],
                name="paperversion_start_once",
                violation_error_message=_("Another version of this paper starts on the same day."),
            ),
            models.UniqueConstraint(
                fields=["paper"],
                condition=Q(in_force_from__isnull=True),
                name="paperversion_unknown_start_once",
                violation_error_message=_("Another version of this paper starts on an unknown day, too."),
            ),
            models.CheckConstraint(
                condition=Q(in_force_from__isnull=True)
                | Q(in_force_to__isnull=True)
                | Q(in_force_to__gte=F("in_force_from")),
                name="paperversion_period",
                violation_error_message=_("The last day is before the first day."),
            ),
            models.CheckConstraint(
                condition=Q(assistants__in=["", "not-allowed", "supervised", "allowed"]),
                name="paperversion_assistants_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.paper_id}: {self.in_force_from or '...'} – {self.in_force_to or '...'}"


class _Term(models.Model):
    """One line of a version, in the order of the paper."""

    version = models.ForeignKey(PaperVersion, on_delete=models.CASCADE, related_name="%(class)ss")
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        abstract = True
        ordering = ["version", "position", "pk"]


class VersionPlace(_Term):
    """A place that a version includes or excludes: one of country, subdivision, site, polygon, point and radius.

    A site may carry a polygon or a disc of its own; without one, the boundary of the registered site on the day holds.
    """

    excluded = models.BooleanField(_("excluded"), default=False)
    country = models.CharField(_("country"), max_length=2, blank=True)
    subdivision = models.CharField(_("subdivision"), max_length=6, blank=True)
    site = models.CharField(_("site"), max_length=200, blank=True, help_text=_("Code or name of the site"))
    geojson = models.TextField(_("polygon"), blank=True)
    longitude_deg = models.FloatField(
        _("longitude"), null=True, blank=True, validators=[MinValueValidator(-180), MaxValueValidator(180)]
    )
    latitude_deg = models.FloatField(
        _("latitude"), null=True, blank=True, validators=[MinValueValidator(-90), MaxValueValidator(90)]
    )
    radius_m = models.FloatField(_("radius (m)"), null=True, blank=True)
    boundary_error_m = models.FloatField(_("error of the boundary (m)"), null=True, blank=True)

    history = HistoricalRecords()

    class Meta(_Term.Meta):
        abstract = False
        verbose_name = _("place of a version")
        verbose_name_plural = _("places of versions")
        constraints = [
            models.CheckConstraint(
                condition=~Q(country="", subdivision="", site="", geojson="", longitude_deg__isnull=True),
                name="versionplace_says_something",
                violation_error_message=_("Name a country, a subdivision or a site, or give an area."),
            ),
            models.CheckConstraint(
                condition=Q(longitude_deg__isnull=True, latitude_deg__isnull=True, radius_m__isnull=True)
                | Q(
                    longitude_deg__isnull=False,
                    latitude_deg__isnull=False,
                    radius_m__isnull=False,
                    longitude_deg__range=(-180, 180),
                    latitude_deg__range=(-90, 90),
                    radius_m__gte=0,
                    geojson="",
                ),
                name="versionplace_whole_disc",
                violation_error_message=_("A point has a longitude, a latitude and a radius in metres."),
            ),
            models.CheckConstraint(
                condition=Q(boundary_error_m__isnull=True) | Q(boundary_error_m__gte=0),
                name="versionplace_error_positive",
                violation_error_message=_("The error of a boundary is zero or more metres."),
            ),
        ]


class VersionTaxon(_Term):
    """A taxon that a version includes or excludes, at any rank."""

    excluded = models.BooleanField(_("excluded"), default=False)
    name = models.CharField(_("taxon"), max_length=200)
    kingdom = models.CharField(_("kingdom"), max_length=50, blank=True)

    history = HistoricalRecords()

    class Meta(_Term.Meta):
        abstract = False
        verbose_name = _("taxon of a version")
        verbose_name_plural = _("taxa of versions")
        constraints = [models.CheckConstraint(condition=~Q(name=""), name="versiontaxon_named")]


class VersionWord(_Term):
    """A method, sex or life stage that a version allows or forbids."""

    class Subject(models.TextChoices):
        METHODS = "methods", _("Methods")
        SEXES = "sexes", _("Sexes")
        LIFE_STAGES = "life_stages", _("Life stages")

    subject = models.CharField(_("of"), max_length=12, choices=Subject)
    excluded = models.BooleanField(_("excluded"), default=False)
    word = models.CharField(_("word"), max_length=100)

    history = HistoricalRecords()

    class Meta(_Term.Meta):
        abstract = False
        verbose_name = _("method, sex or life stage of a version")
        verbose_name_plural = _("methods, sexes and life stages of versions")
        constraints = [
            models.CheckConstraint(condition=~Q(word=""), name="versionword_written"),
            models.CheckConstraint(
                condition=Q(subject__in=["methods", "sexes", "life_stages"]), name="versionword_subject_known"
            ),
        ]


class VersionPerson(_Term):
    """A person named on a version."""

    name = models.CharField(_("person"), max_length=200)
    agent = models.ForeignKey(Agent, on_delete=models.PROTECT, null=True, blank=True, related_name="named_on")

    history = HistoricalRecords()

    class Meta(_Term.Meta):
        abstract = False
        verbose_name = _("person on a version")
        verbose_name_plural = _("people on versions")
        constraints = [models.CheckConstraint(condition=~Q(name=""), name="versionperson_named")]


class VersionSeason(_Term):
    """A closed season of a version, which recurs each year; it may wrap over the new year."""

    from_month = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(12)])
    from_day = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(31)])
    to_month = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(12)])
    to_day = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(31)])

    history = HistoricalRecords()

    class Meta(_Term.Meta):
        abstract = False
        verbose_name = _("closed season")
        verbose_name_plural = _("closed seasons")
        constraints = [
            models.CheckConstraint(
                condition=Q(from_month__range=(1, 12), to_month__range=(1, 12), from_day__range=(1, 31),
                            to_day__range=(1, 31)),
                name="versionseason_in_calendar",
                violation_error_message=_("A season runs from a day and month to a day and month."),
            ),
        ]  # fmt: skip


class VersionCap(_Term):
    """A limit on the number of individuals: of a taxon or of all, each species or together, per paper, year, ..."""

    class Each(models.TextChoices):
        TOGETHER = "together", _("all together")
        SPECIES = "species", _("of each species")

    class Per(models.TextChoices):
        PAPER = "paper", _("under the paper")
        YEAR = "year", _("a calendar year")
        SITE = "site", _("a site")
        EVENT = "event", _("an event")

    taxon = models.CharField(_("taxon"), max_length=200, blank=True)
    kingdom = models.CharField(_("kingdom"), max_length=50, blank=True)
    each = models.CharField(_("counted"), max_length=10, choices=Each, default=Each.TOGETHER)
    per = models.CharField(_("per"), max_length=10, choices=Per, default=Per.PAPER)
    limit = models.PositiveBigIntegerField(_("limit"))

    history = HistoricalRecords()

    class Meta(_Term.Meta):
        abstract = False
        verbose_name = _("cap")
        verbose_name_plural = _("caps")
        constraints = [
            models.CheckConstraint(
                condition=Q(each__in=["together", "species"], per__in=["paper", "year", "site", "event"]),
                name="versioncap_words_known",
            ),
        ]


class Condition(_Term):
    """A condition of a version in the words of the paper, with the page where it stands."""

    text = models.TextField(_("condition"))
    page = models.PositiveSmallIntegerField(_("page"), null=True, blank=True)

    history = HistoricalRecords()

    class Meta(_Term.Meta):
        abstract = False
        verbose_name = _("condition")
        verbose_name_plural = _("conditions")
        constraints = [
            models.CheckConstraint(condition=~Q(text=""), name="condition_written"),
            models.CheckConstraint(condition=Q(page__isnull=True) | Q(page__gte=1), name="condition_page_from_one"),
        ]


class PaperLink(models.Model):
    """What a paper speaks for: a specimen, a part of an accession, an accession, an event, a site, or all accessions.

    Links are dated and never deleted: who linked it and when, who took it off and when. A paper linked to a part does
    not speak for the rest of the accession.
    """

    TARGETS = ("specimen", "part", "accession", "event", "site")

    paper = models.ForeignKey(Paper, on_delete=models.CASCADE, related_name="links")
    specimen = models.ForeignKey(Specimen, on_delete=models.CASCADE, null=True, blank=True, related_name="paper_links")
    part = models.ForeignKey(Part, on_delete=models.CASCADE, null=True, blank=True, related_name="paper_links")
    accession = models.ForeignKey(
        Accession, on_delete=models.CASCADE, null=True, blank=True, related_name="paper_links"
    )
    event = models.ForeignKey(
        SamplingEvent, on_delete=models.CASCADE, null=True, blank=True, related_name="paper_links"
    )
    site = models.ForeignKey(Site, on_delete=models.CASCADE, null=True, blank=True, related_name="paper_links")
    all_accessions = models.BooleanField(default=False)
    linked_at = models.DateTimeField(auto_now_add=True)
    linked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="links_made"
    )
    unlinked_at = models.DateTimeField(null=True, blank=True)
    unlinked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="links_ended"
    )
    why = models.CharField(max_length=200, blank=True)
    unlinked_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["paper", "pk"]
        verbose_name = _("link of a paper")
        verbose_name_plural = _("links of papers")
        constraints = [
            models.CheckConstraint(
                condition=(
                    Q(specimen__isnull=False, part__isnull=True, accession__isnull=True, event__isnull=True, site__isnull=True, all_accessions=False)  # noqa: E501
                    | Q(specimen__isnull=True, part__isnull=False, accession__isnull=True, event__isnull=True, site__isnull=True, all_accessions=False)  # noqa: E501
                    | Q(specimen__isnull=True, part__isnull=True, accession__isnull=False, event__isnull=True, site__isnull=True, all_accessions=False)  # noqa: E501
                    | Q(specimen__isnull=True, part__isnull=True, accession__isnull=True, event__isnull=False, site__isnull=True, all_accessions=False)  # noqa: E501
                    | Q(specimen__isnull=True, part__isnull=True, accession__isnull=True, event__isnull=True, site__isnull=False, all_accessions=False)  # noqa: E501
                    | Q(specimen__isnull=True, part__isnull=True, accession__isnull=True, event__isnull=True, site__isnull=True, all_accessions=True)  # noqa: E501
                ),
                name="paperlink_one_target",
                violation_error_message=_("A link has exactly one target."),
            ),
            models.CheckConstraint(
                condition=Q(unlinked_at__isnull=False) | Q(unlinked_by__isnull=True),
                name="paperlink_end_has_time",
            ),
            *[
                models.UniqueConstraint(
                    fields=["paper", target],
                    condition=Q(unlinked_at__isnull=True),
                    name=f"paperlink_{target}_once",
                    violation_error_message=_("The paper is already linked to it."),
                )
                for target in ("specimen", "part", "accession", "event", "site")
            ],
            models.UniqueConstraint(
                fields=["paper"],
                condition=Q(unlinked_at__isnull=True, all_accessions=True),
                name="paperlink_all_once",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"{self.paper_id} -> {next((t for t in self.TARGETS if getattr(self, f'{t}_id')), 'all')}"


class ReceivedFile(models.Model):
    """A papers file that was brought in: kept whole, with what was done with it. Taken into the register once."""

    file_name = models.CharField(_("file"), max_length=255)
    data = models.BinaryField()
    sha256 = models.CharField(max_length=64, db_index=True)
    received_at = models.DateTimeField(auto_now_add=True)
    received_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="paper_files")
    taken_at = models.DateTimeField(null=True, blank=True)
    taken_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="paper_files_taken"
    )
    summary = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("papers file")
        verbose_name_plural = _("papers files")
        constraints = [
            models.CheckConstraint(
                condition=Q(taken_at__isnull=True, taken_by__isnull=True)
                | Q(taken_at__isnull=False, taken_by__isnull=False),
                name="receivedfile_taken_by_somebody",
            ),
        ]

    def __str__(self) -> str:
        return self.file_name
