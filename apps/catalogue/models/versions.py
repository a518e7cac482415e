import gzip
import json
from typing import Any

from django.conf import settings
from django.db import models


class CatalogueVersion(models.Model):
    """The whole catalogue as it stood when somebody published it; never changed.

    ``content`` is gzipped canonical JSON with two keys: ``tables``, every row by its natural
    key, and ``planning``, the lists of a planning case that follow from them. ``sha256`` is
    the digest of the JSON.
    """

    number = models.PositiveIntegerField(unique=True)
    title = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64, editable=False)
    content = models.BinaryField(editable=False)
    published_at = models.DateTimeField(auto_now_add=True)
    published_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["-number"]
        get_latest_by = "number"

    def __str__(self) -> str:
        return f"{self.number}: {self.title}"

    @property
    def values(self) -> dict[str, Any]:
        """What ``content`` holds."""
        return json.loads(gzip.decompress(bytes(self.content)))
