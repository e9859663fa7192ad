"""What a keeper tells: one line an event, in plain words, or as JSON for programs."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from datetime import UTC
from typing import TextIO
from zoneinfo import ZoneInfo

from suncover.base.clock import iso_local
from suncover.base.textfile import printable


class Log:
    """Writes lines to a stream, each at once."""

    def __init__(
        self, clock: Callable[[], float], *, as_json: bool, stream: TextIO | None = None
    ) -> None:
        self.zone: ZoneInfo | None = None
        self._clock = clock
        self._as_json = as_json
        self._stream = sys.stderr if stream is None else stream

    @property
    def utc(self) -> ZoneInfo:
        """The zone of times that are nobody's local ones."""
        return ZoneInfo(str(UTC))

    def tell(self, event: str, text: str, shade: str | None = None) -> None:
        """Writes one event."""
        zone = self.zone or self.utc
        time_text = iso_local(int(self._clock()), zone)
        text = printable(" ".join(text.split()))
        if self._as_json:
            members = {"time": time_text, "event": event, "shade": shade, "text": text}
            line = json.dumps(members, ensure_ascii=False)
        else:
            line = f"{time_text[:10]} {time_text[11:19]}  {f'{shade}: ' if shade else ''}{text}"
        try:
            print(line, file=self._stream, flush=True)
        except (OSError, ValueError):
            return  # nobody reads it any more; the shades are kept all the same
