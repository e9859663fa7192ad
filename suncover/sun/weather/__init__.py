"""A year of measured or typical weather, from a file or from pvlib's package.

The door is `load.load_weather`.
"""
