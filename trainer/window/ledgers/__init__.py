"""The ledgers of the instant and over time."""
