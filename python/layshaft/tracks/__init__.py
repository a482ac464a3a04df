"""Tracks, and the files that hold them."""
