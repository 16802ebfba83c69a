"""Changing a rig while it runs: numbers, screws, loads, oil; saved in a file, and kept through a crash."""
