from django.conf import settings
from django.db import models

from apps.facilities.choices import AreaKind
from apps.facilities.querysets import AreaQuerySet


class Area(models.Model):
    """A district, or a block of one. ``path`` lists the codes from the root, as ``a/b/``."""

    code = models.SlugField(max_length=60, unique=True)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=20, choices=AreaKind)
    parent = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="children"
    )
    path = models.CharField(max_length=300, unique=True, editable=False)
    outline = models.JSONField(
        null=True, blank=True, help_text="GeoJSON Polygon (RFC 7946): longitude before latitude"
    )
    currency = models.CharField(max_length=3, default="USD", help_text="ISO 4217 code")

    objects = AreaQuerySet.as_manager()

    class Meta:
        ordering = ["path"]

    def __str__(self) -> str:
        return self.name

    def save(self, **kwargs) -> None:
        self.path = f"{self.parent.path if self.parent else ''}{self.code}/"
        super().save(**kwargs)


class Stewardship(models.Model):
    """Somebody answers for an area: what lies in it and below is theirs to see."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="stewardships"
    )
    area = models.ForeignKey(Area, on_delete=models.CASCADE, related_name="stewardships")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "area"], name="a_user_stewards_an_area_once")
        ]

    def __str__(self) -> str:
        return f"{self.user} for {self.area}"
