"""Two rigs beside each other: one clock and one set of hands for both, and what is measured of each, paired."""
