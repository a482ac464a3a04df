"""Files: written whole or not at all, and refused by name where damaged."""
