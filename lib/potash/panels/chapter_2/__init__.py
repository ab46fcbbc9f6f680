"""The charge."""
