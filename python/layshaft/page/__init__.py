"""The page for the pit: one file with the car and the core, for a phone that is offline."""
