"""The page of a site file in a real browser."""

from typing import Any
from urllib.parse import urlsplit

import pytest
from chromium import sync

pytest.importorskip("starlette", reason="starlette is not installed")

CHANGES = ("begin", "judge", "change", "bay", "around", "save")


class Opened:
    """A page on a site file, with what it logged and whom it asked."""

    def __init__(self, browser: Any, address: str, **context: Any) -> None:
        self.context = browser.new_context(**context)
        self.page = self.context.new_page()
        self.page.set_default_timeout(10_000)
        self.logged: list[str] = []
        self.asked: set[str] = set()
        self.open: list[str] = []  # questions that have no answer yet
        self.page.on("console", lambda message: self.logged.append(message.text))
        self.page.on("pageerror", lambda error: self.logged.append(str(error)))
        self.page.on("request", self._asks)
        self.page.on("requestfinished", self._has)
        self.page.on("requestfailed", self._has)
        self.page.goto(address)

    def _asks(self, request: Any) -> None:
        self.asked.add(urlsplit(request.url).netloc)
        self.open.append(request.url.rpartition("/")[2])

    def _has(self, request: Any) -> None:
        self.open.remove(request.url.rpartition("/")[2])

    def rests(self, *names: str) -> None:
        """Waits until the page asks nothing more that changes its text, or of these questions."""
        still = 0
        while still < 3:
            self.page.wait_for_timeout(20)
            still = 0 if {*CHANGES, *names} & set(self.open) else still + 1

    def field(self, *path: str | int) -> Any:
        return self.page.locator("#field-" + "-".join(map(str, path)))

    def fault(self, *path: str | int) -> Any:
        return self.page.locator("#field-" + "-".join(map(str, path)) + "-fault")

    def says(self, words: str) -> None:
        sync.expect(self.page.locator("#state")).to_have_text(words)
