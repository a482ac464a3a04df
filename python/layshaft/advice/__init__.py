"""Goals, and the settings that serve them."""
