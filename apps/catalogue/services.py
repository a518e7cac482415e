import gzip
import hashlib
from typing import Any

import rfc8785
from django.db import transaction

from apps.accounts.models import User
from apps.accounts.rules import require
from apps.audit.services import record
from apps.catalogue.adapters import snapshot
from apps.catalogue.models import CatalogueVersion


class NothingNewError(Exception):
    """The catalogue is as it was when the latest version was published."""


def publish_version(*, title: str, planning: dict[str, Any], by: User | None) -> CatalogueVersion:
    """Keep the catalogue as it stands as the next version.

    ``planning`` are the lists of a planning case that follow from it
    (``coverage.adapters.catalogue``), kept beside it so that cases can be put under a version.

    Raises ``PermissionDenied`` where ``by`` may not, ``NothingNewError`` where nothing changed.
    """
    require(by, "catalogue.publish")
    with transaction.atomic():
        text = rfc8785.dumps({"tables": snapshot(), "planning": planning})
        sha256 = hashlib.sha256(text).hexdigest()
        latest = CatalogueVersion.objects.select_for_update().defer("content").first()
        if latest and latest.sha256 == sha256:
            raise NothingNewError(
                f"Nothing has changed since version {latest.number} ({latest.title}) was published."
            )
        version = CatalogueVersion.objects.create(
            number=latest.number + 1 if latest else 1,
            title=title,
            sha256=sha256,
            # Without the time of packing the same catalogue gives the same bytes.
            content=gzip.compress(text, mtime=0),
            published_by=by,
        )
        record(
            "catalogue.published",
            by=by,
            obj=version,
            after={"number": version.number, "title": title, "sha256": sha256},
        )
    return version
