"""One JupyterLab and one Chromium for all browser tests of a worker."""

from __future__ import annotations

import pytest

from tests.browser.lab import CHROMIUM_OPTIONS, Lab


@pytest.fixture(scope="package")
def lab(tmp_path_factory):
    """A JupyterLab of its own, on a copy of the lessons."""
    opened = Lab(tmp_path_factory.mktemp("lab"))
    yield opened
    opened.close()


@pytest.fixture(scope="package")
def browser(chromium):
    """A headless Chromium."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium, args=list(CHROMIUM_OPTIONS))
        yield opened
        opened.close()
