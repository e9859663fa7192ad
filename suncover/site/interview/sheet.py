"""The questions about one table of the site file, by the keys that their answers become.

What may be answered, in which unit, what is doubtful and how it goes into the file: all that
follows from the key's own kind of value in the model, and from the sizes that are usual.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, get_args, get_origin

from suncover.site.interview.kinds import Check, Doubt, by_kind, is_word, one_of, read, unless_word
from suncover.site.interview.question import Line, Lines, Question
from suncover.site.interview.values import length_meaning, time_meaning, toml_measure, toml_text
from suncover.site.kinds.durations import SECONDS_OF
from suncover.site.kinds.kind import limits_of
from suncover.site.kinds.values import Quantity
from suncover.site.model import Site
from suncover.site.rules.sizes import USUAL, size_doubt
from suncover.site.tables import annotation_of, fields_of, models_in, tables_of
from suncover.site.tape.keys import BY_TAPE


@dataclass(frozen=True)
class Sheet:
    """Questions whose keys begin with `key`, for the table with that `header` in the file.

    `deep` is the key that asks for more about the same thing.
    """

    key: str
    header: str
    deep: str | None = None

    def ask(
        self,
        last: str,
        text: str,
        how: str = "",
        default: str | None = None,
        comment: str = "",
        *,
        key: str = "",
        nothing: str | None = None,
        size: str = "",
        **changes: Any,
    ) -> Question:
        """A question whose answer becomes a line `key` (or `last`) with a comment.

        The answer `nothing` is always right, and becomes no line. `size` is the key in `USUAL`
        if that is another key. `changes` are fields of the question, in place of those that follow
        from the kind of value.
        """
        key = key or last
        kind = kind_of(self.header, key)
        words, limits = _words_of(kind), limits_of(kind)
        check = changes.pop("check", None) or (one_of(words) if words else by_kind(kind))
        unit = limits.unit if isinstance(limits, Quantity) and limits.unit in SECONDS_OF else ""

        def lines(answer: str) -> tuple[Line, ...]:
            if nothing is not None and is_word(answer, nothing):
                return ()
            meant = check(answer) if limits is None else None  # a word as the file has it
            value = toml_text(meant) if isinstance(meant, str) else toml_measure(answer)
            is_bare = unit and not value.startswith('"')
            return ((key, value, f"{unit} {comment}" if is_bare else comment),)

        fields: dict[str, Any] = {"default": default, "lines": lines}
        usual = size or f"{_path(self.header)[-1]}.{key}"
        if usual in USUAL:
            fields["doubt"] = _doubtful(usual, last, check)
        if unit or getattr(limits, "length", False):
            fields["meaning"] = time_meaning(unit) if unit else length_meaning
        if nothing is not None:
            checks = {name: fields[name] for name in ("doubt", "meaning") if name in fields}
            fields |= {name: unless_word(nothing, ask) for name, ask in checks.items()}
            check = unless_word(nothing, check)
        how = how or f"{', '.join(words[:-1])} or {words[-1]}."
        return self.plain(last, text, how, check, **fields | changes)

    def plain(
        self, last: str, text: str, how: str, check: Check, *, lines: Lines, **more_fields: Any
    ) -> Question:
        """A question of this table with a check and lines of its own.

        What its answer becomes must be what the file takes as well.
        """

        def as_the_file_takes_it(answer: str) -> None:
            check(answer)
            for key, value, _ in lines(answer):
                read(kind_of(self.header, key), tomllib.loads(f"it = {value}")["it"])

        return Question(
            f"{self.key}.{last}",
            text,
            how,
            as_the_file_takes_it,
            table=self.header,
            lines=lines,
            deep=self.deep,
            **more_fields,
        )


def _path(header: str) -> list[str]:
    """`[[window.fin]] left` as `window`, `fin`."""
    return header.strip("[").partition("]")[0].split(".")


@cache
def kind_of(header: str, key: str) -> Any:
    """The kind of value that a key of a table takes, also one by tape."""
    first, *inner = _path(header)
    model: Any = tables_of(Site)[first].model
    for part in inner:
        model = next(models_in(fields_of(model)[part].annotation))
    tape = fields_of(BY_TAPE[first]) if first in BY_TAPE else {}
    kinds = [annotation_of(fields[key]) for fields in (fields_of(model), tape) if key in fields]
    return kinds[0] if len(kinds) == 1 else kinds[0] | kinds[1]  # a window's `wall` is either


def _words_of(kind: Any) -> tuple[str, ...]:
    """The words that a key takes, where it takes nothing else."""
    words = next((part for part in (kind, *get_args(kind)) if get_origin(part) is Literal), None)
    return get_args(words)


def _doubtful(usual: str, name: str, check: Check) -> Doubt:
    """What to ask about a length or a time that no house has; `name` is what it is called."""

    def doubt(answer: str) -> str | None:
        value = float(str(check(answer)))
        doubtful = size_doubt(usual, value) if value else None  # 0 says that there is none
        return f"{name} {doubtful}" if doubtful else None

    return doubt
