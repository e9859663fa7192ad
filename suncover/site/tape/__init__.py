"""Where things stand by what a tape measures, turned into metres east and north.

`keys` holds the keys, `frames` the walls and windows to measure from, `plan` the way from tables as
a person wrote them to tables with a `position`, a `footprint`, a `trunk` and an `azimuth`. It comes
before the models, so that all that follows knows the plan alone.

        right end   wall   left end        seen from outdoors, facing the wall:
            ---------+==+---.              `along` runs from its left end to the glass's left edge
     after           |  |     out          `out` is straight out of it, `right` to the right
            corner  window
"""
