"""Frozen dataclasses of our own do what those of the standard library do.

Each class is made twice, by `dataclasses.dataclass` and by ours, and the two are held together.
"""

import copy
import dataclasses
import inspect
import pickle
from dataclasses import field

import pytest

from suncover.base.frozen import dataclass
from suncover.base.spell import Spell
from suncover.facade.glazed import Glass

BOTH = [dataclasses.dataclass, dataclass]


def made_by(make):
    """Classes with all that a field may be here, a class of one field, and one of none."""

    @make(frozen=True)
    class Pane:
        """A pane."""

        width: float
        height: float = 1.5
        marks: list = field(default_factory=list)
        note: str = field(default="none", compare=False, repr=False)
        room: str = field(default="hall", kw_only=True)

        def __post_init__(self):
            if self.width < 0:
                raise ValueError(f"a width of {self.width}")

    @make(frozen=True)
    class Door(Pane):  # noqa: PLW1641 - its hash is what is asked for
        width: float = 0.9
        handle: str = "left"

        def __repr__(self):
            return "a door"

        def __eq__(self, other):
            return isinstance(other, Door)

    @make(frozen=True)
    class Number:
        value: float

        def __hash__(self):
            return 7

    @make(frozen=True)
    class Nothing:
        pass

    return Pane, Door, Number, Nothing


def outcomes(make):
    """What classes made by `make` answer to all that is asked of such a class."""
    pane, door, number, nothing = made_by(make)
    one, same, other = pane(2.0), pane(2.0, note="else"), pane(2.0, room="loft")
    circle = pane(1.0)
    circle.marks.append(circle)
    nan = float("nan")
    return [
        *map(repr, (one, other, door(), number(3), nothing(), circle)),
        [one == same, one == other, one != other, one == (2.0, 1.5, []), door() == door(5.0)],
        [number(nan) == number(nan), number(float("nan")) == number(nan), nothing() == nothing()],
        [
            hash(pane(2.0, marks=())) == hash((2.0, 1.5, (), "hall")),
            hash(number(3)),
            hash(nothing()),
        ],
        isinstance(hash(door(marks=())), int),
        one.marks is not same.marks,
        dataclasses.asdict(dataclasses.replace(one, height=4.0)),
        [entry.name for entry in dataclasses.fields(door)],
        [pane.__match_args__, door.__match_args__, number.__match_args__],
        [str(inspect.signature(made)) for made in (pane, number, nothing)],
        [pane.__doc__, dataclasses.is_dataclass(door)],
        copy.copy(other) == other and copy.deepcopy(other) == other,
    ]


def test_they_answer_as_those_of_the_standard_library_do():
    for theirs, ours in zip(*map(outcomes, BOTH), strict=True):
        assert ours == theirs


@pytest.mark.parametrize(
    "wrong",
    [
        lambda pane: pane(),
        lambda pane: pane(1.0, 1.0, [], "", "hall"),
        lambda pane: pane(1.0, depth=2.0),
        lambda pane: pane(-1.0),
        lambda pane: hash(pane(1.0)),
        lambda pane: setattr(pane(1.0), "width", 2.0),
        lambda pane: delattr(pane(1.0), "width"),
        lambda pane: pane(1.0) < pane(2.0),
    ],
)
def test_they_refuse_what_those_of_the_standard_library_refuse(wrong):
    said = []
    for make in BOTH:
        with pytest.raises((TypeError, ValueError, dataclasses.FrozenInstanceError)) as refused:
            wrong(made_by(make)[0])
        said.append((refused.type, str(refused.value)))
    assert said[0] == said[1]


def test_they_go_through_a_file():
    glass = Glass(1.2, 1.5, 0.1)
    assert pickle.loads(pickle.dumps((glass, Spell(1, 2)))) == (glass, Spell(1, 2))


def test_what_goes_beyond_is_refused_when_the_class_is_made():
    for options in ({"init": False, "default": 1}, {"hash": False}):
        with pytest.raises(TypeError, match=r"field of Odd needs dataclasses\.dataclass"):

            @dataclass(frozen=True)
            class Odd:
                value: int = field(**options)

    with pytest.raises(TypeError, match="what may change"):
        dataclass(frozen=False)
