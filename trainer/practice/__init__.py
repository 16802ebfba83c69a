"""Lever practice: tasks for hands, attempts at them, what is measured of one, what to try next, the ladder."""
