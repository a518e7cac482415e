"""A district's own spreadsheet: which of its columns is which of ours, and what its words mean."""

from apps.imports.adapters.mapping.reading import read_mapped
from apps.imports.adapters.mapping.signatures import signature
from apps.imports.adapters.mapping.suggesting import ColumnGuess, Guess, suggest
from apps.imports.adapters.mapping.words import distinct_words, meanings

__all__ = [
    "ColumnGuess",
    "Guess",
    "distinct_words",
    "meanings",
    "read_mapped",
    "signature",
    "suggest",
]
