"""What stays the same of a file's headings from one year's file to the next."""

import hashlib
import re
import unicodedata
from collections.abc import Sequence

PARTS = re.compile(r"[^\w]+|_", re.UNICODE)


def normal(text: str) -> str:
    """``text`` in small letters without accents and signs: ``"N° d'inventaire"`` is
    ``"n d inventaire"``."""
    plain = unicodedata.normalize("NFKD", text).casefold()
    letters = "".join(each for each in plain if not unicodedata.combining(each))
    return " ".join(PARTS.sub(" ", letters).split())


def signature(heads: Sequence[str]) -> str:
    """SHA-256 of the headings in their order; case, accents and signs do not count."""
    return hashlib.sha256("\n".join(map(normal, heads)).encode()).hexdigest()
