"""Grids of runs, in memory and in files."""
