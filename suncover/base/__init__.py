"""What every stage stands on: errors, spells of time, the clock, files that appear whole.

Nothing here knows of sites, sun or shades. `clock` is the only place that knows local time.
"""
