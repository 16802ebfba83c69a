"""Numbers, screws and loads of the rig, changed while it runs."""
