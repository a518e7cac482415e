"""Production refuses to start where it would not be safe, and is clean where it starts."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SAFE = {
    "PLANNER_MODE": "production",
    "PLANNER_SECRET_KEY": "tQ3v-8mWz_1kLxR7pYc0aNfEoJ2sHdUgB5iKq9eXwV4nTyMZ6rPl",
    "PLANNER_HOSTS": "planning.example.org",
}


def python(*arguments: str, var: Path, **variables: str) -> subprocess.CompletedProcess[str]:
    """Python in a process of its own that knows only ``variables``."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
    settings = {"DJANGO_SETTINGS_MODULE": "planner.settings", "PLANNER_VAR_DIR": str(var)}
    return subprocess.run(  # noqa: S603
        [sys.executable, *arguments],
        cwd=ROOT,
        env={**kept, **settings, **variables},
        capture_output=True,
        text=True,
        check=False,
    )


def refusal(var: Path, **variables: str) -> str:
    """The last line of what Python says when it cannot read the settings."""
    done = python("-c", "import planner.settings", var=var, **variables)
    assert done.returncode == 1, "the settings were accepted"
    return (
        done.stderr.strip()
        .splitlines()[-1]
        .removeprefix("django.core.exceptions.ImproperlyConfigured: ")
    )


@pytest.mark.parametrize(
    ("absent", "example"),
    [
        ("PLANNER_SECRET_KEY", "$(openssl rand -base64 48)"),
        ("PLANNER_HOSTS", "planning.example.org"),
    ],
)
def test_production_does_not_start_without(absent, example, tmp_path):
    variables = {name: value for name, value in SAFE.items() if name != absent}

    said = refusal(tmp_path, **variables)

    assert said == f"{absent} is not set. Set it, for example: {absent}={example}"


def test_production_does_not_start_with_debugging_on(tmp_path):
    said = refusal(tmp_path, **SAFE, PLANNER_DEBUG="1")

    assert said == "PLANNER_DEBUG=1 shows secrets to visitors. Unset it in production."


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("PLANNER_MODE", "live", "PLANNER_MODE='live' is not one of demo, production."),
        ("PLANNER_DEBUG", "yes", "PLANNER_DEBUG='yes' is not one of 0, 1."),
        (
            "PLANNER_PLAN_SECONDS",
            "0",
            "PLANNER_PLAN_SECONDS='0' is not a whole number of at least 1.",
        ),
    ],
)
def test_a_mistyped_setting_is_refused_with_what_may_stand_there(name, value, said, tmp_path):
    assert refusal(tmp_path, **{name: value}) == said


def test_production_settings_pass_the_deployment_checks(tmp_path):
    done = python(
        "-m", "django", "check", "--deploy", "--fail-level", "WARNING", var=tmp_path, **SAFE
    )

    assert done.stdout == "System check identified no issues (0 silenced).\n", done.stderr
    assert done.returncode == 0


def test_the_demo_makes_a_key_that_only_its_owner_can_read_and_keeps_it(tmp_path):
    show = "from planner import settings; print(settings.SECRET_KEY)"

    first = python("-c", show, var=tmp_path).stdout
    second = python("-c", show, var=tmp_path).stdout

    assert first == second
    assert len(first.strip()) >= 50
    assert (tmp_path / "secret-key").stat().st_mode & 0o777 == 0o600


def test_migrations_say_everything_that_the_models_say(tmp_path):
    done = python("-m", "django", "makemigrations", "--check", "--dry-run", var=tmp_path)

    assert done.stdout == "No changes detected\n", done.stderr
    assert done.returncode == 0
