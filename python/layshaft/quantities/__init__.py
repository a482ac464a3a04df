"""Numbers with their units, in SI and in those of the workshop."""
