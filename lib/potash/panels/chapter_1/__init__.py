"""Balance the reaction."""
