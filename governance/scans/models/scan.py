"""One received file, its pages with their words, and what a person noted about it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _
from simple_history.models import HistoricalRecords

from accessions.people.access import EVERY_ROLE


class Scan(models.Model):
    """One content that was received: a PDF, an image, a mail, a document, a text. Kept once, never changed.

    sha256: of the content, as 64 hexadecimal digits. stored_name: the key in the store, made by us and never from the
    name that the file came with. media_type: found in the content (IANA name), whatever the sender called it.
    page_count: null for what has no pages that can be drawn. has_scripts: a PDF that carries scripts, attached files
    or actions, which are never run. restricted_to: bits of the roles to which a person opened it;
    papers_restricted_to: those to which all papers filed in it are open. Both must allow.
    disposed_on: the day on which content and words were disposed of after their day of keeping; the row stays.
    """

    class TextState(models.TextChoices):
        """How far the words have been read."""

        WAITING = "waiting", _("Waiting to be read")
        READ = "read", _("Read")
        WITHOUT = "without", _("Holds no words that could be read")
        NO_READER = "no-reader", _("A picture, and no text recognition is installed")
        FAILED = "failed", _("Could not be read")

    sha256 = models.CharField(max_length=64, unique=True)
    size_bytes = models.BigIntegerField()
    media_type = models.CharField(max_length=100)
    stored_name = models.CharField(max_length=100, unique=True)
    original_name = models.CharField(_("name"), max_length=500)
    page_count = models.PositiveIntegerField(_("pages"), null=True)
    has_scripts = models.BooleanField(default=False)
    remarks = models.JSONField(default=list, help_text=_("what the check noted, in sentences"))
    text_state = models.CharField(max_length=10, choices=TextState, default=TextState.WAITING)
    text_note = models.CharField(max_length=300, blank=True)
    restricted_to = models.PositiveSmallIntegerField(default=EVERY_ROLE)
    papers_restricted_to = models.PositiveSmallIntegerField(default=EVERY_ROLE)
    disposed_on = models.DateField(_("disposed of on"), null=True, blank=True)
    received_at = models.DateTimeField(auto_now_add=True)
    received_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="scans_received")

    history = HistoricalRecords()

    class Meta:
        ordering = ["-pk"]
        verbose_name = _("scan")
        verbose_name_plural = _("scans")
        constraints = [
            models.CheckConstraint(condition=Q(sha256__regex=r"^[0-9a-f]{64}$"), name="scan_hash_form"),
            models.CheckConstraint(condition=Q(size_bytes__gt=0), name="scan_not_empty"),
            models.CheckConstraint(condition=Q(page_count__isnull=True) | Q(page_count__gte=1), name="scan_has_pages"),
            models.CheckConstraint(
                condition=~Q(stored_name="") & ~Q(original_name="") & ~Q(media_type=""), name="scan_named"
            ),
            models.CheckConstraint(
                condition=Q(text_state__in=["waiting", "read", "without", "no-reader", "failed"]),
                name="scan_text_state_known",
            ),
            models.CheckConstraint(
                condition=Q(restricted_to__range=(1, EVERY_ROLE), papers_restricted_to__range=(0, EVERY_ROLE)),
                name="scan_open_to_somebody",
            ),
        ]

    def __str__(self) -> str:
        return self.original_name

    @property
    def open_to(self) -> int:
        """Bits of the roles that may open it."""
        return self.restricted_to & self.papers_restricted_to


class ScanPage(models.Model):
    """A page with its words. Made by the machine from the content, and made anew at any time.

    text: the words in reading order. folded: the same for the search: without accents, in small letters. words: one
    list a word [start, end, left, top, right, bottom, confidence]: where it stands in ``text``, where on the page (0 to
    1 from the upper left corner), and 0 to 100 how sure the recognition is (null: the text of the file itself).
    printed_page, printed_of: what the page says of itself ("Page 3 of 7").
    """

    class Source(models.TextChoices):
        FILE = "file", _("text of the file")
        RECOGNISED = "recognised", _("recognised in the picture")

    scan = models.ForeignKey(Scan, on_delete=models.CASCADE, related_name="pages")
    number = models.PositiveIntegerField()
    text = models.TextField(blank=True)
    folded = models.TextField(blank=True)
    words = models.JSONField(default=list)
    source = models.CharField(max_length=10, choices=Source, blank=True)
    printed_page = models.PositiveIntegerField(null=True)
    printed_of = models.PositiveIntegerField(null=True)

    class Meta:
        ordering = ["scan", "number"]
        verbose_name = _("page of a scan")
        verbose_name_plural = _("pages of scans")
        constraints = [
            models.UniqueConstraint(fields=["scan", "number"], name="scanpage_number_once"),
            models.CheckConstraint(condition=Q(number__gte=1), name="scanpage_from_one"),
            models.CheckConstraint(
                condition=Q(printed_page__isnull=True, printed_of__isnull=True)
                | Q(
                    printed_page__isnull=False,
                    printed_of__isnull=False,
                    printed_page__gte=1,
                    printed_of__gte=F("printed_page"),
                ),
                name="scanpage_printed_within",
            ),
        ]


class ScanMark(models.Model):
    """What a person noted about a scan: illegible, incomplete, a translation of another, superseded by another."""

    class Kind(models.TextChoices):
        ILLEGIBLE = "illegible", _("Illegible")
        INCOMPLETE = "incomplete", _("Incomplete")
        TRANSLATION = "translation", _("Translation of")
        SUPERSEDED = "superseded", _("Superseded by")

    scan = models.ForeignKey(Scan, on_delete=models.CASCADE, related_name="marks")
    kind = models.CharField(_("mark"), max_length=12, choices=Kind)
    other = models.ForeignKey(Scan, on_delete=models.PROTECT, null=True, blank=True, related_name="marks_of_others")
    note = models.CharField(_("note"), max_length=300, blank=True)
    marked_at = models.DateTimeField(auto_now_add=True)
    marked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="scans_marked")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="scan_marks_withdrawn"
    )

    history = HistoricalRecords()

    class Meta:
        ordering = ["scan", "pk"]
        verbose_name = _("mark of a scan")
        verbose_name_plural = _("marks of scans")
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["illegible", "incomplete"], other__isnull=True)
                | Q(kind="superseded")
                | Q(kind="translation", other__isnull=False),
                name="scanmark_of_what",
                violation_error_message=_("A translation names the scan that it translates."),
            ),
            models.CheckConstraint(
                condition=Q(other__isnull=True) | ~Q(other=F("scan")),
                name="scanmark_not_of_itself",
                violation_error_message=_("A scan cannot be a translation of itself or supersede itself."),
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="scanmark_withdrawal_whole",
            ),
            models.UniqueConstraint(
                fields=["scan", "kind"],
                condition=Q(withdrawn_at__isnull=True),
                name="scanmark_stands_once",
                violation_error_message=_("The scan has this mark already."),
            ),
        ]
