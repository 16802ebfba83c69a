"""Lessons: a task is read, committed to, run, seen and explained; right answers are readings of its own run."""
