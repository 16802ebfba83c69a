"""Lessons on the board: the pane of a task, its forms, its covers and its run."""
