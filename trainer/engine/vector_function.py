"""A function of vectors that gives one vector, called without the conversions of an ordinary casadi call."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import casadi as ca
import numpy as np

from trainer.engine.topology import Vector

__all__ = ["VectorFunction", "on_arrays"]


def on_arrays(function: Any, inputs: Mapping[int, Vector], outputs: Mapping[int, Vector]) -> Callable[[], None]:
    """Return a call of a casadi function that reads from some arrays and writes into others.

    It raises RuntimeError where the function fails.
    """
    buffer, trigger = function.buffer()
    for index, array in inputs.items():
        buffer.set_arg(index, array.data)
    for index, array in outputs.items():
        buffer.set_res(index, array.data)

    def call(_kept: Any = (buffer, function, inputs, outputs)) -> None:  # the trigger itself keeps nothing alive
        trigger()

    return call


class VectorFunction:
    """A casadi function of columns that gives a column, as one of vectors; ValueError for such of other lengths."""

    def __init__(self, function: Any) -> None:
        self._inputs = [np.zeros(function.size1_in(k)) for k in range(function.n_in())]
        self._output = np.zeros(function.size1_out(0))
        self._function = function
        self._run = on_arrays(function, dict(enumerate(self._inputs)), {0: self._output})

    @classmethod
    def of(cls, name: str, inputs: Sequence[Any], column: Any) -> VectorFunction:
        """Return a column of expressions as a function of columns of symbols."""
        return cls(ca.Function(name, [*inputs], [ca.densify(column)]))

    def __call__(self, *vectors: Vector) -> Vector:
        """Return the column at some vectors."""
        for own, given in zip(self._inputs, vectors, strict=True):
            own[:] = given
        self._run()
        return self._output.copy()

    def depends_on(self, number: int) -> set[int]:
        """Return which entries of the vector given as a numbered input matter at all."""
        return set(self._function.jac_sparsity(0, number).get_col())

    def written(self) -> str:
        """Return it as casadi writes functions down."""
        return str(self._function.serialize())
