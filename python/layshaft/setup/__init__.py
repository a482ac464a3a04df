"""The car and its parts as values, and the files that hold them."""
