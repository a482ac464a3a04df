"""The command `layshaft`."""

import layshaft


def main() -> None:
    """Print the version."""
    print(f"layshaft {layshaft.__version__}")
