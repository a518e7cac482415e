"""What is installed is exactly what was reviewed, wherever it is fetched from."""

import ipaddress
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LOCKS = sorted((ROOT / "planner" / "requirements").glob("*.txt"))
PIN = re.compile(r"^(?P<name>[a-z0-9._-]+)==(?P<version>[^\s;]+)", re.IGNORECASE | re.MULTILINE)
HASH = re.compile(r"--hash=sha256:[0-9a-f]{64}")
# Options that would send an installer to one particular place.
INDEX_OPTION = re.compile(r"--(extra-)?index-url|--find-links|--trusted-host|^registry\s*=", re.M)
HOST = re.compile(r"\bhttps?://(?:[^/\s@]+@)?(\[[0-9a-f:]+\]|[A-Za-z0-9.-]+)")
PACKAGE_HOST = re.compile(r"pypi|pythonhosted|npm|registry|artifact|nexus|mirror|\bproxy", re.I)
OWN_ADDRESSES = {"127.0.0.1", "0.0.0.0", "::1"}  # noqa: S104


def tracked_texts() -> dict[str, str]:
    listed = subprocess.run(
        ["git", "ls-files", "-z"],  # noqa: S607
        cwd=ROOT,
        capture_output=True,
        check=True,
    )
    texts = {}
    for name in listed.stdout.decode().split("\0"):
        path = ROOT / name
        if name and path.is_file() and "vendor" not in path.parts:
            texts[name] = path.read_bytes().decode("utf-8", errors="replace")
    return texts


def blocks(lock: Path) -> list[str]:
    """One text for each requirement: its first line and the indented lines below it."""
    text = lock.read_text(encoding="utf-8")
    return [block for block in re.split(r"\n(?=\S)", text) if not block.startswith("#")]


def is_foreign(host: str) -> bool:
    if PACKAGE_HOST.search(host):
        return True
    try:
        return str(ipaddress.ip_address(host.strip("[]"))) not in OWN_ADDRESSES
    except ValueError:
        return False


def test_both_lists_are_there():
    assert [lock.name for lock in LOCKS] == ["base.txt", "dev.txt"]


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.name)
def test_a_lock_names_no_address(lock):
    assert "://" not in lock.read_text(encoding="utf-8")


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.name)
def test_every_requirement_of_a_lock_is_one_version_with_its_hashes(lock):
    loose = [block for block in blocks(lock) if not (PIN.match(block) and HASH.search(block))]

    assert loose == []
    assert len(blocks(lock)) > 30


def test_the_development_list_holds_every_pin_of_the_base_list():
    base, dev = (
        {(pin["name"], pin["version"]) for pin in PIN.finditer(lock.read_text(encoding="utf-8"))}
        for lock in LOCKS
    )

    assert base - dev == set()


def test_no_tracked_file_sends_an_installer_to_a_place_of_its_own():
    own = "tests/repo/test_locks.py"
    sent = [name for name, text in tracked_texts().items() if INDEX_OPTION.search(text)]

    assert [name for name in sent if name != own] == []


def test_no_tracked_file_holds_the_address_of_a_package_host_or_of_a_machine():
    foreign = [
        (name, host)
        for name, text in tracked_texts().items()
        for host in HOST.findall(text)
        if is_foreign(host)
    ]

    assert foreign == []


@pytest.mark.parametrize("host", ["10.1.2.3", "packages.npm.example", "[fd00::1]"])
def test_such_an_address_would_be_seen(host):
    assert HOST.findall(f"see http://{host}/simple/") == [host]
    assert is_foreign(host)


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "planning.example.org"])
def test_an_address_of_the_service_itself_may_stand_anywhere(host):
    assert not is_foreign(host)
