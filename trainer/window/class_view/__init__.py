"""The question for the class, on a projector."""
