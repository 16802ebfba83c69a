"""What a machine sounds like, from its state: what is heard of an instant, the sound itself, and its captions."""
