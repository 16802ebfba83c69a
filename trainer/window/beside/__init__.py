"""Two rigs beside each other, moved by the same hands: what each does, and what it costs, in pairs."""
