"""What may be mounted on a car, and what the hands do for it."""
