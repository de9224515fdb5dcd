"""People who sign in, and the agents (people and organisations) that records speak of."""

from __future__ import annotations

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords


class Role(models.TextChoices):
    """What a person is to the register; ``access.py`` says what each may do."""

    VOLUNTEER = "volunteer", _("Volunteer")
    CURATOR = "curator", _("Curator")
    REGISTRAR = "registrar", _("Registrar")
    COMPLIANCE = "compliance", _("Compliance officer")
    AUDITOR = "auditor", _("Auditor")
    ADMINISTRATOR = "administrator", _("Administrator")


class Agent(models.Model):
    """A person or organisation that records name: a collector, a landowner, an authority, a source of material."""

    class Kind(models.TextChoices):
        PERSON = "person", _("Person")
        ORGANISATION = "organisation", _("Organisation")

    kind = models.CharField(_("kind"), max_length=20, choices=Kind, default=Kind.PERSON)
    name = models.CharField(_("name"), max_length=200, help_text=_("The form in which lists show it"))
    contact = models.TextField(_("contact"), blank=True)
    remarks = models.TextField(_("remarks"), blank=True)

    history = HistoricalRecords()

    class Meta:
        ordering = ["name", "pk"]
        verbose_name = _("agent")
        verbose_name_plural = _("agents")
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["person", "organisation"]),
                name="agent_kind_known",
                violation_error_message=_("An agent is a person or an organisation."),
            ),
            models.CheckConstraint(
                condition=~Q(name=""),
                name="agent_named",
                violation_error_message=_("Write the name of the person or organisation."),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class AgentName(models.Model):
    """One form in which an agent's name is written on labels and papers, so that recordedBy finds its person."""

    agent = models.ForeignKey(Agent, on_delete=models.CASCADE, related_name="names", verbose_name=_("agent"))
    form = models.CharField(_("form of the name"), max_length=200)
    key = models.CharField(max_length=200, db_index=True, editable=False, help_text=_("the form, folded"))

    history = HistoricalRecords()

    class Meta:
        ordering = ["agent", "form"]
        verbose_name = _("form of a name")
        verbose_name_plural = _("forms of names")
        constraints = [
            models.UniqueConstraint(
                fields=["agent", "key"],
                name="agentname_once",
                violation_error_message=_("This form of the name is already listed."),
            ),
        ]

    def __str__(self) -> str:
        return self.form


class User(AbstractUser):
    """A person who signs in. Rights come from ``role`` alone; groups and permissions of Django are not used."""

    role = models.CharField(_("role"), max_length=20, choices=Role, default=Role.AUDITOR)
    agent = models.ForeignKey(
        Agent, on_delete=models.PROTECT, null=True, blank=True, related_name="users", verbose_name=_("recorded as")
    )

    history = HistoricalRecords(excluded_fields=["password", "last_login"])

    class Meta:
        ordering = ["username"]
        verbose_name = _("user")
        verbose_name_plural = _("users")
        constraints = [
            models.CheckConstraint(
                condition=Q(role__in=Role.values),
                name="user_role_known",
                violation_error_message=_("Choose one of the roles."),
            ),
        ]

    @property
    def shown_name(self) -> str:
        """The full name, or what the person signs in with."""
        return self.get_full_name() or self.username

    @property
    def initials(self) -> str:
        """Two letters for the badge in the head of the page."""
        parts = self.get_full_name().split() or [self.username]
        return "".join(part[0] for part in (parts[0], parts[-1])[: len(parts)]).upper()


class SignInFailure(models.Model):
    """One wrong password for a name, kept only as long as it counts against further tries.

    name_key: the name as typed, folded, whether or not somebody has it: the answer must not tell names apart. A table
    and not a cache: several server processes count together, and a restart forgets nothing.
    """

    name_key = models.CharField(max_length=150)
    failed_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["name_key", "failed_at"], name="signinfailure_recent")]


class Write(models.Model):
    """One transaction that changed the register, as the seal knows it: the entry of the chain before the entries of its
    rows. origin: the page ("POST /papers/12/edit/") or the command from which it came. Written once, never changed.

    is_late: its rows were found without a seal and sealed later, by somebody who says why.
    """

    number = models.BigIntegerField(primary_key=True, help_text=_("its place in the chain"))
    at = models.DateTimeField()
    by = models.ForeignKey(User, on_delete=models.DO_NOTHING, null=True, related_name="+", db_constraint=False)
    origin = models.CharField(max_length=200, blank=True)
    is_late = models.BooleanField(default=False)
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["number"]
        verbose_name = _("write")
        verbose_name_plural = _("writes")


class SealShape(models.Model):
    """A table and the columns of it that entries of the chain cover, with how each is written in the sealed text.
    columns: [[name, kind], ...]. A column that comes later makes a new shape: old entries keep theirs.
    is_state: the row may change (an append-only table, or one dated by itself): its newest entry counts."""

    table = models.CharField(max_length=100)
    key = models.CharField(max_length=63)
    columns = models.JSONField()
    is_state = models.BooleanField(default=False)

    class Meta:
        ordering = ["pk"]
        verbose_name = _("shape of sealed rows")
        verbose_name_plural = _("shapes of sealed rows")


class Seal(models.Model):
    """One entry of the chain: the hash over the entry before it and over the hash of one row's text.

    text_sha256 is kept so that every entry can be held against the one before it, also where its row looks otherwise
    by now: a row that is sealed by its state, or a column that a later release dropped.
    """

    number = models.BigIntegerField(primary_key=True)
    shape = models.ForeignKey(SealShape, on_delete=models.PROTECT, related_name="+", db_index=False)
    row = models.BigIntegerField()
    text_sha256 = models.BinaryField(max_length=32)
    sha256 = models.BinaryField(max_length=32)

    class Meta:
        ordering = ["number"]
        verbose_name = _("entry of the seal")
        verbose_name_plural = _("entries of the seal")
        indexes = [models.Index(fields=["shape", "row"], name="seal_of_row")]


class SealHead(models.Model):
    """The end of the chain: one row, held while entries are added so that they follow each other."""

    number = models.BigIntegerField(default=0)
    sha256 = models.BinaryField(max_length=32, default=bytes(32))

    class Meta:
        verbose_name = _("head of the seal")
        verbose_name_plural = _("heads of the seal")
        constraints = [models.CheckConstraint(condition=Q(id=1), name="sealhead_one_row")]


class PersonalSalt(models.Model):
    """A column of a sealed row that tells of a person is sealed as the hash of a salt and its value. When the person's
    data are minimised, value and salt go and the hash stays: the chain holds, and nobody can guess the value by it."""

    shape = models.ForeignKey(SealShape, on_delete=models.PROTECT, related_name="+")
    row = models.BigIntegerField()
    column = models.CharField(max_length=63)
    salt = models.BinaryField(max_length=16, null=True)
    sha256 = models.BinaryField(max_length=32)

    class Meta:
        ordering = ["pk"]
        verbose_name = _("salt of a personal value")
        verbose_name_plural = _("salts of personal values")
        constraints = [
            models.UniqueConstraint(fields=["shape", "row", "column"], name="personalsalt_once"),
        ]
