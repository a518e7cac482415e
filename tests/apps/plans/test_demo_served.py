"""The demo of the shipped district, started, served and ended as a person does it."""

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.db import connection

from apps.plans.management.serving import HOST
from planner.settings import ROOT

PATIENCE_S = 60
pytestmark = pytest.mark.skipif(
    connection.vendor != "sqlite", reason="brings a database of its own"
)


@pytest.fixture(scope="module")
def environment(tmp_path_factory) -> dict[str, str]:
    inherited = {name: value for name, value in os.environ.items() if "PLANNER" not in name}
    place = tmp_path_factory.mktemp("demo")
    return {
        **inherited, "PLANNER_VAR_DIR": str(place), "DJANGO_SETTINGS_MODULE": "planner.settings"
    }  # fmt: skip


@pytest.fixture(scope="module")
def summary(environment) -> str:
    """What the first start of the shipped demo prints."""
    return start(environment)


def command(*words: str) -> list[str]:
    return [sys.executable, "-m", "django", "demo", *words]


def start(environment: dict[str, str]) -> str:
    done = subprocess.run(  # noqa: S603
        command("--no-serve"),
        cwd=ROOT, env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def without_seconds(text: str) -> str:
    return re.sub(r"Ready +after [0-9.]+ s", "Ready", text)


def test_the_shipped_demo_tells_what_the_plan_would_change(summary):
    before, after = map(float, re.findall(r"(?:Today|With it) +([0-9.]+)%", summary))

    assert summary.startswith("Sorrelwater district (invented): 62 sites, 69 tests\n")
    assert 0 < before < after < 100
    assert re.search(r"proven within 0\.[0-9]{2}% of the best", summary)


def test_the_second_start_tells_the_same(environment, summary):
    assert without_seconds(start(environment)) == without_seconds(summary)


def test_pages_and_worker_are_served_until_the_signal_to_end(environment, summary):
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        port = probe.getsockname()[1]
    served = subprocess.Popen(  # noqa: S603
        command("--port", str(port)), cwd=ROOT, text=True,
        env={**environment, "PYTHONUNBUFFERED": "1"}, stdout=subprocess.PIPE,
    )  # fmt: skip
    try:
        told = list(until_it_invites(served.stdout))
        page = urllib.request.urlopen(f"http://{HOST}:{port}/sign-in/", timeout=10)
        style = urllib.request.urlopen(f"http://{HOST}:{port}/static/web/tokens.css", timeout=10)
        workers = children(served.pid)
    finally:
        served.send_signal(signal.SIGTERM)
        rest, _ = served.communicate(timeout=PATIENCE_S)

    assert (page.status, style.status) == (200, 200)
    assert f"http://{HOST}:{port}/" in told[-2]
    assert re.search(r"the password of each is demo-[0-9a-f]{8}$", told[-1])
    assert (served.returncode, rest.splitlines()[-1]) == (0, "Ended.")
    assert len(workers) == 1
    assert [pid for pid in workers if alive(pid)] == []


def until_it_invites(lines) -> Iterator[str]:
    deadline = time.monotonic() + PATIENCE_S
    for line in lines:
        yield line.rstrip("\n")
        if line.startswith("Sign in"):
            return
        assert time.monotonic() < deadline


def children(pid: int) -> list[int]:
    listed = Path(f"/proc/{pid}/task/{pid}/children").read_text()
    return [int(child) for child in listed.split()]


def alive(pid: int) -> bool:
    try:
        return " Z " not in Path(f"/proc/{pid}/stat").read_text()
    except FileNotFoundError:
        return False
