"""Scores, books and styles as values: reading, writing, time and state."""
