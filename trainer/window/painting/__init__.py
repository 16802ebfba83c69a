"""What paints: fonts, looks, draw lists on the screen and in files."""
