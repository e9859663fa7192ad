"""Plans for timers: round times, the same times for days in a row, one setting a period.

The door is `variants.vary`.
"""
