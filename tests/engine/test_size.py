"""What a rig costs grows with its size and no faster: counted on rigs of more and more sections in line."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import casadi as ca
import pytest

from trainer.bench import sizes
from trainer.bench.bank import bank
from trainer.bench.sizes import exponent
from trainer.engine.machine_code import find_compiler
from trainer.engine.network import Network
from trainer.engine.session import Session
from trainer.engine.solver import LIVE, Solver
from trainer.parts.model import PartModel
from trainer.parts.part import Part
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

COMPILER = find_compiler()
SMALL, LARGE = 4, 16


def rig(sections: int) -> Rig:
    """Return the rig of so many sections, read as any file is."""
    return rig_file.loads(bank(sections), f"{sections} sections")


@pytest.fixture(scope="module")
def solvers() -> dict[int, Solver]:
    """A solver of a small and of a large rig."""
    return {size: Solver(Network(rig(size)), LIVE) for size in (SMALL, LARGE)}


def function(solver: Solver, name: str) -> ca.Function:
    """Return one of the functions that the integrator calls."""
    return solver._integrator.get_function(name)


def fill(solver: Solver) -> int:
    """Return how many entries the factors of the Jacobian have, in the order in which it is handed to csparse.

    Counted by the symbolic factorisation of its pattern with its transpose; pivots on the diagonal.
    """
    jacobian = function(solver, "jacF").sparsity_out(0)
    both = jacobian.unite(jacobian.T).unite(ca.Sparsity.diag(jacobian.size1()))
    upper, _ = both.ldl(False)
    return 2 * int(upper.nnz()) + int(both.size1())


COUNTS: dict[str, Callable[[Solver], int]] = {
    "states": lambda solver: len(solver.network.states),
    "numbers of a call": lambda solver: solver._fixed.shape[0],
    "instructions of the rates": lambda solver: function(solver, "dae").n_instructions(),
    "instructions of their Jacobian": lambda solver: function(solver, "jacF").n_instructions(),
    "entries of the Jacobian": lambda solver: function(solver, "jacF").nnz_out(0),
    "entries of its factors": fill,
    "readings": lambda solver: len(solver.network.read_index),
    "instructions of all readings": lambda solver: solver.network.read._function.n_instructions(),
}


@pytest.mark.parametrize("what", COUNTS)
def test_nothing_that_is_worked_out_grows_faster_than_the_rig(solvers: dict[int, Solver], what: str) -> None:
    small, large = (COUNTS[what](solvers[size]) for size in (SMALL, LARGE))
    found = math.log(large / small) / math.log(LARGE / SMALL)
    assert found <= 1.05, f"{what}: {small} for {SMALL} sections, {large} for {LARGE}: n^{found:.2f}"


def test_factors_of_the_jacobian_have_little_fill(solvers: dict[int, Solver]) -> None:
    """In the order of the network's states those of sixteen sections have more than twice the entries."""
    for solver in solvers.values():
        jacobian = function(solver, "jacF").sparsity_out(0)
        entries = jacobian.unite(jacobian.T).unite(ca.Sparsity.diag(jacobian.size1())).nnz()
        assert fill(solver) <= 1.2 * entries


def test_the_order_inside_the_solver_is_nobody_elses() -> None:
    """States come back in the network's order: those of a call are as its rates say, to first order."""
    session = Session(rig(3))
    session.set_control("2V1.lever", 1.0)
    session.advance(0.2)
    x, pu = session.x.copy(), session.pu.copy()
    pu[0] = 1e-7
    moved = (session.solver.call(x, pu).x - x) / pu[0] / session.network.nominal
    rates = session.network.derivative(x, pu) / session.network.nominal
    assert moved == pytest.approx(rates, rel=1e-3, abs=1e-3 * abs(rates).max())


def test_parts_that_are_alike_are_written_down_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Reservoir, engine, pump, relief, filter; section, cylinder and weight, however many of them there are."""
    made: list[str] = []

    class Seen(PartModel):
        def __init__(self, part: type[Part], choices: Mapping[str, str] | None = None) -> None:
            super().__init__(part, choices)
            made.append(part.__name__)

    monkeypatch.setattr("trainer.engine.network.PartModel", Seen)
    network = Network(rig(6))
    assert len(made) == len(set(made)) == 8
    assert network.models["1V1"].law_names == network.models["6V1"].law_names


def test_an_exponent_is_that_of_the_larger_sizes() -> None:
    """7 n^1.5 from 8 on, whatever the smaller ones cost."""
    sizes = {1: 50.0, 4: 60.0} | {size: 7 * size**1.5 for size in (8, 16, 32)}
    assert exponent(sizes) == pytest.approx(1.5)


@pytest.mark.soak
def test_the_table_of_sizes_can_be_measured(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in (("SIZES", (1, 2)), ("_LARGER", 1), ("_REAL_TIME", 2)):
        monkeypatch.setattr(sizes, name, value)
    rows = [*sizes.size_rows()]
    assert len(rows) >= 7
    assert all("nan" not in row.found and "Error" not in row.found for row in rows)
    assert rows[-2 if COMPILER else -1].what == "grows fastest"
