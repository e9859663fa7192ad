"""How often Python looks for objects that hold each other in a circle."""

from __future__ import annotations

import atexit
import gc

# New objects after which the young are looked at, and how many such looks go before one at older
# ones. Python's own are 700, 10 and 10.
SELDOM = 200_000, 5, 100


def look_seldom() -> None:
    """In a program of suncover's own: it makes spells and closings by the hundred thousand, none of
    which ever are in a circle, and looking for one takes a fifth of the time. A small command ends
    before the first look.

    At the program's end Python would look through all there is, to free what the system takes back
    in any case: a fifth of a small command. So what is there then is left out.
    """
    gc.set_threshold(*SELDOM)
    atexit.unregister(gc.freeze)  # of an earlier call
    atexit.register(gc.freeze)
