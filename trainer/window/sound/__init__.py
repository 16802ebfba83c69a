"""Sound, where it is wanted: a device that is kept supplied, the switch, and the captions."""
