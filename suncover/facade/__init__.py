"""How much of this glass is lit, and exactly when.

    Site, instants ──> spells of direct sun on each window and spot

The doors are `hours.hours` and `hours.spots`; `exposure` joins the site's model to the geometry.
`plates`, `shadows` and `skyline` are what stands before one glass, `yard/` obstacles and trees, and
`search/` finds the instants at which sun comes and goes.
"""
