"""The papers: what was granted, from when to when; and the turns of their life."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.people.access import EVERY_ROLE
from accessions.people.models import Agent
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
    DEED_OF_GIFT = "deed-of-gift", _("Deed of gift")
    BEQUEST = "bequest", _("Bequest")
    PROOF_OF_PURCHASE = "proof-of-purchase", _("Proof of purchase")
    EXCHANGE_AGREEMENT = "exchange-agreement", _("Exchange agreement")
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

    layers: bit n is set if the paper serves layer n of ``Layer``. restricted_to: bits of the roles that may read it
    (``accessions.people.access.role_bits``); everybody sees that it exists, and what it covers.
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
    restricted_to = models.PositiveSmallIntegerField(default=EVERY_ROLE)
    restricted_why = models.CharField(_("why it is restricted"), max_length=200, blank=True)

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
            models.CheckConstraint(
                condition=Q(restricted_to=EVERY_ROLE, restricted_why="")
                | (Q(restricted_to__range=(1, EVERY_ROLE - 1)) & ~Q(restricted_why="")),
                name="paper_restricted_for_a_reason",
                violation_error_message=_("Say why the paper is open to some roles only."),
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

    Suspensions are holes in its validity; from the first day of a revocation, of the withdrawal of a consent, or of a
    surrender on it no longer holds.
    """

    class State(models.TextChoices):
        APPLIED = "applied", _("Applied for")
        REFUSED = "refused", _("Refused")
        GRANTED = "granted", _("Granted")
        SUSPENDED = "suspended", _("Suspended")
        REVOKED = "revoked", _("Revoked")
        WITHDRAWN = "withdrawn", _("Consent withdrawn")
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
                condition=Q(
                    state__in=["applied", "refused", "granted", "suspended", "revoked", "withdrawn", "surrendered"]
                ),
                name="paperstatus_state_known",
            ),
            models.UniqueConstraint(
                fields=["paper"],
                condition=Q(state__in=["revoked", "withdrawn", "surrendered"]),
                name="paperstatus_ends_once",
                violation_error_message=_("The paper was already revoked, withdrawn or surrendered."),
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


class PaperContinuation(models.Model):
    """A paper that goes on under another number: the renewal, and whether it is proven that nothing lay between.

    It fills no day in a verdict: whether the holder could go on under the old paper until the new one came is for the
    authority to say. The page says what is recorded.
    """

    class Proof(models.TextChoices):
        PROVEN = "proven", _("Continuation proven")
        NOT_PROVEN = "not-proven", _("Continuation not proven")
        NOT_LOOKED = "not-looked", _("Nobody has looked yet")

    earlier = models.ForeignKey(Paper, on_delete=models.CASCADE, related_name="continued_by")
    later = models.ForeignKey(Paper, on_delete=models.CASCADE, related_name="continues")
    proof = models.CharField(_("proof"), max_length=10, choices=Proof, default=Proof.NOT_LOOKED)
    evidence = models.TextField(_("evidence"), blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["earlier", "later"]
        verbose_name = _("continuation of a paper")
        verbose_name_plural = _("continuations of papers")
        constraints = [
            models.UniqueConstraint(
                fields=["earlier", "later"],
                name="papercontinuation_once",
                violation_error_message=_("This continuation is recorded already."),
            ),
            models.CheckConstraint(
                condition=~Q(earlier=F("later")),
                name="papercontinuation_of_another",
                violation_error_message=_("A paper does not continue itself."),
            ),
            models.CheckConstraint(
                condition=Q(proof__in=["proven", "not-proven", "not-looked"]), name="papercontinuation_proof_known"
            ),
            models.CheckConstraint(
                condition=~Q(proof="proven") | ~Q(evidence=""),
                name="papercontinuation_proven_by",
                violation_error_message=_("Say by what the continuation is proven: letter, decision, rule."),
            ),
        ]
