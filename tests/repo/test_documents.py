"""Every path, command and address that the documents name is there."""

import re
from pathlib import Path

import pytest
from django.core.management import get_commands
from django.urls import Resolver404, resolve

ROOT = Path(__file__).resolve().parents[2]
DOCUMENTS = [ROOT / "README.md", ROOT / "DEVELOPERS.md"]
# Made by the commands themselves, or by the reader.
MADE_LATER = {".venv", "var/", "result.json", ".venv/bin/python"}

SPAN = re.compile(r"`([^`\n]+)`")
FENCE = re.compile(r"^```[^\n]*\n(.*?)^```", re.MULTILINE | re.DOTALL)
COMMAND = re.compile(r"manage\.py ([a-z_]+)")
PATH = re.compile(r"[\w.-]+(?:/[\w.-]+)*/?")
SUFFIXES = (".py", ".md", ".toml", ".json", ".css", ".csv", ".txt")


def prose(text: str) -> str:
    return FENCE.sub("", text)


def blocks(text: str) -> str:
    return "\n".join(FENCE.findall(text))


def words(text: str) -> list[str]:
    """Code spans of the prose, and the single words of the code blocks."""
    return [*SPAN.findall(prose(text)), *blocks(text).split()]


def is_path(word: str) -> bool:
    return bool(PATH.fullmatch(word)) and ("/" in word or word.endswith(SUFFIXES))


def exists(word: str) -> bool:
    """As a path from the top, or as the end of a path in the source."""
    folders = ("apps", "planner", "tests")
    return (ROOT / word).exists() or any(
        found for folder in folders for found in (ROOT / folder).rglob(word.rstrip("/"))
    )


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda document: document.name)
def test_every_path_that_a_document_names_exists(document):
    named = {word for word in words(document.read_text(encoding="utf-8")) if is_path(word)}

    assert [path for path in sorted(named - MADE_LATER) if not exists(path)] == []
    assert len(named) >= 5


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda document: document.name)
def test_every_command_that_a_document_names_exists(document):
    named = set(COMMAND.findall(document.read_text(encoding="utf-8")))

    assert named - set(get_commands()) == set()
    assert named >= {"demo", "test"}


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda document: document.name)
def test_every_address_that_a_document_names_is_served(document):
    named = [word for word in words(document.read_text(encoding="utf-8")) if word[0] == "/"]

    for address in named:
        try:
            found = resolve(address)
        except Resolver404:
            pytest.fail(f"{document.name} names {address}, which leads nowhere")
        assert found.view_name != "api:unknown"


def test_a_path_that_is_not_there_would_be_seen():
    assert is_path("apps/nowhere/views.py")
    assert not exists("apps/nowhere/views.py")
    assert not exists("nowhere.py")
