"""Closings of one shade by its rules, each with its reason.

spells ──> rules ──> shade_plan ──> Closing, Uncovered        stops: how far down
"""
