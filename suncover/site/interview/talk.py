"""What has been named in an interview so far, so that later answers can refer to it."""

from __future__ import annotations

from suncover.site.interview.kinds import Check, new_name
from suncover.site.interview.question import Answers, KnownHome
from suncover.site.kinds.coordinates import parse_place


class Talk:
    """The answers of an interview and the names in them, gathered as its questions go on."""

    def __init__(self, answers: Answers, home: KnownHome) -> None:
        self.answers, self.home = answers, home
        self.walls = list(home.walls)
        self.facing: dict[str, float] = {}  # which way the walls of this interview face
        self.windows = list(home.windows)
        self.shades = list(home.shades)
        self.own_shades: list[str] = []  # of this interview: they may cover further windows
        self._placed = list(home.placed)
        self._fresh: list[str] = []  # windows of this interview without a place
        self.names = {kind: list(names) for kind, names in home.names.items()}
        self._origin_is_free = not home.placed and not home.walls

    def get(self, key: str, default: str = "") -> str:
        """An answer; `default` where there is none yet."""
        return self.answers.get(key, default).strip()

    @property
    def place(self) -> tuple[float, float]:
        """The site's latitude and longitude."""
        return self.home.place or parse_place(self.answers["site.place"])

    @property
    def references(self) -> list[str]:
        """Windows and walls that something may be measured from.

        While nothing is on the plan, any window of this interview may become its origin.
        """
        free = self._fresh if self._origin_is_free and not self._placed else []
        return [*self._placed, *free, *self.walls]

    @property
    def placed_windows(self) -> list[str]:
        """Windows that another may be measured from."""
        walls = set(self.walls)
        return [name for name in self.references if name not in walls]

    def new_name(self, kind: str) -> Check:
        """A check of a name that no other table of that kind has."""
        return new_name(frozenset(self.names.get(kind, ())))

    def add(self, kind: str, key: str) -> None:
        """Notes the name of a table once it has been given."""
        self.names.setdefault(kind, []).append(self.get(f"{key}.name"))

    def add_wall(self, key: str, azimuth: float | None) -> None:
        """Notes a wall, and which way it faces if that is known."""
        name = self.get(f"{key}.name")
        self.walls.append(name)
        if azimuth is not None:
            self.facing[name] = azimuth
        self._origin_is_free = False

    def add_window(self, key: str) -> None:
        """Notes a window once all about it has been answered."""
        name = self.get(f"{key}.name")
        self.windows.append(name)
        on_plan = self.get(f"{key}.where", "none").casefold() != "none"
        if on_plan or f"{key}.along" in self.answers or f"{key}.beside" in self.answers:
            self._place(self._measured_from(key))
            self._place(name)
        else:
            self._fresh.append(name)

    def add_shade(self, key: str) -> None:
        if name := self.get(f"{key}.shade_name"):
            self.shades.append(name)
            self.own_shades.append(name)

    def note_reference(self, name: str) -> None:
        """Notes that something is measured from a window: it is on the plan from now on."""
        if name in self._fresh:
            self._place(name)

    def _measured_from(self, key: str) -> str:
        """The window that another is measured from, which becomes the origin if it is the first."""
        if f"{key}.beside" in self.answers:
            return self.get(f"{key}.azimuth")
        _, _, name = self.get(f"{key}.where").partition(" of ")
        name = name.partition(",")[0].strip().casefold()
        return next((window for window in self._fresh if window.casefold() == name), "")

    def _place(self, name: str) -> None:
        match = next(
            (window for window in self._fresh if window.casefold() == name.casefold()), None
        )
        if match is not None:
            self._fresh.remove(match)
            name = match
        elif name not in self.windows:
            return
        if name not in self._placed:
            self._placed.append(name)
