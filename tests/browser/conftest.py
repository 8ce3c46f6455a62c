"""One JupyterLab for all browser tests of a worker."""

from __future__ import annotations

import pytest

from tests.browser.lab import Lab


@pytest.fixture(scope="package")
def lab(tmp_path_factory):
    """A JupyterLab of its own, on a copy of the lessons."""
    opened = Lab(tmp_path_factory.mktemp("lab"))
    yield opened
    opened.close()
