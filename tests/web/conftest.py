"""One browser for all tests of the page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    from open_page import CHROMIUM, FLAGS, sync  # noqa: PLC0415  (it skips where there is no browser)

    with sync.sync_playwright() as play:
        chromium = play.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield chromium
        chromium.close()
