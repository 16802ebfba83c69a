"""What is measured on a running machine: instruments and their errors, fitting them, what a reading counts."""
