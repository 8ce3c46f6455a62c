"""What every test gets: a home of its own, a browser or a reason, and no silent error."""

from __future__ import annotations

import logging
import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# A busy machine is slow, not wrong: no example fails for the time that it took.
settings.register_profile("unhurried", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("unhurried")

HOME = "RXLEARN_HOME"
BROWSER_NAMES = ("chromium", "chromium-browser", "chrome")
NO_BROWSER = (
    "No Chromium was found, so what needs a browser was not tested: install it "
    "(Debian: sudo apt install chromium) or name it in RXLEARN_CHROMIUM."
)


def in_ci() -> bool:
    """Return whether this run must not skip for want of a tool."""
    return os.environ.get("CI", "").strip().lower() not in ("", "0", "false", "no")


def find_chromium() -> str | None:
    """Return the path of a Chromium, or None."""
    chosen = os.environ.get("RXLEARN_CHROMIUM")
    if chosen:
        return chosen if Path(chosen).is_file() else None
    return next((path for path in map(shutil.which, BROWSER_NAMES) if path), None)


# A home of one's own -------------------------------------------------------------


class FreshHomes:
    """Keep tests and replayed lessons away from the tester's own receiver.

    Registered as a plugin, because hooks of this conftest are not called for
    notebooks outside ``tests``.  Each notebook starts with an empty home: what
    it prints must not depend on which lesson ran before.
    """

    def __init__(self) -> None:
        self.before = os.environ.get(HOME)
        self.top = Path(tempfile.mkdtemp(prefix="rxlearn-tests-"))
        self.notebook: Path | None = None
        self.give("session")

    def give(self, name: str) -> Path:
        """Point RXLEARN_HOME at a new empty folder and return it."""
        home = Path(tempfile.mkdtemp(prefix=f"{name}-", dir=self.top))
        os.environ[HOME] = str(home)
        return home

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_setup(self, item: pytest.Item) -> None:
        """Give each replayed notebook a home before its kernel starts."""
        if item.path.suffix == ".ipynb" and item.path != self.notebook:
            self.notebook = item.path
            self.give(item.path.stem)

    def pytest_unconfigure(self) -> None:
        """Put the tester's own setting back."""
        if self.before is None:
            os.environ.pop(HOME, None)
        else:
            os.environ[HOME] = self.before
        shutil.rmtree(self.top, ignore_errors=True)


def pytest_configure(config: pytest.Config) -> None:
    """Register the homes before anything of the package is imported."""
    config.pluginmanager.register(FreshHomes(), "rxlearn-fresh-homes")


# A browser or a reason -----------------------------------------------------------


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Skip a browser test without a browser for a user; fail it in CI."""
    if item.get_closest_marker("browser") and find_chromium() is None:
        if in_ci():
            pytest.fail(NO_BROWSER, pytrace=False)
        pytest.skip(NO_BROWSER)


@pytest.fixture(scope="session")
def chromium() -> str:
    """The path of the Chromium that browser tests drive."""
    path = find_chromium()
    if path is None:
        (pytest.fail if in_ci() else pytest.skip)(NO_BROWSER)
    return path


# No silent error -----------------------------------------------------------------


class _Errors(logging.Handler):
    def __init__(self) -> None:
        super().__init__(level=logging.ERROR)
        self.records: list[logging.LogRecord] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.records.append(record)


@pytest.fixture(autouse=True)
def no_silent_fault(request: pytest.FixtureRequest):
    """Fail a test in which the package logged an error that the test does not expect."""
    handler = _Errors()
    logger = logging.getLogger("rxlearn")
    logger.addHandler(handler)
    yield
    logger.removeHandler(handler)
    if handler.records and not request.node.get_closest_marker("expects_fault"):
        said = "\n".join(f"{r.name}: {r.getMessage()}" for r in handler.records)
        pytest.fail(f"The package logged an error:\n{said}", pytrace=False)
    if not handler.records and request.node.get_closest_marker("expects_fault"):
        pytest.fail("This test expects a fault, and none was logged.", pytrace=False)


@pytest.fixture(scope="session")
def browser(chromium):
    """One headless Chromium for all tests of a worker: two would fight over its event loop."""
    from playwright.sync_api import sync_playwright

    from tests.jupyter_lab import BROWSER_OPTIONS

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium, args=list(BROWSER_OPTIONS))
        yield opened
        opened.close()
