"""Files and functions stay small enough to be read at one sitting.

The limits are the project's own rule. Migrations are written by Django and are left out;
tests may be long lists of facts, so that the 90 % rules are for the product's code only.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FUNCTION = ast.FunctionDef | ast.AsyncFunctionDef


def python_files(*folders: str) -> list[Path]:
    found = [path for folder in folders for path in sorted((ROOT / folder).rglob("*.py"))]
    return [path for path in found if "migrations" not in path.parts]


PRODUCT = python_files("apps", "planner")
EVERYTHING = [*PRODUCT, *python_files("tests"), ROOT / "manage.py"]


def lines_of(path: Path) -> int:
    return len(path.read_text(encoding="utf-8").splitlines())


def functions_of(path: Path) -> Iterator[FUNCTION]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return (node for node in ast.walk(tree) if isinstance(node, FUNCTION))


def length(function: FUNCTION) -> int:
    return (function.end_lineno or function.lineno) - function.lineno + 1


def where(path: Path, line: int) -> str:
    return f"{path.relative_to(ROOT)}:{line}"


def test_there_is_something_to_measure():
    assert len(PRODUCT) > 100
    assert ROOT / "apps" / "api" / "urls.py" in PRODUCT


def test_no_file_is_longer_than_400_lines():
    long = {str(path.relative_to(ROOT)): lines_of(path) for path in EVERYTHING}

    assert {path: count for path, count in long.items() if count > 400} == {}


def test_no_function_is_longer_than_60_lines():
    long = [
        (where(path, function.lineno), function.name, length(function))
        for path in EVERYTHING
        for function in functions_of(path)
        if length(function) > 60
    ]

    assert long == []


def test_nine_in_ten_files_of_the_product_are_under_150_lines():
    short = [path for path in PRODUCT if lines_of(path) < 150]

    assert len(short) >= 0.9 * len(PRODUCT)


def test_nine_in_ten_functions_of_the_product_are_under_25_lines():
    lengths = [length(function) for path in PRODUCT for function in functions_of(path)]

    assert len([count for count in lengths if count < 25]) >= 0.9 * len(lengths)


def test_nothing_is_imported_inside_a_function():
    # manage.py must run before the packages are installed; it imports Django last.
    inside = {
        where(path, node.lineno)
        for path in EVERYTHING
        if path.name != "manage.py"
        for function in functions_of(path)
        for node in ast.walk(function)
        if isinstance(node, ast.Import | ast.ImportFrom)
    }

    assert inside == set()


@pytest.mark.parametrize("word", ["helpers", "utils", "common", "misc", "lib"])
def test_no_module_is_named_after_nothing(word):
    assert [str(path) for path in EVERYTHING if word in (path.stem, path.parent.name)] == []


def test_every_public_function_that_others_build_on_is_typed_and_says_what_it_promises():
    promised = [
        path
        for path in PRODUCT
        if "engine" in path.parts or path.name in ("services.py", "selectors.py")
    ]
    silent = [
        (where(path, node.lineno), node.name)
        for path in promised
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, FUNCTION)
        and not node.name.startswith("_")
        and not (node.returns and ast.get_docstring(node))
    ]

    assert silent == []
