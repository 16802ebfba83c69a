"""The clock: run, freeze, step, back to an instant, marks."""
