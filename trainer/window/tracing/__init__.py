"""The path of the oil, told and asked for."""
