"""Results for programs as files (`files/`) and DataFrames (`frames/`), for people as `text/`.

spells, plans, comparisons ──> bytes, str
"""
