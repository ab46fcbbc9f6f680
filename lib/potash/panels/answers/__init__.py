"""Exercises in the notebook: answered, recorded, handed in."""
