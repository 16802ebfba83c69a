"""Controllers before the window: what they lead, how they are felt, the lever patterns of the rig."""
