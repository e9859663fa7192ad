"""Settings that all tests share."""

from __future__ import annotations

from hypothesis import settings

# The first example of a test pays for loading libraries and for tables that are then kept; how long
# one example takes says nothing about its being right.
settings.register_profile("suncover", deadline=None)
settings.load_profile("suncover")
