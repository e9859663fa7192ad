"""A real browser for tests of pages: Chromium, driven by Playwright.

`SUNCOVER_CHROMIUM` names the browser, else Debian's place for it; `SUNCOVER_AXE` a `node_modules`
folder with axe-core in it. With `SUNCOVER_SHOTS`, a folder, pictures of the pages are left there.
What is not there is skipped, and the skip says so.
"""

import os
from pathlib import Path

import pytest

sync = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed")

CHROMIUM = Path(os.environ.get("SUNCOVER_CHROMIUM", "/usr/bin/chromium"))
AXE = Path(os.environ.get("SUNCOVER_AXE", "/nowhere")) / "axe-core" / "axe.min.js"
SHOTS = os.environ.get("SUNCOVER_SHOTS")
FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
in_a_browser = pytest.mark.skipif(
    not CHROMIUM.exists(), reason=f"no browser at {CHROMIUM}; SUNCOVER_CHROMIUM names another"
)
