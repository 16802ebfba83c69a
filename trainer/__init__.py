"""Spoolroom: a desktop circuit trainer for mobile hydraulics."""

import os

__version__ = "0.1.0"

# numpy reads it when it is loaded: to begin threads takes more than all that its small matrices could gain by them
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
