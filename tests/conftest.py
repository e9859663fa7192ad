"""Settings and the house that all tests share."""

import signal

import pytest
from command_line import write_home
from hypothesis import settings

# A shell lets what it starts in the background ignore Ctrl-C; the tests that press it need it.
if signal.getsignal(signal.SIGINT) == signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)

# The first example of a test pays for loading libraries and for tables that are then kept; how long
# one example takes says nothing about its being right.
settings.register_profile("suncover", deadline=None, max_examples=40)
# Before a release, or after work on what a test draws: `--hypothesis-profile=thorough`.
settings.register_profile("thorough", deadline=None, max_examples=400)
settings.load_profile("suncover")


@pytest.fixture
def home(tmp_path):
    """The site file of an ordinary house, alone in its folder."""
    return write_home(tmp_path)


@pytest.fixture(scope="session")
def browser():
    """One browser for all tests of pages of a worker."""
    from chromium import CHROMIUM, FLAGS, sync  # noqa: PLC0415  (it skips where there is no browser)

    with sync.sync_playwright() as play:
        started = play.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield started
        started.close()
