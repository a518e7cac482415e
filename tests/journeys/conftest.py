"""A real browser, and what no page may do in it.

Nothing may be asked of another host, nothing may be written to the console as an error, and
no page that ``inspect`` looks at may break a rule of axe-core (WCAG 2 A and AA and best
practice) or scroll sideways, in three widths and both colour schemes.
"""

import os
import shutil
from collections.abc import Callable, Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.core.cache import cache
from playwright.sync_api import BrowserContext, ConsoleMessage, Page, Route, expect

SIZES = {"desk": (1366, 768), "phone": (390, 844), "small phone": (360, 740)}
SCHEMES = ("light", "dark")
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
# Patience for a machine that does other work beside; what holds is seen at once all the same.
expect.set_options(timeout=15_000)


@pytest.fixture(autouse=True)
def _nothing_asked_yet():
    """What was asked and refused is counted in the cache, which outlives a test."""
    cache.clear()


@pytest.fixture(scope="session")
def chromium() -> str:
    """Path of the browser; without one the test is skipped, or fails where all is required."""
    if CHROMIUM:
        return CHROMIUM
    lack = "Chromium is not installed; on Debian and Ubuntu: apt-get install chromium."
    if os.environ.get("PLANNER_REQUIRE_ALL") == "1":
        pytest.fail(lack)
    pytest.skip(lack)


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict, chromium: str) -> dict:
    return {**browser_type_launch_args, "executable_path": chromium, "args": ARGUMENTS}


@pytest.fixture(scope="session")
def base_url() -> None:
    """No common address; also, the fixture of that name in pytest-base-url is outdated."""


@pytest.fixture(scope="session", autouse=True)
def _rows_beside_the_browser() -> None:
    """Playwright runs a loop in this thread, in which Django would refuse to touch rows."""
    os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")


@pytest.fixture
def context(context: BrowserContext, live_server) -> Iterator[BrowserContext]:
    """A browser context in which everything that is not asked of this host fails the test."""
    elsewhere: list[str] = []

    def guard(route: Route) -> None:
        if route.request.url.startswith((live_server.url, "data:", "blob:")):
            route.continue_()
        else:
            elsewhere.append(route.request.url)
            route.abort()

    context.route("**/*", guard)
    yield context
    assert elsewhere == []


@pytest.fixture
def page(page: Page) -> Iterator[Page]:
    """A page that fails the test if a script fails or the policy is broken."""
    complaints: list[str] = []

    def hear(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            complaints.append(message.text)

    page.on("console", hear)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    yield page
    assert complaints == []


@pytest.fixture
def inspect() -> Callable[[Page], None]:
    """Look at the page as it stands: accessibility and width, in every size and scheme."""

    def look(page: Page) -> None:
        found: list[str] = []
        for size, (width, height) in SIZES.items():
            page.set_viewport_size({"width": width, "height": height})
            if page.evaluate("document.documentElement.scrollWidth") > width:
                found.append(f"{page.url}, {size}: scrolls sideways")
            for scheme in SCHEMES:
                page.emulate_media(color_scheme=scheme)
                found += _breaches(page, f"{page.url}, {size}, {scheme}")
        page.set_viewport_size(dict(zip(("width", "height"), SIZES["desk"], strict=True)))
        page.emulate_media(color_scheme="light")
        assert found == []

    return look


def _breaches(page: Page, where: str) -> list[str]:
    return [
        f"{where}: {breach['id']}: {node['html'][:200]}: {node.get('failureSummary', '')}"
        for breach in Axe().run(page).response["violations"]
        for node in breach["nodes"]
    ]
