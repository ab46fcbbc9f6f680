"""Run it."""
