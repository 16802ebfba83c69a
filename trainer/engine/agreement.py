"""Whether two ways to work out the same equations agree: number for number, at instants drawn over wide ranges.

Much of what a rig's equations hold is at rest at any one instant: a valve is shut, a stop is not touched. Points that
reach it all are drawn from a fixed seed: states far to both sides of an instant and of nothing, and what is fixed
during a call, controls and numbers of parts among it, a hundred times smaller and larger.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from trainer.engine.topology import Vector
from trainer.engine.vector_function import on_arrays

__all__ = ["agree"]

_SEED = 1
_NEAREST, _FURTHEST = -4, 2  # of states from their centre, as powers of ten of their nominal values
_SCALE = 2  # and what is fixed is made smaller and larger by so many
_TURNED = 0.1  # share of what is fixed that has its sign turned


def _points(z: Vector, fixed: Vector, count: int) -> Iterator[tuple[Vector, Vector]]:
    """Yield an instant and then such as are drawn around it: scaled states, and what is fixed during a call."""
    yield z, fixed
    random = np.random.default_rng(_SEED)
    for k in range(1, count):
        away = random.choice((-1.0, 1.0), len(z)) * 10.0 ** random.uniform(_NEAREST, _FURTHEST, len(z))
        scale = 10.0 ** random.uniform(-_SCALE, _SCALE, len(fixed))
        scale[random.random(len(fixed)) < _TURNED] *= -1.0
        nothing = random.uniform(-1.0, 1.0, len(fixed))
        yield (z + away if k % 2 else away), np.where(fixed == 0.0, nothing, fixed * scale)


def agree(pairs: list[tuple[Any, Any, list[str]]], z: Vector, fixed: Vector, count: int) -> bool:
    """Return whether the named outputs of each pair of casadi functions are the same numbers at ``count`` points.

    What is no number in one must be none in the other. The functions take scaled states as ``x`` and what is fixed
    as ``p``; ``z`` and ``fixed`` are these at the first point.
    """
    x, p = np.zeros(len(z)), np.zeros(len(fixed))
    runs, found = [], []
    for one, other, names in pairs:
        sizes = [[function.nnz_out(name) for name in names] for function in (one, other)]
        if sizes[0] != sizes[1]:
            return False
        for function in (one, other):
            outs = {function.index_out(name): np.zeros(function.nnz_out(name)) for name in names}
            runs.append(on_arrays(function, {function.index_in("x"): x, function.index_in("p"): p}, outs))
            found.append([*outs.values()])
    for x[:], p[:] in _points(z, fixed, count):
        for run in runs:
            run()
        for ones, others in zip(found[::2], found[1::2], strict=True):
            if not all(np.array_equal(*both, equal_nan=True) for both in zip(ones, others, strict=True)):
                return False
    return True
