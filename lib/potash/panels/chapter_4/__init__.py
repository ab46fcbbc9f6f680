"""Choose the liquid."""
