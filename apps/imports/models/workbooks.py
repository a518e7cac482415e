"""Workbooks that were given out to be filled in."""

from django.conf import settings
from django.db import models

from apps.facilities.models import Area, Facility


class Workbook(models.Model):
    """A workbook that was given out, with what the register said then: its version mark.

    A filled workbook names it by ``key``; what differs from it was changed by a person.
    """

    key = models.CharField(max_length=40, unique=True)
    area = models.ForeignKey(Area, on_delete=models.PROTECT, related_name="workbooks")
    facility = models.ForeignKey(
        Facility,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="workbooks",
        help_text="blank: all of the area",
    )
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    at = models.DateTimeField(auto_now_add=True)
    row_count = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64, help_text="of the rows that were given out")

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.facility or self.area}, {self.at:%Y-%m-%d %H:%M}"


class WorkbookPiece(models.Model):
    """Rows of one sheet as they were given out, compressed."""

    workbook = models.ForeignKey(Workbook, on_delete=models.CASCADE, related_name="pieces")
    sheet = models.CharField(max_length=60, help_text="file name of the sheet in a folder")
    content = models.BinaryField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.workbook}: {self.sheet}"
