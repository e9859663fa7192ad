"""Settings that all tests share."""

from __future__ import annotations

import signal

from hypothesis import settings

# A shell lets what it starts in the background ignore Ctrl-C; the tests that press it need it.
if signal.getsignal(signal.SIGINT) == signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)

# The first example of a test pays for loading libraries and for tables that are then kept; how long
# one example takes says nothing about its being right.
settings.register_profile("suncover", deadline=None)
settings.load_profile("suncover")
