"""What the log of a light sensor on a window shows of the sun: a source of sightings.

twilight    when the light passes a level in the morning and in the evening
rhythm      how far the logger's clock is off, by day and night
pattern     which days are clear, and about which way the window faces, by whole days
beginnings  how the beam begins on a sensor, by where it lies
places      where on the window it may lie, and when the sun comes to it there
fits        one coming or leaving, fitted
edges       when the sun came to it and left it, day by day
settle      the azimuth and the clock together, with what all days have in common
study       all of it in one: log in, azimuth and clock out
"""
