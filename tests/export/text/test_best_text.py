"""What a step looser would bring to the best plan, as it is told."""

from suncover.export.text.best_text import best_text
from suncover.plan.best.plans import Step
from suncover.plan.best.weigh import Price
from suncover.site.weights import Best


def price(cost: float, missed: int) -> Price:
    return Price(missed=missed, needless=0, cost=cost, heat=0.0)


def test_steps_that_bring_most_come_first_and_those_that_bring_nothing_are_one_line():
    steps = [
        Step("den", "merge 20 min", price(100, 600), price(99.8, 600), 0),
        Step("den", "no quiet hours", price(100, 600), price(97, 420), 0),
        Step("loft", "5 moves a day", price(100, 7200), price(40, 3600), 2),
    ]
    told = best_text([], steps, Best()).splitlines()
    assert told[told.index("What one step would bring") + 1 :] == [
        "  - loft, 5 moves a day: 60 min better in all (60 min less sun not kept out, 2",
        "    more moves)",
        "  - den, no quiet hours: 3 min better in all (3 min less sun not kept out)",
        "  Any other step would bring nothing.",
    ]
