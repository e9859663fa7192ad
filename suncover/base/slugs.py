"""Names as parts of addresses: of topics, of pages."""

from __future__ import annotations

import re
import unicodedata


def slug_of(name: str) -> str:
    """A name in lower-case ASCII letters, digits and hyphens.

    Marks on letters are dropped; what is then no letter or digit becomes a hyphen. Empty where
    nothing is left.
    """
    letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub("[^a-z0-9]+", "-", letters).strip("-")
