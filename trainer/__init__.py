"""Spoolroom: a desktop circuit trainer for mobile hydraulics."""

__version__ = "0.1.0"
