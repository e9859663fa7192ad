"""The limits of a shade, each one step looser: what do they cost?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from suncover.site.model import Shade

ALONE = "each shade by itself"
"""In words, the step of a group whose shades no longer move together."""


def looser(shade: Shade, moves: int = 1) -> Iterator[tuple[str, Shade]]:
    """A shade with each limit that it has one step looser, and what the limit is then.

    `moves` is how many moves a day more are a step.
    """
    changes: list[tuple[str, dict[str, Any]]] = []
    if shade.moves is not None:
        count = shade.moves + moves
        changes.append((f"{count} moves a day", {"moves": count}))
    if shade.merge > 0:
        minutes = max(shade.merge - 10, 0)
        changes.append((f"merge {minutes:g} min", {"merge": minutes}))
    if shade.shortest > 0:
        minutes = max(shade.shortest - 5, 0)
        changes.append((f"shortest {minutes:g} min", {"shortest": minutes}))
    if shade.quiet is not None:
        changes.append(("no quiet hours", {"quiet": None}))
    for limit, change in changes:
        yield limit, shade.model_copy(update=change)


def tighter_margins(shade: Shade) -> tuple[str, Shade] | None:
    """A shade that closes and opens a minute nearer to its sun; None if it can come no nearer."""
    if not shade.lead and not shade.lag:
        return None
    lead, lag = max(shade.lead - 1, 0), max(shade.lag - 1, 0)
    return "lead and lag a minute less", shade.model_copy(update={"lead": lead, "lag": lag})
