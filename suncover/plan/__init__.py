"""When each shade closes, when it opens, and why.

    Site, spells of sun ──> Unit ──> ShadePlan of each shade

The door is `season.season_plan`; `asked` has the other plans that a household may ask for. `needs`
and `exceptions` say when a shade has to be closed; a `Unit` is what is planned as one, a `Motor`
knows when it may run. `closings/` makes closings by the rules and words them, `best/` chooses the
cheapest; `sharing/` spreads the starts on a supply; `timers/` grows the plan to round or steady
times and to settings. `replay` tells what motors do by the rows of any plan, `audit` holds that
against the sun.
"""
