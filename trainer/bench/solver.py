"""What a call of the solver costs, beside SciPy's methods and casadi's own compiled code on the same equations."""

from __future__ import annotations

import itertools
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import casadi as ca
import numpy as np

from trainer.bench.hands import violent
from trainer.bench.table import Row
from trainer.console import stop
from trainer.engine.machine_code import FLAGS, Translator
from trainer.engine.network import Vector
from trainer.engine.session import FRAME, Session
from trainer.engine.solver import LIVE, RECORD, Solver
from trainer.rig.rig import Rig

__all__ = ["quick", "solver_rows"]

_FRAMES, _FEW, _BATCH = 300, 12, 480  # calls: of ours, of those that SciPy makes too, of a batch
_PLAIN, _CODED = "in the virtual machine", "as machine code"
_Run = Callable[[Vector, Vector], Any]


def _stretches(rig: Rig, frames: int, seed: int = 1) -> tuple[Session, list[tuple[Vector, Vector]]]:
    session, found = Session(rig), []
    for controls, _ in zip(violent(rig, seed), range(frames), strict=False):
        for name, value in controls.items():
            session.set_control(name, value)
        session.pu[0] = FRAME
        found.append((session.x.copy(), session.pu.copy()))
        session.advance(FRAME)
    return session, found


def _milliseconds(runs: Mapping[str, _Run], stretches: Sequence[tuple[Vector, Vector]]) -> dict[str, Vector]:
    """Return how long each of some ways to make a call takes, one after another on each stretch."""
    taken: dict[str, list[float]] = {name: [] for name in runs}
    for x, pu in stretches:
        for name, run in runs.items():
            begin = time.perf_counter()
            run(x, pu)
            taken[name].append(1e3 * (time.perf_counter() - begin))
    return {name: np.array(times) for name, times in taken.items()}


def _spread(taken: Vector) -> str:
    mean, (p50, p99), most = taken.mean(), np.percentile(taken, [50, 99]), taken.max()
    return f"mean {mean:.2f}  p50 {p50:.2f}  p99 {p99:.2f}  max {most:.2f} ms"


def _scipy_runs(solver: Solver, exact: bool) -> dict[str, _Run]:
    """Return SciPy's stiff methods on the same equations: by themselves, or given our exact Jacobian."""
    from scipy.integrate import solve_ivp

    z, pu, rates, _ = solver.expressions()
    rate, jacobian = ca.Function("rate", [z, pu], [rates]), ca.Function("jacobian", [z, pu], [ca.jacobian(rates, z)])
    nominal = solver.network.nominal

    def run(method: str) -> _Run:
        def one(x: Vector, pu: Vector) -> Any:
            given = {"jac": lambda _, z: jacobian(z, pu).full()} if exact else {}
            return solve_ivp(
                lambda _, z: rate(z, pu).full().ravel(),
                (0.0, 1.0),
                x / nominal,
                method=method,
                rtol=LIVE,
                atol=LIVE / 10,
                **given,
            )

        return one

    given = ", given our exact Jacobian" if exact else ""
    return {f"SciPy {method}{given}": run(method) for method in ("BDF", "LSODA", "Radau")}


def quick(solver: Solver, stretch: tuple[Vector, Vector], translator: Translator | None) -> str:
    """Give a solver machine code, and return why it has none, or nothing."""
    if translator is None:
        return "no C compiler found"
    translation = solver.translate(translator, *stretch)
    if translation is not None:
        translation.wait(300.0)
        solver.call(*stretch)
    return "" if solver.machine_code else solver.no_machine_code or "the compiler takes minutes"


def _batches(rig: Rig, tolerance: float, coded: bool) -> list[float]:
    """Return how many times as quick as real time calls are, all levers stepping: without and with machine code.

    Both take turns, a second each.
    """
    batches = [Session(rig, tolerance) for _ in range(1 + coded)]
    for batch in batches[1:]:
        quick(batch.solver, (batch.x, batch.pu), Translator.of_this_computer())
    hands, taken = [*itertools.islice(violent(rig, 3), _BATCH)], [0.0 for _ in batches]
    for first in range(0, _BATCH, 60):
        for k, batch in enumerate(batches):
            begin = time.perf_counter()
            for controls in hands[first : first + 60]:
                for name, value in controls.items():
                    batch.set_control(name, value)
                batch.advance(FRAME)
            taken[k] += time.perf_counter() - begin
    return [_BATCH * FRAME / seconds for seconds in taken]


def _against_scipy(solvers: Mapping[str, Solver], stretches: Sequence[tuple[Vector, Vector]]) -> Iterator[Row]:
    """Yield SciPy's methods beside calls of ours."""
    ours: dict[str, _Run] = {name: solver.call for name, solver in solvers.items()}
    try:
        alone, exact = _scipy_runs(solvers[_PLAIN], False), _scipy_runs(solvers[_PLAIN], True)
    except ImportError:
        yield Row("against SciPy", "scipy is not installed: install the test extra")
        return
    times = {name: found.mean() for name, found in _milliseconds(ours | alone | exact, stretches).items()}
    for what in (*alone, *exact):
        yield Row(what, f"{times[what]:.2f} ms = {times[what] / times[_PLAIN]:.0f} times ours")
    goals = {_CODED: ">= 15 times for the bench, 20 for the loader"}
    for name in ours:
        best = min(times[what] for what in alone)
        yield Row(
            f"SciPy's best by itself against ours, {name}", f"{best / times[name]:.1f} times", goals.get(name, "")
        )
    best = min(times[what] for what in exact)
    yield Row("SciPy's best with our Jacobian against ours", f"{best / times[_PLAIN]:.1f} times")


def _against_compiled(coded: Solver, stretches: Sequence[tuple[Vector, Vector]]) -> Row:
    options: dict[str, Any] = {
        "jit": True,
        "compiler": "shell",
        "jit_options": {"flags": [FLAGS[0]], "verbose": False},
    }
    with stop.held_back():
        compiled = Solver(coded.network, LIVE, **options)
        compiled.call(*stretches[0])
    times = _milliseconds({"ours": coded.call, "theirs": compiled.call}, stretches)
    ratio = times["ours"].mean() / times["theirs"].mean()
    return Row("ours as machine code against casadi's own compiled C", f"{ratio:.2f} times", "<= 1.3 times")


def solver_rows(rig: Rig) -> Iterator[Row]:
    """Yield what calls cost in which all levers step at random: each ratio is of runs that take turns."""
    session, stretches = _stretches(rig, _FRAMES)
    solvers, coded = {_PLAIN: session.solver}, Solver(session.network, LIVE)
    trouble = quick(coded, stretches[0], Translator.of_this_computer())
    if not trouble:
        solvers[_CODED] = coded
    exact = Solver(session.network, RECORD)
    times = _milliseconds({name: one.call for name, one in solvers.items()} | {"exact": exact.call}, stretches)
    states = len(session.network.states)
    yield Row(f"a call of a frame at {LIVE:g}, {states} states, all levers stepping", _spread(times[_PLAIN]))
    yield Row(f"the same at {RECORD:g}", _spread(times["exact"]))
    if trouble:
        yield Row(f"the same {_CODED}", trouble)
    else:
        yield Row(f"the same at {LIVE:g} {_CODED}", _spread(times[_CODED]))
        yield Row(
            f"without machine code against {_CODED}", f"{times[_PLAIN].mean() / times[_CODED].mean():.2f} times"
        )
        yield _against_compiled(coded, stretches)
    yield from _against_scipy(solvers, stretches[:: len(stretches) // _FEW])
    for tolerance, goal in ((LIVE, ">= 10 times"), (RECORD, ">= 5 times")):
        found = _batches(rig, tolerance, not trouble)
        yield Row(f"batch of calls at {tolerance:g}, ledgers included", f"{found[0]:.1f} times real time", goal)
        for coded_batch in found[1:]:
            told = f"{coded_batch:.1f} times real time = {coded_batch / found[0]:.2f} times without"
            yield Row(f"the same {_CODED}", told, ">= 3 times without for the loader")
