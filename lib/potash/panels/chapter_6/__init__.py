"""Carry the hydrogen away."""
