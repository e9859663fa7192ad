"""How far a long piece of work is: shown on a terminal, after a while, and never in a pipe."""

import io
import sys

import pytest

from suncover.cli import output


@pytest.mark.parametrize("slow_after", [0.0, 1000.0], ids=["slow work", "quick work"])
@pytest.mark.parametrize("terminal", [True, False], ids=["terminal", "pipe"])
def test_only_slow_work_on_a_terminal_shows_how_far_it_is(monkeypatch, slow_after, terminal):
    screen = io.StringIO()
    screen.isatty = lambda: terminal
    monkeypatch.setattr(output, "SLOW_S", slow_after)
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setenv("TERM", "xterm")
    assert list(output.watch(["a", "b", "c"])) == ["a", "b", "c"]
    assert ("working" in screen.getvalue()) == (terminal and slow_after == 0.0)
    assert list(output.watch([])) == []
