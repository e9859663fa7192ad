"""What the best plan comes to against the plan by the rules, and what each limit costs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from suncover.best import BestPlan, Loosened
from suncover.export.text_table import Column, Style, joined, table, wrapped
from suncover.plan_reasons import length_text
from suncover.site_best import Best

_COLUMNS = (
    Column("shade", most=18),
    Column("let in", right=True),
    Column("needless", right=True),
    Column("moves", right=True),
    Column("cost", right=True),
    Column("by the rules", right=True),
)


def best_text(
    best: Sequence[BestPlan],
    rules: Sequence[float],
    looser: Sequence[Sequence[Loosened]],
    weights: Best,
    *,
    strong: Style = str,
) -> str:
    """The text; `rules` has the costs of the plans by the rules, `looser` what each limit costs."""
    return joined(_lines(best, rules, looser, weights, strong))


def _lines(
    best: Sequence[BestPlan],
    rules: Sequence[float],
    looser: Sequence[Sequence[Loosened]],
    weights: Best,
    strong: Style,
) -> Iterator[str]:
    yield ""
    yield strong("The best plan, in minutes of sun let in")
    rows = [
        (
            one.plan.shade,
            length_text(one.missed),
            length_text(one.needless),
            str(one.moves),
            f"{one.cost:.0f}",
            f"{cost:.0f}",
        )
        for one, cost in zip(best, rules, strict=True)
    ]
    yield from table(_COLUMNS, rows, strong=strong)
    yield from wrapped(
        f"A minute of sun counts {weights.sun:g}, a minute of daylight lost {weights.daylight:g}, "
        f"a move {weights.move:g}. Change that in [best]."
    )
    steps = [(one, step) for one, mine in zip(best, looser, strict=True) for step in mine]
    if steps:
        yield ""
        yield strong("What one step would bring")
        for one, step in steps:
            text = f"{one.plan.shade}, {step.limit}: {_gain(one, step.plan)}"
            yield from wrapped(text, first="  - ", indent="    ")


def _gain(now: BestPlan, then: BestPlan) -> str:
    if now.cost - then.cost < 0.5:
        return "nothing"
    parts = []
    for what, before, after in (
        ("sun let in", now.missed, then.missed),
        ("needless closing", now.needless, then.needless),
    ):
        if abs(after - before) >= 60:
            word = "less" if after < before else "more"
            parts.append(f"{length_text(abs(after - before))} {word} {what}")
    if then.moves != now.moves:
        word = "more" if then.moves > now.moves else "fewer"
        parts.append(f"{abs(then.moves - now.moves)} {word} moves")
    how = ", ".join(parts) or "a little of each"
    return f"{now.cost - then.cost:.0f} min better in all ({how})"
