"""Results as files for programs (`files/`) and as text for people (`text/`).

spells, plans, comparisons ──> bytes, str
"""
