"""Results as pandas DataFrames (`frame.frame`); a plan's comes back through `files.plan_read`."""
