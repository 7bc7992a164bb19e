"""A browser for the tests of what is written as HTML."""

import pytest

from tests.chromium import browser, wanted


@pytest.fixture(scope="session")
def chromium():
    """One headless Chromium for all of them; skipped where there is none, but never in CI."""
    if not wanted():
        pytest.skip("there is no Chromium here")
    with browser() as one:
        yield one
