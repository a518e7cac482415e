"""Whatever a service changes is recorded, with who did it: read from the source itself."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]

# Services that nobody asks for, and why.
WITHOUT_A_PERSON = {
    "imports.carry_out_upload": "the worker writes for whoever applied; in that person's name",
    "imports.mark_uploads_interrupted": "the service itself finds out; recorded in nobody's name",
    "imports.read_upload": "the worker reads for whoever uploaded; in that person's name",
    "imports.take_back_upload": "the worker undoes for whoever asked; in that person's name",
    "plans.compute_run": "the worker computes for whoever asked; recorded in that person's name",
    "plans.mark_interrupted": "the service itself finds out; recorded in nobody's name",
}
# Services that leave no entry, and why.
WITHOUT_AN_ENTRY = {
    "audit.record": "it is the entry",
    "coverage.site_changes": "it only reads",
    "coverage.keep_document": "part of a change that is recorded by whoever keeps the document",
    "imports.beat_upload": "a sign of life, which changes nothing that anybody said",
    "imports.is_loaded": "it only reads",
    "imports.new_workbook_key": "it only makes up a name",
    "imports.preview_travel_times": "it only reads",
    "imports.recognise": "it only reads",
    "imports.mapping_question": "it only reads",
    "plans.beat": "a sign of life, which changes nothing that anybody said",
}
# Services that leave it to one of a lower app.
CHANGED = "facilities.change_row"
RECORDED_BELOW = {
    "coverage.publish_catalogue": "catalogue.publish_version",
    "inventory.add_item": CHANGED,
    "inventory.adopt_testing_hours": "facilities.change_site",
    "inventory.count_skill": CHANGED,
    "inventory.count_staff": CHANGED,
    "inventory.count_stock": CHANGED,
    "inventory.state_infrastructure": CHANGED,
}


def modules(app: Path) -> list[Path]:
    package = app / "services"
    return sorted(package.glob("*.py")) if package.is_dir() else [app / "services.py"]


def functions(app: Path) -> dict[str, ast.FunctionDef]:
    """Every function of the app's services, public or not, by name."""
    trees = [ast.parse(path.read_text(encoding="utf-8")) for path in modules(app)]
    return {
        node.name: node for tree in trees for node in tree.body if isinstance(node, ast.FunctionDef)
    }


def offered(app: Path) -> set[str]:
    """What others may call: of a package what its ``__init__`` names, else every public name."""
    if not (app / "services").is_dir():
        return {name for name in functions(app) if not name.startswith("_")}
    door = ast.parse((app / "services" / "__init__.py").read_text(encoding="utf-8"))
    named = {
        alias.name for node in door.body if isinstance(node, ast.ImportFrom) for alias in node.names
    }
    return named & set(functions(app))


def services() -> Iterator[tuple[str, ast.FunctionDef, dict[str, ast.FunctionDef]]]:
    for app in sorted((ROOT / "apps").iterdir()):
        if (app / "services.py").exists() or (app / "services").is_dir():
            every = functions(app)
            for name in sorted(offered(app)):
                yield f"{app.name}.{name}", every[name], every


def calls(function: ast.FunctionDef) -> set[str]:
    return {
        node.func.id
        for node in ast.walk(function)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }


def records(function: ast.FunctionDef, every: dict[str, ast.FunctionDef]) -> bool:
    """Whether ``record`` is called, there or in what it calls of the same services."""
    ahead, seen = [function], set()
    while ahead:
        found = calls(ahead.pop())
        if "record" in found:
            return True
        ahead += [every[name] for name in found - seen if name in every]
        seen |= found
    return False


SERVICES = list(services())


def test_there_are_services_to_look_at():
    names = [name for name, _, _ in SERVICES]

    assert {"plans.start_run", "coverage.refresh_coverage", "imports.load_register"} <= set(names)


@pytest.mark.parametrize(("name", "function", "every"), SERVICES, ids=[row[0] for row in SERVICES])
def test_a_service_says_in_whose_name_by_keyword(name, function, every):
    keywords = {argument.arg for argument in function.args.kwonlyargs}

    exempt = name in WITHOUT_A_PERSON or (name in WITHOUT_AN_ENTRY and name != "audit.record")
    assert ("by" in keywords) != exempt


@pytest.mark.parametrize(("name", "function", "every"), SERVICES, ids=[row[0] for row in SERVICES])
def test_a_service_leaves_an_entry_in_the_audit_trail(name, function, every):
    assert records(function, every) != (name in WITHOUT_AN_ENTRY or name in RECORDED_BELOW)


def test_every_exception_is_a_service_that_is_still_there():
    exceptions = WITHOUT_A_PERSON.keys() | WITHOUT_AN_ENTRY.keys() | RECORDED_BELOW.keys()
    assert exceptions | set(RECORDED_BELOW.values()) <= {name for name, _, _ in SERVICES}
