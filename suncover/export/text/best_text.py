"""What the best plan comes to against the plan by the rules, and what each limit costs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from suncover.export.text.text_table import Column, Style, joined, table, wrapped
from suncover.export.text.words import kwh_text
from suncover.plan.best.plans import BestPlan, Step
from suncover.plan.closings.reasons import length_text
from suncover.site.weights import Best

LEAST = 0.5
"""Minutes that a step has to bring to be named."""

_COLUMNS = (
    Column("shade", most=18),
    Column("comes in", right=True),
    Column("for nothing", right=True),
    Column("moves", right=True),
    Column("cost", right=True),
    Column("by the rules", right=True),
)
_HEAT = (Column("shade", most=14), _COLUMNS[1], Column("heat", right=True), *_COLUMNS[2:])


def best_text(
    best: Sequence[BestPlan], steps: Sequence[Step], weights: Best, *, strong: Style = str
) -> str:
    """The text; `steps` is what each limit costs."""
    return joined(_lines(best, steps, weights, strong))


def _lines(
    best: Sequence[BestPlan], steps: Sequence[Step], weights: Best, strong: Style
) -> Iterator[str]:
    by_heat = weights.by == "heat"
    yield ""
    yield strong("The best plan, in minutes of sun not kept out")
    columns = _HEAT if by_heat else _COLUMNS
    yield from table(columns, [_row(plan, by_heat=by_heat) for plan in best], strong=strong)
    sun = f"a kilowatt-hour that comes in counts {weights.sun * weights.kwh:g}"
    if not by_heat:
        sun = f"a minute of sun counts {weights.sun:g}"
    yield from wrapped(
        f"{sun[0].upper()}{sun[1:]}, a minute of daylight lost {weights.daylight:g}, a move "
        f"{weights.move:g}. Change that in [best]."
    )
    if steps:
        yield ""
        yield strong("What one step would bring")
        telling = [step for step in steps if _better(step) >= LEAST]
        for step in sorted(telling, key=_better, reverse=True):
            text = f"{step.name}, {step.limit}: {_gain(step, by_heat=by_heat)}"
            yield from wrapped(text, first="  - ", indent="    ")
        if len(telling) < len(steps):
            yield f"  {'Any other' if telling else 'Any'} step would bring nothing."


def _row(plan: BestPlan, *, by_heat: bool) -> tuple[str, ...]:
    price = plan.price
    heat = (kwh_text(price.heat),) if by_heat else ()
    return (
        plan.plan.shade,
        length_text(price.missed),
        *heat,
        length_text(price.needless),
        str(plan.moves),
        f"{price.cost:.0f}",
        f"{plan.by_rules:.0f}",
    )


def _better(step: Step) -> float:
    return step.before.cost - step.after.cost


def _gain(step: Step, *, by_heat: bool) -> str:
    old, new = step.before, step.after
    parts = []
    for effect, before, after in (
        ("sun not kept out", old.missed, new.missed),
        ("closing for nothing", old.needless, new.needless),
    ):
        if abs(after - before) >= 60:
            word = "less" if after < before else "more"
            parts.append(f"{length_text(abs(after - before))} {word} {effect}")
    if by_heat and abs(new.heat - old.heat) >= 0.05:
        word = "less" if new.heat < old.heat else "more"
        parts.append(f"{kwh_text(abs(new.heat - old.heat))} {word} heat")
    if step.moves:
        parts.append(f"{abs(step.moves)} {'more' if step.moves > 0 else 'fewer'} moves")
    details = ", ".join(parts) or "a little of each"
    return f"{_better(step):.0f} min better in all ({details})"
