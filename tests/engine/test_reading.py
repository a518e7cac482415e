"""Reading as a whole: all mistakes at once, text that is not JSON, anything at all."""

import json

import pytest
from hypothesis import example as with_example
from hypothesis import given
from hypothesis import strategies as st

from planner.engine.case import Case, Result
from planner.engine.errors import InputError
from tests.factories.documents import EXAMPLE, EXAMPLE_PATH, example, mutated_examples
from tests.factories.refusals import problems, refusal

CAPITAL = ("limits", "capital")


def with_text(old: str, new: str) -> str:
    """The example's text with its first ``old`` replaced by ``new``, JSON or not."""
    text = json.dumps(EXAMPLE)
    assert old in text
    return text.replace(old, new, 1)


def test_all_mistakes_of_all_kinds_are_reported_at_once():
    document = example(
        (CAPITAL, -1), (("sites", 1, "level"), "two"), (("links", 0, "to"), "nowhere")
    )

    refused = refusal(document)

    assert str(refused) == (
        "The planning case has 3 mistakes. Correct the places named and read it again."
    )
    assert list(refused.problems) == [
        'sites[1].level: expected a whole number from 0 to 9007199254740991, found "two"',
        "limits.capital: expected a number ≥ 0, found -1",
        'links[0].to: there is no entry with code "nowhere" in sites',
    ]


@pytest.mark.parametrize(("mistakes", "kept"), [(99, 99), (100, 100), (101, 100), (2000, 100)])
def test_the_first_hundred_mistakes_are_kept_and_all_are_counted(mistakes, kept):
    document = example((("device_models", 0, "programmes"), [5] * mistakes))

    refused = refusal(document)

    assert (refused.count, len(refused.problems)) == (mistakes, kept)
    assert refused.problems[0] == (
        "device_models[0].programmes[0]: expected text of 1 to 100 characters, found 5"
    )


def test_one_mistake_is_counted_in_the_singular():
    assert refusal(example((CAPITAL, -1))).problem == "The planning case has 1 mistake."


def test_repeated_keys_are_named_with_their_path_and_number():
    text = with_text('"level": 2,', '"level": 1, "level": 2, "level": 2,')
    text = text.replace('"capital": 1500', '"capital": 1500, "capital": 1500')

    assert problems(text) == [
        "sites[1].level: this key stands 3 times in one object",
        "limits.capital: this key stands 2 times in one object",
    ]


def test_a_key_repeated_inside_a_place_unknown_to_the_format_is_named_too():
    text = with_text('"title":', '"notes": [{"a b": 1, "a b": 1}], "title":')

    assert problems(text) == [
        "notes: unknown key",
        'notes[0]["a b"]: this key stands 2 times in one object',
    ]


NESTED = "[" * 100_000
SYNTAX = [
    ("", "line 1, column 0: not JSON (the text ends too early)"),
    ('{"format": "benchward-case"', "line 1, column 27: not JSON (the text ends too early)"),
    ("{}\n{}", "line 2, column 1: not JSON (something follows the end of the document)"),
    ('{"a": 1,\n}', "line 2, column 1: not JSON (trailing comma)"),
    ('{"a": "\\ud800"}', r"line 1, column 14: not JSON (a \u escape that stands for no character)"),
    (NESTED, "line 1, column 202: not JSON (nested too deeply)"),
    (f'{{"limits": {"9" * 4301}}}',
     "line 1, column 4313: not JSON (a number of more than 4300 digits)"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line"), SYNTAX, ids=lambda part: part[:30])
def test_text_that_is_not_json_is_refused_with_line_and_column(text, line):
    assert problems(text) == [line]


def test_a_number_of_4300_digits_is_still_read_and_then_refused_for_its_size():
    assert problems(example((CAPITAL, int("9" * 4300)))) == [
        f"limits.capital: expected a number ≥ 0, found {'9' * 60}..."
    ]


@pytest.mark.parametrize(
    ("document", "found"), [([], "[]"), (5, "5"), (None, "null"), ("case", '"case"')]
)
def test_a_document_that_is_not_an_object_is_refused_as_a_whole(document, found):
    assert problems(json.dumps(document)) == [f"the document: expected an object, found {found}"]


def test_bytes_that_are_not_utf8_are_refused_with_their_line():
    content = json.dumps(EXAMPLE, indent=1).encode().replace(b"Thornley", b"Th\xf6rnley", 1)
    line = content.count(b"\n", 0, content.index(b"\xf6")) + 1

    assert problems(content) == [f"line {line}: byte 0xf6 is not UTF-8; save the file as UTF-8"]


def test_utf16_is_refused_as_not_utf8():
    assert problems(json.dumps(EXAMPLE).encode("utf-16")) == [
        "line 1: byte 0xff is not UTF-8; save the file as UTF-8"
    ]


@pytest.mark.parametrize("source", ["\ufeff{}", b"\xef\xbb\xbf{}"], ids=["text", "bytes"])
def test_a_byte_order_mark_is_passed_over(source):
    assert problems(source)[0] == 'format: this key is missing; expected "benchward-case"'


def test_a_file_is_read_like_its_bytes():
    assert Case.read(EXAMPLE_PATH) == Case.read(EXAMPLE_PATH.read_bytes())


@pytest.mark.parametrize(
    ("name", "reason"), [(".", "Is a directory"), ("absent.json", "No such file or directory")]
)
def test_a_file_that_cannot_be_read_is_named_with_the_reason(tmp_path, name, reason):
    path = tmp_path / name

    assert problems(path) == [f"{path}: cannot be read ({reason})"]


def test_a_result_is_read_by_the_same_rules():
    with pytest.raises(InputError) as refused:
        Result.read('{"format": "benchward-case", "case_sha256": "ABC"}')

    assert refused.value.problem == "The result has 14 mistakes."
    assert refused.value.problems[:3] == (
        'format: expected "benchward-result", found "benchward-case"',
        "version: this key is missing; expected one of 1, 2",
        'case_sha256: expected a SHA-256 digest, 64 hexadecimal digits in lower case, found "ABC"',
    )


def read_or_refuse(source) -> bool:
    """Read ``source`` if it is a case; else be refused in lines that a terminal can show."""
    try:
        Case.read(source).sha256()
    except InputError as error:
        lines, count = error.problems, error.count
    else:
        return True
    shown = [line for line in lines if line.isprintable() and len(line) < 500]
    return len(shown) == min(count, InputError.SHOWN) > 0


@given(st.text(st.characters()))
@with_example("\ud800")
def test_any_text_is_read_or_refused_in_printable_lines(text):
    assert read_or_refuse(text)


@given(st.binary())
def test_any_bytes_are_read_or_refused_in_printable_lines(content):
    assert read_or_refuse(content)


@given(mutated_examples())
def test_any_changed_example_is_read_or_refused_in_printable_lines(document):
    assert read_or_refuse(json.dumps(document))


@given(at=st.integers(0, len(json.dumps(EXAMPLE))), text=st.text(st.characters(), max_size=4))
def test_the_example_with_anything_put_in_anywhere_is_read_or_refused(at, text):
    whole = json.dumps(EXAMPLE)

    assert read_or_refuse(whole[:at] + text + whole[at:])
