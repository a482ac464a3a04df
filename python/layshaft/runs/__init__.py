"""Launches, laps and stints, and what they give."""
