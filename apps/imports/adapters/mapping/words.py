"""What the words in a column mean: choices and codes of the register, suggested or confirmed."""

import difflib
from collections import Counter
from collections.abc import Iterable, Mapping

from django.db.models import Field, ForeignKey, Model

from apps.imports.adapters.mapping.signatures import normal
from apps.imports.adapters.mapping.synonyms import WORDS

CLOSE = 0.84
SHARED = 0.6
"""The part of all their words that two names must share to be taken for one."""
MOST_WORDS = 200


def distinct_words(rows: Iterable[tuple[int, list[str]]], place: int) -> list[str]:
    """The different texts of one column, the most frequent first, at most 200 of them."""
    counts = Counter(cells[place] for _, cells in rows if cells[place])
    return [word for word, _ in counts.most_common(MOST_WORDS)]


def has_words(field: Field) -> bool:
    """Whether the cells of ``field`` are choices or codes, which a district has words of its
    own for."""
    return bool(field.choices) or isinstance(field, ForeignKey)


def meanings(field: Field, column: str, words: Iterable[str]) -> dict[str, str]:
    """Word to the value that it seems to mean; empty where nothing is close enough."""
    known = _known(field, column)
    return {word: _meaning(normal(word), known) for word in words}


def _meaning(word: str, known: Mapping[str, str]) -> str:
    if word in known:
        return known[word]
    near = difflib.get_close_matches(word, known, n=1, cutoff=CLOSE)
    return known[near[0]] if near else _of_the_same_words(word, known)


def _of_the_same_words(text: str, known: Mapping[str, str]) -> str:
    """What shares most words with ``text``, in whatever order, if it is alone in that."""
    words = set(text.split())
    shares = {
        name: len(words & others) / len(words | others)
        for name in known
        if (others := set(name.split()))
    }
    most = max(shares.values(), default=0.0)
    best = {known[name] for name, share in shares.items() if share == most}
    return best.pop() if most >= SHARED and len(best) == 1 else ""


def _named(model: type[Model]) -> list[tuple[str, str]]:
    """Code and name of each row; the code again where rows have no name."""
    name = "name" if any(each.name == "name" for each in model._meta.fields) else "code"
    return list(model._default_manager.order_by().values_list("code", name))


def _known(field: Field, column: str) -> dict[str, str]:
    """Every normal text that stands for a value: values, labels or names, and synonyms."""
    if isinstance(field, ForeignKey):
        rows = _named(field.related_model)
        names = Counter(normal(name) for _, name in rows)
        # A name that two rows share says of neither which it is.
        known = {normal(name): code for code, name in rows if names[normal(name)] == 1}
        return known | {normal(code): code for code, _ in rows}
    pairs = [(str(value), str(label)) for value, label in field.flatchoices if value != ""]
    known = {word: value for word, value in WORDS.get(column, {}).items() if value in dict(pairs)}
    known |= {normal(label): value for value, label in pairs}
    return known | {normal(value): value for value, _ in pairs}
