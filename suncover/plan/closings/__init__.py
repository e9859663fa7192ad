"""Closings by the rules, each with its reason.

spells ──> rules ──> shade_plan ──> Closing, Uncovered        stops: how far down
unit_plans: the plan of a unit for each of its shades         changed: other rows in its place
"""
