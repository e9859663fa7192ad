"""Overhang against shade over a year, in heat and in money.

    Site, WeatherYear ──> Comparison ──> Summary

The doors are `year.compare_year` and `summary.summarize`.
"""
