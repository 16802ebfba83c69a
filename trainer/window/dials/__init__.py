"""Instruments: their dials, the rail, fitting and taking off, the stopwatch, what a reading counts."""
