"""When each shade closes, when it opens, and why.

    Site, spells of sun ──> ShadePlan of each shade

The door is `season.season_plan`. `needs` says when a shade has to be closed; `closings/` makes
closings of that by the rules, `best/` the cheapest; `sharing/` is what shades share (a group, a
supply); `timers/` draws days together. `audit` replays any plan against the sun.
"""
