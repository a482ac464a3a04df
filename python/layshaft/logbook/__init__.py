"""A season in one file: set-ups, tracks, days, runs, what was seen, what was advised."""
