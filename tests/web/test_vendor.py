"""The files of other projects are the published ones: digests from the npm packages."""

import hashlib
import tomllib
from pathlib import Path

import pytest

import apps.web

VENDOR = Path(apps.web.__file__).parent / "static" / "vendor"
PACKAGES = tomllib.loads((VENDOR / "vendor.toml").read_text())["package"]


@pytest.mark.parametrize("package", PACKAGES, ids=lambda package: package["name"])
def test_every_vendored_file_is_byte_for_byte_the_one_that_was_listed(package):
    folder = VENDOR / package["folder"]

    found = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in folder.iterdir()}

    assert found == package["sha256"]


def test_every_vendored_folder_is_listed_with_a_name_a_version_and_a_licence():
    folders = {path.name for path in VENDOR.iterdir() if path.is_dir()}

    assert folders == {package["folder"] for package in PACKAGES}
    assert all(
        package["name"] and package["version"] and package["licence"] for package in PACKAGES
    )


def test_no_vendored_script_names_a_source_map_that_is_not_kept():
    assert [path for path in VENDOR.rglob("*.js") if "sourceMappingURL" in path.read_text()] == []
