"""The import contracts of ``pyproject.toml`` hold."""

import os
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LINT_IMPORTS = Path(sys.executable).with_name("lint-imports")


def lint_imports(config: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603
        [LINT_IMPORTS, "--no-cache", "--no-logo", str(config)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )


def test_all_import_contracts_are_kept():
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    count = len(settings["tool"]["importlinter"]["contracts"])

    done = lint_imports(ROOT / "pyproject.toml")

    assert f"Contracts: {count} kept, 0 broken." in done.stdout, done.stdout + done.stderr
    assert done.returncode == 0


def test_a_broken_contract_would_be_seen(tmp_path):
    config = tmp_path / "contracts.toml"
    config.write_text(
        """
        [tool.importlinter]
        root_packages = ["planner", "apps"]

        [[tool.importlinter.contracts]]
        name = "False on purpose: addresses import their views"
        type = "forbidden"
        source_modules = ["apps.api.urls"]
        forbidden_modules = ["apps.api.views"]
        """,
        encoding="utf-8",
    )

    done = lint_imports(config)

    assert "Contracts: 0 kept, 1 broken." in done.stdout
    assert done.returncode == 1
