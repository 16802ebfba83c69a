"""The working of what is asked about."""
