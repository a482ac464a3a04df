"""Results as tables and sentences."""
