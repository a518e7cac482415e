"""What was said of files of other makes: their names of sites and the meaning of columns."""

from django.conf import settings
from django.db import models

from apps.facilities.models import Area, Facility


class SiteIdentifier(models.Model):
    """What another register calls a site: kept as it came, and given back, never made up."""

    facility = models.ForeignKey(
        Facility, on_delete=models.CASCADE, related_name="external_identifiers"
    )
    system = models.CharField(max_length=200, help_text="address or name of the other register")
    value = models.CharField(max_length=120)

    class Meta:
        ordering = ["facility__code", "system"]
        constraints = [
            models.UniqueConstraint(
                fields=["facility", "system"], name="a_site_has_one_identifier_of_a_system"
            ),
            models.UniqueConstraint(
                fields=["system", "value"], name="an_identifier_is_of_one_site"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.system}|{self.value}"


class UnmappedFile(models.Model):
    """A district's own file, kept until somebody has said which of its columns is which."""

    file_name = models.CharField(max_length=200)
    content = models.BinaryField()
    area = models.ForeignKey(Area, on_delete=models.CASCADE, related_name="unmapped_files")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return self.file_name


class ColumnMapping(models.Model):
    """Which column of a district's own files is which of ours, remembered by their headings."""

    district = models.ForeignKey(Area, on_delete=models.CASCADE, related_name="column_mappings")
    signature = models.CharField(max_length=64, help_text="digest of the headings")
    heads = models.JSONField(help_text="the headings in their order")
    table = models.CharField(max_length=60, help_text="file name of the table in a folder")
    columns = models.JSONField(help_text="column of the table for each heading, or nothing")
    values = models.JSONField(
        default=dict, blank=True, help_text="column to word of the district to value"
    )
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["district__code", "table", "-at"]
        constraints = [
            models.UniqueConstraint(
                fields=["district", "signature"], name="a_district_maps_the_same_headings_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.district}: {self.table} with {len(self.heads)} columns"
