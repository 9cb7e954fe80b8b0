"""Scores as values: reading, writing, unfolding and time."""
