"""Files on their way into the register, and what each would change.

What a file would change is kept in compressed pieces of some thousand rows, not as a row of
the database each: a file may have 200 000.
"""

from django.conf import settings
from django.db import models

from apps.facilities.models import Area
from apps.imports.choices import UploadKind, UploadState, Verdict
from apps.imports.models.workbooks import Workbook
from apps.imports.querysets import UploadQuerySet


class Upload(models.Model):
    """One file that somebody wants in the register: what it would change, and what became of it."""

    kind = models.CharField(max_length=20, choices=UploadKind)
    file_name = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64, db_index=True)
    size_bytes = models.PositiveIntegerField()
    area = models.ForeignKey(
        Area,
        on_delete=models.PROTECT,
        related_name="uploads",
        help_text="rows about anything outside it are refused",
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    workbook = models.ForeignKey(
        Workbook,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="uploads",
        help_text="the one given out that was filled in",
    )
    how = models.JSONField(default=dict, blank=True, help_text="settings of the reader of its kind")

    state = models.CharField(max_length=20, choices=UploadState, default=UploadState.WAITING)
    phase = models.CharField(max_length=60, blank=True)
    rows_done = models.PositiveIntegerField(default=0)
    rows_total = models.PositiveIntegerField(null=True, blank=True, help_text="blank: not known")
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    cancel_requested = models.BooleanField(default=False)
    message = models.TextField(blank=True, help_text="what went wrong and what to do")

    counts = models.JSONField(
        default=dict, blank=True, help_text="sheet to its title and its number of rows by verdict"
    )
    notes = models.JSONField(default=list, blank=True, help_text="what is worth knowing of it")
    choice = models.JSONField(default=dict, blank=True, help_text="what of it is to be applied")
    outcome = models.JSONField(default=dict, blank=True, help_text="what was written, by sheet")
    applied_at = models.DateTimeField(null=True, blank=True)
    applied_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )

    objects = UploadQuerySet.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.file_name}, {self.at:%Y-%m-%d %H:%M}"


class UploadContent(models.Model):
    """The file itself, kept until what it says is applied or given up."""

    upload = models.OneToOneField(Upload, on_delete=models.CASCADE, related_name="content")
    content = models.BinaryField()

    def __str__(self) -> str:
        return str(self.upload)


class ProposalPiece(models.Model):
    """Up to some thousand rows of one sheet of a file that would all do the same, compressed.

    After the upload was applied they say what was changed from what to what: undoing reads
    them backwards.
    """

    upload = models.ForeignKey(Upload, on_delete=models.CASCADE, related_name="pieces")
    sheet = models.CharField(max_length=60, help_text="file name of the sheet in a folder")
    verdict = models.CharField(max_length=10, choices=Verdict)
    first = models.PositiveIntegerField(help_text="how many rows of the kind stand before it")
    row_count = models.PositiveIntegerField()
    content = models.BinaryField()

    class Meta:
        ordering = ["sheet", "verdict", "first"]
        indexes = [
            models.Index(fields=["upload", "sheet", "verdict", "first"], name="imports_piece_place")
        ]

    def __str__(self) -> str:
        return f"{self.upload}: {self.sheet}, {self.get_verdict_display().lower()}"
