"""Exact times of sun on glass whose shading has a closed form, from few instants, for many windows.

sun_grid        the sun of a place on a grid of dates and times of day
panes           windows of one pattern, and their conditions as forms in the sun's direction
ragged          groups of different sizes in one array
grid_values     these forms where the grid's lines and columns cross
first_look      cells that are lit throughout, dark throughout, or open
runs            open cells side by side, and those in which every condition keeps its direction
branches        there: how a crossing moves from day to day
single_days     elsewhere: one day after the other
glasses         all of it, in order

yard_search     windows among obstacles and trees, any sun at all: cells, then pieces of days
day_search      in these pieces: what holds for a reason, and where it ends
share_search    a share of the glass among obstacles and trees
paths           the sun's paths over cells and over stretches of a day

power_search    within those times: when the sun puts enough on the whole glass
"""
