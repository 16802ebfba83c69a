"""Lever practice: the ladder, the run, and what came of it."""
