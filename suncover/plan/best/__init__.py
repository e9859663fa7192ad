"""The plan that costs least, where sun, daylight and moves are weighed against each other.

The door is `plans.best_plans`.
"""
