"""One call of the solver: a stretch of time with constant controls and parameters.

CasADi's CVODES (BDF, Newton, exact sparse Jacobian) over 0 … 1 with the length as a parameter; should it fail, the
same stretch in 4, 16, 64 shorter ones; then one backward-Euler step with damped Newton; else SolverError. Who has
no time for all of that is told between the pieces, and goes on with them when he asks for the same call again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import casadi as ca
import numpy as np

from trainer import files
from trainer.engine.machine_code import DISAGREES, Equations, Translation, Translator
from trainer.engine.network import Network, Vector
from trainer.engine.vector_function import on_arrays
from trainer.errors import SolverError
from trainer.language import tr

__all__ = ["LIVE", "RECORD", "OutOfTime", "Result", "Solver"]

LIVE = 1e-4  # relative tolerance on the screen
RECORD = 1e-6  # and of recordings and tests that ask for it
_TOTAL_NOMINAL = 10.0  # J, scale of the ledger totals
_Order = np.ndarray[Any, np.dtype[np.intp]]
_VANISHED = 1e-12  # of its nominal: a state this small is set to 0
_COMPARED = 4  # points at which machine code that takes over is looked at once more


class OutOfTime(Exception):
    """A call has failed once and there is no time now for all of its retries; asked again, they go on."""


@dataclass(frozen=True, slots=True)
class Result:
    """States after a call [SI], ledger totals over it [J], and whether the emergency step made it."""

    x: Vector
    totals: Vector
    rough: bool = False


def _order(jacobian: Any) -> _Order:
    """Return the order of states in which a Jacobian of some sparsity is factorised with little fill.

    Csparse takes them as they come: in the network's order fill grows with the square of the number of sections in
    line. This is the approximate minimum degree ordering of pattern and transpose (Amestoy, Davis and Duff, 1996).
    """
    both = jacobian.unite(jacobian.T).unite(ca.Sparsity.diag(jacobian.size1()))
    return np.array(both.amd(), dtype=np.intp)


class Solver:
    """Integrates one network at one relative tolerance (absolute a tenth of it, on scaled states).

    Further options go to casadi's integrator as they are. Its equations run in casadi's virtual machine until machine
    code takes over, which returns the same bits.
    """

    def __init__(self, network: Network, tolerance: float = LIVE, max_steps: int = 1000, **options: Any) -> None:
        self.network = network
        self.tolerance = tolerance
        self._options = {
            "linear_solver": "csparse",
            "reltol": tolerance,
            "abstol": tolerance / 10,
            "step0": 1e-3,
            "quad_err_con": True,
            "max_num_steps": max_steps,
            "disable_internal_warnings": True,
            "show_eval_warnings": False,
            **options,
        }
        self._name = f"call at {tolerance!r} in {max_steps} steps" if not options else ""
        built = network.built if self._name else None
        integrator, once = (built.function(name) for name in (self._name, "once")) if built else (None, None)
        if built is None or integrator is None or once is None:
            integrator, once, order = self._of_expressions()
        else:
            order = np.array(built.order, dtype=np.intp)
        self._integrator, self._fixing, self._order = integrator, once, order
        self.equations = Equations.of(integrator, built.equations if built else "")
        n, m = len(network.states), once.size1_in(0)
        self._z_in, self._z_out = np.zeros(n), np.zeros(n)
        self._totals_out = np.zeros(integrator.size1_out("qf"))
        self._fixed = np.zeros(integrator.size1_in("p"))  # pu, and what depends on it only: worked out once a call
        self._pu_in = self._fixed[:m]
        self._once = on_arrays(once, {0: self._pu_in}, {0: self._fixed[m:]})
        self._integrate_buffers = self._call_of(self._integrator)
        self._translation: Translation | None = None
        self.machine_code = False  # whether calls are integrated by machine code
        self.no_machine_code = ""  # why not, in a few words, once that was tried
        self._attempt: tuple[tuple[bytes, bytes], Iterator[Result | None]] | None = None  # begun and not ended
        contents = [slot.content for slot in network.states]
        self._may_vanish = ~np.array(contents, dtype=bool)

    def expressions(self) -> tuple[Any, Any, Any, Any]:
        """Return z, pu, d(z)/d(share of the call) and the growth of the totals; z = x / nominal."""
        network, columns = self.network, self.network.columns
        z, pu = ca.SX.sym("z", len(network.states)), ca.SX.sym("pu", columns.pu.shape[0])
        rate, totals = ca.substitute(
            [columns.rate, columns.quadrature], [columns.x, columns.pu], [z * network.nominal, pu]
        )
        length = pu[0]
        return z, pu, rate * length / network.nominal, totals * length / _TOTAL_NOMINAL

    def _of_expressions(self) -> tuple[Any, Any, _Order]:
        """Return the integrator, what it takes besides pu as a function of that, and in which order the states."""
        z, pu, rate, totals = self.expressions()
        n = z.shape[0]
        both, names, once = ca.extract_parametric(ca.cse(ca.vertcat(rate, totals)), pu, {"extract_trivial": False})
        fixed = ca.vertcat(pu, *names)
        order = _order(ca.jacobian_sparsity(both[:n], z))
        states, rates = (symbols[order.tolist()] for symbols in (z, both[:n]))
        integrator = self._integrator_of({"x": states, "p": fixed, "ode": rates, "quad": both[n:]})
        return integrator, ca.Function("once", [pu], [ca.vertcat(*once)]), order

    @property
    def order(self) -> list[int]:
        """The places of the states in the order in which they are integrated."""
        found: list[int] = self._order.tolist()
        return found

    def written(self) -> dict[str, str]:
        """Return its functions as casadi writes them down; none where it has options of its own."""
        named = {self._name: self._integrator, "once": self._fixing} if self._name else {}
        return {name: str(function.serialize()) for name, function in named.items()}

    def _integrator_of(self, equations: Any) -> Any:
        return ca.integrator("call", "cvodes", equations, 0.0, 1.0, self._options)

    def _call_of(self, integrator: Any) -> Callable[[], None]:
        return on_arrays(integrator, {0: self._z_in, 2: self._fixed}, {0: self._z_out, 2: self._totals_out})

    def translate(self, translator: Translator, x: Vector, pu: Vector) -> Translation | None:
        """Begin to have the equations as machine code; the first call after that is ready takes it over.

        Until then, and where it cannot be, calls are what they were. States and ``pu`` [SI] are of an instant from
        which it is compared. Return the translation, None where none begins.
        """
        if self.machine_code or self._translation is not None:
            return self._translation
        try:
            self._fix(pu)
            z = (x / self.network.nominal)[self._order]
            self._translation = translator.begin(self.equations, z, self._fixed)
        except OSError as error:
            self.no_machine_code = files.which_and_why(error)
        return self._translation

    def give_up_translation(self) -> None:
        """Wait for machine code no longer."""
        if self._translation is not None:
            self._translation.give_up()
            self._translation = None

    def use_virtual_machine(self) -> None:
        """Integrate without machine code, from the next call on."""
        self.give_up_translation()
        self._integrate_buffers = self._call_of(self._integrator)
        self.machine_code, self.no_machine_code = False, ""

    @property
    def translating(self) -> bool:
        """Whether machine code is waited for."""
        return self._translation is not None

    def _take_machine_code(self, z: Vector, pu: Vector) -> None:
        """Let machine code integrate from now on, if it is right at some points and in this very call, bit by bit."""
        translation, self._translation = self._translation, None
        equations = translation.loaded() if translation else None
        if translation and equations is None:
            self.no_machine_code = translation.trouble
            return
        try:
            integrator = self._integrator_of(equations)
            quick = self._call_of(integrator)
        except RuntimeError:
            self.no_machine_code = tr("its equations are not those of this solver")
            return
        slow = self._integrate_buffers
        try:
            self._fix(pu)
            same = self.equations.agree(Equations.of(integrator), z[self._order], self._fixed, _COMPARED)
            wanted = [result.tobytes() for result in self._integrate(z, pu)]
            self._integrate_buffers = quick
            found = [result.tobytes() for result in self._integrate(z, pu)]
        except RuntimeError:  # a call that fails is no measure
            self._integrate_buffers, self._translation = slow, translation
            return
        self.machine_code = same and found == wanted
        if not self.machine_code:
            self._integrate_buffers, self.no_machine_code = slow, tr(DISAGREES)

    def call(self, x: Vector, pu: Vector, over: Callable[[], bool] | None = None) -> Result:
        """Return the result of one call of length pu[0] [s] from states x [SI]. Raises SolverError.

        ``over`` is asked between the pieces of a call that fails; where it says so, OutOfTime is raised. What has
        been done is kept and taken up by the next call from the very same numbers: the result does not depend on it.
        """
        key = (x.tobytes(), pu.tobytes())
        if self._attempt is None or self._attempt[0] != key:
            self._attempt = key, self._attempts(x.copy(), pu.copy())
        for result in self._attempt[1]:
            if result is not None:
                self._attempt = None
                return result
            if over is not None and over():
                raise OutOfTime
        self._attempt = None
        raise SolverError(self._blame(x, pu))

    def _attempts(self, x: Vector, pu: Vector) -> Iterator[Result | None]:
        """Yield the result of a call, and None after each piece on the way to it; end where there is none."""
        z = x / self.network.nominal
        if self._translation is not None and self._translation.ended():
            self._take_machine_code(z, pu)
        for pieces in (1, 4, 16, 64):
            for result in self._pieces(z, pu, pieces):
                yield result
                if result is not None:
                    return
        if (result := self._backward_euler(z, pu)) is not None:
            yield result

    def _pieces(self, z: Vector, pu: Vector, pieces: int) -> Iterator[Result | None]:
        part = pu
        if pieces > 1:
            part = pu.copy()
            part[0] = pu[0] / pieces
        totals: Any = 0.0
        for k in range(pieces):
            try:
                z, gained = self._integrate(z, part)
            except RuntimeError:
                yield None
                return
            totals = totals + gained
            if not (np.isfinite(z).all() and np.isfinite(totals).all()):
                yield None
                return
            if k < pieces - 1:
                yield None
        yield Result(self._settled(z), np.asarray(totals))

    def _integrate(self, z: Vector, pu: Vector) -> tuple[Vector, Vector]:
        """Return scaled states and totals [J] after one call of CVODES. Raises RuntimeError."""
        self._z_in[:] = z[self._order]
        self._fix(pu)
        self._integrate_buffers()
        found = np.empty_like(z)
        found[self._order] = self._z_out
        return found, self._totals_out * _TOTAL_NOMINAL

    def _fix(self, pu: Vector) -> None:
        """Work out what is fixed during a call."""
        self._pu_in[:] = pu
        self._once()

    def _settled(self, z: Vector) -> Vector:
        z[self._may_vanish & (np.abs(z) < _VANISHED)] = 0.0
        return z * self.network.nominal

    def _backward_euler(self, z0: Vector, pu: Vector) -> Result | None:
        """Step once with affine-invariant damped Newton (Deuflhard's natural monotonicity test)."""
        network = self.network
        self._fix(pu)
        z = z0.copy()
        for _ in range(60):
            matrix = np.eye(len(z)) - self._jacobian(z)
            residual = z - z0 - self._rate(z)
            try:
                step = -np.linalg.solve(matrix, residual)
            except np.linalg.LinAlgError:
                return None
            size = float(np.linalg.norm(step))
            if not np.isfinite(size):
                return None
            if size < 1e-7:
                z = z + step
                start, end = (network.read(v * network.nominal, pu) for v in (z0, z))
                if not np.isfinite(end).all():
                    return None
                names = [("heat", *key) for key in network.heat_names]
                names += [("supply", *key) for key in network.supply_names]
                rows = [network.read_index[name] for name in names]
                totals = (start[rows] + end[rows]) / 2 * pu[0]
                return Result(self._settled(z), totals, rough=True)
            share = 1.0
            while share >= 1 / 512:
                trial = z + share * step
                again = np.linalg.solve(matrix, trial - z0 - self._rate(trial))
                if np.linalg.norm(again) <= (1 - share / 2) * size:
                    break
                share /= 2
            else:
                return None
            z = trial
        return None

    def _rate(self, z: Vector) -> Vector:
        """Return d(z)/d(share of the call), with what was fixed last."""
        found = np.empty_like(z)
        found[self._order] = self._integrator.get_function("dae")(0, z[self._order], [], self._fixed, [])[0].full()[
            :, 0
        ]
        return found

    def _jacobian(self, z: Vector) -> Vector:
        """Return the derivative of the rate by z, with what was fixed last."""
        found = np.empty((len(z), len(z)))
        jacobian = self._integrator.get_function("jacF")(0, z[self._order], [], self._fixed, [])[0]
        found[np.ix_(self._order, self._order)] = jacobian.full()
        return found

    def _blame(self, x: Vector, pu: Vector) -> str:
        rate = self.network.derivative(x, pu) / self.network.nominal
        bad = ~np.isfinite(rate)
        worst = int(np.argmax(bad)) if bad.any() else int(np.argmax(np.abs(rate)))
        name = self.network.states[worst].name
        return tr("The solver could not go on; what moves most is {name}. Held at the last good instant.").format(
            name=name
        )
