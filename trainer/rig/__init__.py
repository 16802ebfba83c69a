"""A rig: its parts, lines, instruments and drawing; read from a file, told in words, written back."""
