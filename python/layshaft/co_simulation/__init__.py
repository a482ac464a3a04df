"""The car as a unit for co-simulation."""
