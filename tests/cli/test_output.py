"""How far a long piece of work is: shown on a terminal, after a while, and never in a pipe."""

from __future__ import annotations

import io
import sys

import pytest

from suncover.cli import output


class Screen(io.StringIO):
    """A stream that says whether it is a terminal."""

    def __init__(self, *, terminal: bool) -> None:
        super().__init__()
        self.terminal = terminal

    def isatty(self) -> bool:
        return self.terminal


@pytest.fixture(params=[0.0, 1000.0], ids=["slow work", "quick work"])
def slow_after(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> float:
    limit: float = request.param
    monkeypatch.setattr(output, "SLOW_S", limit)
    return limit


@pytest.mark.parametrize("terminal", [True, False], ids=["terminal", "pipe"])
def test_only_slow_work_on_a_terminal_shows_how_far_it_is(
    monkeypatch: pytest.MonkeyPatch, slow_after: float, terminal: bool
) -> None:
    screen = Screen(terminal=terminal)
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setenv("TERM", "xterm")
    assert list(output.watch(["a", "b", "c"])) == ["a", "b", "c"]
    assert ("working" in screen.getvalue()) == (terminal and slow_after == 0.0)


def test_no_work_is_no_work() -> None:
    assert list(output.watch([])) == []
