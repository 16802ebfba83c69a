"""What a crash leaves: offered and taken up again."""
