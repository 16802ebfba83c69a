"""What it costs, in one table: ratios against references run side by side. ``spoolroom bench`` prints it.

For developers: needs the test extra (scipy) and, for the compiled row, a C compiler. Nothing here is asserted.
"""

from __future__ import annotations

import itertools
import os
import random
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import casadi as ca
import numpy as np

from trainer import first_frame, resources
from trainer.console import stop
from trainer.engine.machine_code import Translator
from trainer.engine.network import Vector
from trainer.engine.session import FRAME, Session
from trainer.engine.solver import LIVE, RECORD, Solver
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

__all__ = ["main", "operator_like", "violent"]

_FRAMES = 900


@dataclass(frozen=True, slots=True)
class _Row:
    what: str
    found: str
    goal: str = ""


def _hands(rig: Rig) -> tuple[list[str], list[str]]:
    """Return the levers and the drives of a rig."""
    controls = rig.controls()
    levers = [name for name, one in controls.items() if one.low < 0 < one.high and one.quantity == "ratio"]
    return levers, [name for name, one in controls.items() if one.quantity == "shaft speed"]


def violent(rig: Rig, seed: int) -> Iterator[dict[str, float]]:
    """Yield the controls [SI] of frame after frame: all levers and drives step at random every 0.35 s."""
    rng, controls, (levers, drives) = random.Random(seed), rig.controls(), _hands(rig)
    now: dict[str, float] = {}
    for frame in itertools.count():
        if frame % 21 == 0:
            now = {name: rng.choice((-1.0, 0.0, 1.0)) for name in levers}
            now |= {name: rng.uniform(0.3, 1.0) * controls[name].high for name in drives}
        yield dict(now)


def operator_like(rig: Rig, seed: int) -> Iterator[dict[str, float]]:
    """Yield the controls [SI] of frame after frame as two hands move them.

    Every 0.7 s two levers at most are led to new places, all others let go; a lever takes 0.2 s for its travel. The
    drives are set anew every 7 s.
    """
    rng, controls, (levers, drives) = random.Random(seed), rig.controls(), _hands(rig)
    now, asked = dict.fromkeys(levers, 0.0), dict.fromkeys(levers, 0.0)
    speeds: dict[str, float] = {}
    for frame in itertools.count():
        if frame % 42 == 0:
            asked = dict.fromkeys(levers, 0.0)
            asked |= {name: rng.choice((-1.0, -0.5, 0.5, 1.0)) for name in rng.sample(levers, min(2, len(levers)))}
        if frame % 420 == 0:
            speeds = {name: rng.uniform(0.5, 1.0) * controls[name].high for name in drives}
        for name in levers:
            now[name] += max(-FRAME / 0.2, min(FRAME / 0.2, asked[name] - now[name]))
        yield now | speeds


def _stretches(rig: Rig, frames: int, seed: int = 1) -> tuple[Session, list[tuple[Vector, Vector]]]:
    session, found = Session(rig), []
    for controls, _ in zip(violent(rig, seed), range(frames), strict=False):
        for name, value in controls.items():
            session.set_control(name, value)
        session.pu[0] = FRAME
        found.append((session.x.copy(), session.pu.copy()))
        session.advance(FRAME)
    return session, found


def _milliseconds(run: Callable[[Vector, Vector], Any], stretches: list[tuple[Vector, Vector]]) -> Vector:
    taken = []
    for x, pu in stretches:
        begin = time.perf_counter()
        run(x, pu)
        taken.append(1e3 * (time.perf_counter() - begin))
    return np.array(taken)


def _spread(taken: Vector) -> str:
    mean, (p50, p99), most = taken.mean(), np.percentile(taken, [50, 99]), taken.max()
    return f"mean {mean:.2f}  p50 {p50:.2f}  p99 {p99:.2f}  max {most:.2f} ms"


def _scipy_runs(solver: Solver) -> dict[str, Callable[[Vector, Vector], Any]]:
    """Return SciPy's stiff methods on the same equations: by themselves, and given our exact Jacobian."""
    from scipy.integrate import solve_ivp

    z, pu, scaled_rate, _ = solver.expressions()
    rate = ca.Function("rate", [z, pu], [scaled_rate])
    jacobian = ca.Function("jacobian", [z, pu], [ca.jacobian(scaled_rate, z)])
    nominal = solver.network.nominal

    def run(method: str, exact: bool) -> Callable[[Vector, Vector], Any]:
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

    methods = ("BDF", "LSODA", "Radau")
    alone = {f"SciPy {method}": run(method, False) for method in methods}
    return alone | {f"SciPy {method}, given our exact Jacobian": run(method, True) for method in methods}


def _quick(solver: Solver, stretch: tuple[Vector, Vector]) -> str:
    """Give a solver machine code, and return why it has none, or nothing."""
    translator = Translator.of_this_computer()
    if translator is None:
        return "no C compiler found"
    translation = solver.translate(translator)
    if translation is not None:
        translation.wait(300.0)
        solver.call(*stretch)
    return "" if solver.machine_code else solver.no_machine_code or "the compiler takes minutes"


def _batch(rig: Rig, tolerance: float, quick: bool) -> float:
    """Return how many times as quick as real time a batch of calls is, all levers stepping."""
    batch = Session(rig, tolerance)
    if quick:
        _quick(batch.solver, (batch.x, batch.pu))
    hands = itertools.islice(violent(rig, 3), 1200)
    begin = time.perf_counter()
    for controls in hands:
        for name, value in controls.items():
            batch.set_control(name, value)
        batch.advance(FRAME)
    return 20.0 / (time.perf_counter() - begin)


def _against_scipy(
    solver: Solver, stretches: list[tuple[Vector, Vector]], plain: float, quick: float
) -> Iterator[_Row]:
    """Yield SciPy's methods beside a call of ours [ms] in the virtual machine, and as machine code where there is."""
    try:
        references = _scipy_runs(solver)
    except ImportError:
        yield _Row("against SciPy", "scipy is not installed: install the test extra")
        return
    times = {name: _milliseconds(run, stretches).mean() for name, run in references.items()}
    for what, taken in times.items():
        yield _Row(what, f"{taken:.2f} ms = {taken / plain:.0f} times ours")
    best = {exact: min(t for what, t in times.items() if ("exact" in what) == exact) for exact in (False, True)}
    yield _Row("SciPy's best by itself against ours", f"{best[False] / plain:.1f} times")
    yield _Row("SciPy's best with our Jacobian against ours", f"{best[True] / plain:.1f} times")
    if quick:
        goal = ">= 15 times for the bench, 20 for the loader"
        yield _Row("SciPy's best by itself against our machine code", f"{best[False] / quick:.1f} times", goal)


def _solver_rows(rig: Rig) -> Iterator[_Row]:
    session, stretches = _stretches(rig, _FRAMES)
    ours = _milliseconds(session.solver.call, stretches)
    yield _Row(f"one frame at {LIVE:g}, {len(session.network.states)} states, all levers stepping", _spread(ours))
    exact = Solver(session.network, RECORD)
    yield _Row(f"the same at {RECORD:g}", _spread(_milliseconds(exact.call, stretches)))
    few = stretches[:: max(1, len(stretches) // 60)]
    plain = _milliseconds(session.solver.call, few).mean()
    coded = Solver(session.network, LIVE)
    trouble, quick = _quick(coded, stretches[0]), 0.0
    if trouble:
        yield _Row("machine code", trouble)
    else:
        taken = _milliseconds(coded.call, stretches)
        quick = _milliseconds(coded.call, few).mean()
        yield _Row("one frame as machine code", _spread(taken))
        yield _Row("the virtual machine against machine code", f"{ours.mean() / taken.mean():.2f} times")
        options: dict[str, Any] = {"jit": True, "compiler": "shell"}
        options["jit_options"] = {"flags": ["-O2"], "verbose": False}
        with stop.held_back():
            compiled = Solver(session.network, LIVE, **options)
            compiled.call(*stretches[0])
        theirs = _milliseconds(compiled.call, stretches).mean()
        what = "ours as machine code against casadi's own compiled C"
        yield _Row(what, f"{taken.mean() / theirs:.2f} times", "<= 1.3 times")
    yield from _against_scipy(session.solver, few, plain, quick)
    for tolerance, goal in ((LIVE, ">= 10 times"), (RECORD, ">= 5 times")):
        without = _batch(rig, tolerance, False)
        yield _Row(f"batch of calls at {tolerance:g}, ledgers included", f"{without:.1f} times real time", goal)
        if not trouble:
            found = _batch(rig, tolerance, True)
            told = f"{found:.1f} times real time = {found / without:.2f} times without"
            yield _Row("the same as machine code", told, ">= 3 times without")


def main(names: Sequence[str], minutes: float = 10.0) -> int:
    """Print the tables of shipped rigs; ``minutes`` of model time for the memory row. Returns 0."""
    print(f"{sys.platform}, {os.cpu_count()} cores, Python {sys.version.split()[0]}, casadi {ca.__version__}")
    for name in names:
        rig = rig_file.load(resources.path(f"rigs/{name}.toml"))
        rows = [*_solver_rows(rig), *_window_rows(name, rig, minutes)]
        width = max(len(row.what) for row in rows)
        print(f"\n{rig.title}")
        for row in rows:
            print(f"  {row.what:<{width}}  {row.found}" + (f"   (goal {row.goal})" if row.goal else ""))
    return 0


def _window_rows(name: str, rig: Rig, minutes: float) -> Iterator[_Row]:
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    try:
        from trainer.window import costs as measure
    except ImportError as error:
        yield _Row("the window", f"cannot be opened here: {error}")
        return
    for row in measure.rows(rig, operator_like(rig, 2), minutes):
        yield _Row(*row)
    for row in first_frame.rows(name):
        yield _Row(*row)
