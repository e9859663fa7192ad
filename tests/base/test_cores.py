"""Work on several threads: the same results in order, and an end when it goes wrong."""

import multiprocessing
import sys
import threading
from concurrent.futures import ProcessPoolExecutor

import pytest
from thread_count import threads_used, threads_used_with_three_cores

from suncover.base import cores
from suncover.base.cores import on_threads


@pytest.fixture(params=[1, 3], ids=["one-core", "three-cores"])
def number_of_cores(request, monkeypatch):
    monkeypatch.setattr(cores, "cores", lambda: request.param)


@pytest.mark.usefixtures("number_of_cores")
@pytest.mark.parametrize("count", [0, 1, 2, 50])
def test_results_come_in_the_order_of_the_pieces(count):
    assert list(on_threads(lambda piece: piece * piece, range(count))) == [
        piece * piece for piece in range(count)
    ]


@pytest.mark.usefixtures("number_of_cores")
def test_a_failure_reaches_the_caller_and_leaves_no_thread():
    before = threading.active_count()

    def work(piece: int) -> int:
        if piece == 2:
            raise ValueError("two")
        return piece

    with pytest.raises(ValueError, match="two"):
        list(on_threads(work, range(9)))
    assert threading.active_count() == before


def test_a_process_made_for_a_part_of_the_work_keeps_to_one_thread(monkeypatch):
    """With as many threads as cores in each of as many processes, there were far too many."""
    monkeypatch.setattr(cores, "cores", lambda: 3)
    mine, used = threads_used()
    assert mine not in used
    with ProcessPoolExecutor(1, multiprocessing.get_context("spawn")) as processes:
        mine, used = processes.submit(threads_used_with_three_cores).result()
    assert used == {mine}


def test_without_multiprocessing_there_is_but_one_process(monkeypatch):
    monkeypatch.setattr(cores, "cores", lambda: 3)
    monkeypatch.delitem(sys.modules, "multiprocessing")
    mine, used = threads_used()
    assert mine not in used
    assert "multiprocessing" not in sys.modules
