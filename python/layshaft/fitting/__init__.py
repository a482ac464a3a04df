"""What was seen of a car, and the fit to it."""
