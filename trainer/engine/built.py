"""What was built of a rig before, written down: the functions of its network and its solver, and their names."""

from __future__ import annotations

import zlib
from typing import Any

import casadi as ca
import msgspec

from trainer.engine.columns import NetworkNames

__all__ = ["Built"]


class Built(msgspec.Struct, frozen=True):
    """Functions by name, as casadi writes them down, pressed: they are read one by one, when they are asked for.

    ``order`` is that in which the solver takes the states; ``equations`` is the digest of what it integrates.
    """

    names: NetworkNames
    functions: dict[str, bytes]
    order: list[int]
    equations: str

    @classmethod
    def of(cls, names: NetworkNames, functions: dict[str, str], order: list[int], equations: str) -> Built:
        """Return functions that are written down."""
        pressed = {name: zlib.compress(text.encode("ascii"), 1) for name, text in functions.items()}
        return cls(names, pressed, order, equations)

    def function(self, name: str) -> Any:
        """Return a casadi function, None where there is none or it cannot be read."""
        try:
            return ca.Function.deserialize(zlib.decompress(self.functions[name]).decode("ascii"))
        except (KeyError, ValueError, RuntimeError, zlib.error):
            return None
