"""Work on several threads: the same results in order, and an end when it goes wrong."""

from __future__ import annotations

import threading

import pytest

from suncover import cores
from suncover.cores import on_threads


@pytest.fixture(params=[1, 3], ids=["one-core", "three-cores"], autouse=True)
def number_of_cores(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cores, "cores", lambda: request.param)


@pytest.mark.parametrize("count", [0, 1, 2, 50])
def test_results_come_in_the_order_of_the_pieces(count: int) -> None:
    assert list(on_threads(lambda piece: piece * piece, range(count))) == [
        piece * piece for piece in range(count)
    ]


def test_a_failure_reaches_the_caller_and_leaves_no_thread() -> None:
    before = threading.active_count()

    def work(piece: int) -> int:
        if piece == 2:
            raise ValueError("two")
        return piece

    with pytest.raises(ValueError, match="two"):
        list(on_threads(work, range(9)))
    assert threading.active_count() == before
