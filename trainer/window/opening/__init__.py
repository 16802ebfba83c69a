"""Another rig: chosen from a list, from a file, or dropped on the window; what is wrong with its file."""
