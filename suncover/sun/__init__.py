"""Where the sun stands and how strong it is, for instants; a year of weather.

    place, instants ──> directions, clear-sky beam        weather file ──> WeatherYear

The doors are `position.sun_position`, `clearsky.clear_sky_dni` and `weather.load.load_weather`.
"""
