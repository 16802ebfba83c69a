"""What can be done with a thing, as a menu."""
