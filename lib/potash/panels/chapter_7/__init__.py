"""Quench and dispose."""
