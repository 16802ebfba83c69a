"""The lessons: what there is and how far one is, whether one is ready, and the answers so far."""
