"""The drawing, the machine beside it and the lever rack: what is looked at and taken hold of."""
