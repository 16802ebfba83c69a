"""The ledger history: where energy and oil went over a run, sample by sample, and totals of any stretch of it.

Ten times a second of model time, and at every instant at which a lever leaves neutral or a setting changes, one row
of cumulative sums is kept: energies from the session's quadratures and from what is stored (both exact, so that what
was paid in is what was used, to the solver's tolerance, between any two instants), volumes and turns as integrals
over every instant shown. A mean power between two instants is a difference of two rows: areas need no other record.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from trainer.energy.accounts import Account, named
from trainer.energy.books import FlowBook
from trainer.energy.consumption import (
    Consumption,
    Mover,
    consumption_of,
    movers,
)
from trainer.energy.ledger import Ledger
from trainer.energy.running_sums import RunningSums
from trainer.engine.network import Vector
from trainer.engine.session import Session

__all__ = ["RATE", "Cycle", "LedgerAreas", "LedgerHistory"]

RATE = 10.0  # rows a second of model time
_SLACK = 1e-9  # s
_WARMED = 0.05  # K between two instants: more is a setting, not the oil's own warming
_CHANGED = (  # what pays and what uses where a change of settings brings energy, and where it takes some away
    ("power.brought", "power.taken_off"),
    ("power.hooked_on", "power.taken_out"),
)


@dataclass(frozen=True, slots=True)
class Cycle:
    """What a stretch of a run cost and brought, from ``begin`` to ``end`` [s].

    ``paid`` and ``used`` are energies [J] whose entries sum to their totals; they differ by ``missed``, the solver's
    own error. ``supplied``: what came from outside [J]; the rest of what is paid is given back by loads and stores.
    ``oil``: by entry of the flow ledger [m3 at tank density]. ``warmed``: heat into the oil [J]. ``uses``: what each
    prime mover used up.
    """

    begin: float
    end: float
    paid: Ledger
    used: Ledger
    oil: Ledger
    supplied: float
    warmed: float
    missed: float
    uses: tuple[Consumption, ...]

    @property
    def seconds(self) -> float:
        """How long it took [s]."""
        return self.end - self.begin

    def sum_of(self, *styles: str) -> float:
        """Return the energy in the used entries of some styles [J]."""
        return sum(entry.value for entry in self.used.entries if entry.style in styles)

    @property
    def useful(self) -> float:
        """Energy that lifted loads or did work on them [J]."""
        return self.sum_of("useful")

    @property
    def heat(self) -> float:
        """Energy that became heat, in the oil and elsewhere [J]."""
        return sum(entry.value for entry in self.used.entries if entry.style not in ("useful", "stored"))


class _Instant(NamedTuple):
    """One instant of a session, kept until the next one has been seen."""

    time: float
    x: Vector
    pu: Vector
    totals: Vector
    rates: Vector  # of flows, turns and burning
    standing: Vector  # 1 for each motor that is held at an end stop
    ways: tuple[int, ...]  # of the levers: -1, 0, 1


@dataclass(frozen=True, slots=True)
class LedgerAreas:
    """Means over steps of time between ``edges`` [s] (n + 1).

    ``power`` [W] (n, accounts of the power), ``paid``: all that is paid in [W] (n), ``oil`` [m3/s]
    (n, accounts of the flow).
    """

    edges: Vector
    power: Vector
    paid: Vector
    oil: Vector


class LedgerHistory:
    """Sums up one session by the ``book`` of its network.

    ``take`` is to be called at every instant that is shown, those of the past too.
    ``payers`` and ``accounts`` are those of the power, and what changed settings bring from outside and take there,
    such as a load that is hooked on. After going back in time it keeps what came later until the run goes on from
    there.
    """

    def __init__(self, session: Session, book: FlowBook) -> None:
        self.session = session
        network = session.network
        self.book = book
        self.power = self.book.power
        self.movers = movers(network)
        paying, using = (tuple(Account.of(kind, "stored") for kind in kinds) for kinds in _CHANGED)
        self.payers = (*self.power.payers, *paying)
        self.accounts = (*self.power.accounts, *using)
        self._stores = self.power.stores()
        self._wet = np.array([not heat.dry for heat in network.heats.values()], dtype=bool)
        self._speeds = [network.read_index["speed", mover.shaft] for mover in self.movers]
        self._torques = [
            network.state_index[f"{mover.id}.torque"] if mover.kind == "diesel" else -1 for mover in self.movers
        ]
        names = [slot.name for slot in (*network.parameters, *network.controls)]
        matter = network.energy.depends_on(1)
        self._oil = np.array([k for k in sorted(matter) if names[k].startswith("oil.")], dtype=np.intp)
        self._settings = np.array(sorted(matter - {*network.kept} - {*self._oil.tolist()}), dtype=np.intp)
        self._temperature = network.pu_index["oil.temperature"]
        self.levers = [name for name in session.rig.controls() if name.endswith(".lever")]
        self._lever_places = np.array([network.pu_index[name] for name in self.levers], dtype=np.intp)
        apart = len(self.power.separate) + 1
        widths = {
            "paid": len(self.power.payers),
            "used": len(self.power.accounts),
            "warmed": 1,
            "oil": len(self.book.accounts),
            "turned": len(self.movers),
            "burnt": len(self.movers),
            "ended": len(self.power.ends.taken),  # of the heats, what belongs to end stops
            "supplies": len(network.supply_names),
            "stores": apart,  # without what changed settings brought
            "heats": self.power.gathering.shape[1],
            "brought": apart,  # by changed settings, and by the warming of the oil
            "changed": apart,  # of it by settings
        }
        ends = np.cumsum([0, *widths.values()])
        self._at = {name: slice(int(ends[k]), int(ends[k + 1])) for k, name in enumerate(widths)}
        self._flowing = slice(self._at["oil"].start, self._at["ended"].stop)  # summed up from instant to instant
        self._sums = RunningSums(int(ends[-1]))
        first = self._flowing.start
        self._ended = slice(self._at["ended"].start - first, self._at["ended"].stop - first)  # of what flowed
        self.edition = 0  # grows whenever something already told is cut
        self.clear()

    def clear(self) -> None:
        """Forget everything."""
        self._sums.cut(-math.inf)
        self._last: _Instant | None = None  # seen last, in the past or in the present
        self._present: _Instant | None = None  # the newest one
        self._ways: tuple[int, ...] = ()  # of the levers, when time last went on
        self._row: Vector = np.zeros(self._sums.columns)
        self._flowed: Vector = np.zeros(self._flowing.stop - self._flowing.start)
        self._nothing: Vector = np.zeros(self._at["brought"].stop - self._at["brought"].start)
        self._leaves: list[tuple[float, int, int]] = []  # time, lever, way
        self.edition += 1

    # -- what it is told -------------------------------------------------------------------------------------

    def take(self) -> None:
        """Look at the session's present instant."""
        session, last, now = self.session, self._last, self._instant()
        if session.time < session.history.end - _SLACK:
            self._last, self._ways = now, now.ways
        elif last is None or now.time <= _SLACK:
            self.clear()
            self._begin(now)
        elif last is not self._present and self._same(now):
            self._last, self._present, self._ways = now, now, now.ways
        else:
            if last is not self._present or now.time < last.time - _SLACK:
                last = self._go_on_from(last, now)
            self._go_on(last, now)

    def _same(self, now: _Instant) -> bool:
        """Return whether an instant is the newest one, come back to."""
        newest = self._present
        return newest is not None and now.time == newest.time and np.array_equal(now.totals, newest.totals)

    def _go_on(self, last: _Instant, now: _Instant) -> None:
        brought = self._brought(last, now)
        if brought.any():
            self._push(last)
            self._row[self._at["brought"]] += brought
            self._row[self._at["changed"]] += brought
        if now.time > last.time + _SLACK:
            self._watch(last, now)
            self._flowed = self._flowed + self._flows(last, now)
            if math.floor(now.time * RATE + _SLACK) > math.floor(self._sums.times[-1] * RATE + _SLACK):
                self._push(now)
        self._last = self._present = now

    def _flows(self, last: _Instant, now: _Instant) -> Vector:
        """Return what flowed, turned, burnt and was lost at end stops from one instant to the next."""
        heats = (now.totals - last.totals)[: len(self._wet)] @ self.power.gathering
        ended = self.power.ended(heats, (last.standing + now.standing) / 2)
        return np.concatenate(((last.rates + now.rates) * (0.5 * (now.time - last.time)), ended))

    def _instant(self) -> _Instant:
        session, live = self.session, self.session.readings
        x, pu = live.x, live.pu
        speeds = live.values[self._speeds]
        burning = [float(x[k]) * float(w) if k >= 0 else 0.0 for k, w in zip(self._torques, speeds, strict=True)]
        rates = np.concatenate((self.book.values(live), speeds, burning))
        ways = tuple(np.sign(pu[self._lever_places]).astype(int).tolist())
        return _Instant(session.time, x, pu, session.totals, rates, self.power.ends.standing(live), ways)

    def _begin(self, now: _Instant) -> None:
        row, at = self._row, self._at
        row[at["supplies"]], row[at["heats"]], row[at["warmed"]], row[at["stores"]] = self._state(now)
        self._oil_before = now.pu[self._oil]
        self._sums.push(now.time, row)
        self._last, self._present, self._ways = now, now, now.ways

    def _state(self, now: _Instant) -> tuple[Vector, Vector, float, Vector]:
        """Return supplies, groups of heats, heat into the oil, and stores so far [J]."""
        heats = now.totals[: len(self._wet)]
        warmed = float(heats[self._wet].sum())
        return now.totals[len(self._wet) :], heats @ self.power.gathering, warmed, self._stores(now.x, now.pu)

    def _brought(self, last: _Instant, now: _Instant) -> Vector:
        """Return what settings changed since the last instant, such as a load hooked on, added to the stores [J]."""
        changed = not np.array_equal(now.pu[self._settings], last.pu[self._settings])
        hotter = abs(float(now.pu[self._temperature] - last.pu[self._temperature])) > _WARMED
        if not changed and not hotter:
            return self._nothing
        pu = last.pu.copy()
        pu[self._settings] = now.pu[self._settings]
        if hotter:
            pu[self._oil] = self._oil_before = now.pu[self._oil]
        return self._stores(last.x, pu) - self._stores(last.x, last.pu)

    def _drift(self, now: _Instant) -> Vector:
        """Return what the warming of the oil since the last row added to what is stored in it [J]."""
        if np.array_equal(self._oil_before, now.pu[self._oil]):
            return self._nothing
        pu = now.pu.copy()
        pu[self._oil] = self._oil_before
        self._oil_before = now.pu[self._oil]
        return self._stores(now.x, now.pu) - self._stores(now.x, pu)

    def _push(self, now: _Instant) -> None:
        """Add the row of an instant after the others."""
        if now.time <= self._sums.times[-1] + _SLACK:
            return
        at, row = self._at, self._row.copy()
        row[at["brought"]] += self._drift(now)
        supplies, heats, warmed, stored = self._state(now)
        stores = stored - row[at["brought"]]
        given = np.concatenate((supplies - row[at["supplies"]], row[at["stores"]] - stores))
        ended = self._flowed[self._ended] - row[at["ended"]]
        paid, used = self.power.split(given, heats - row[at["heats"]], ended)
        row[at["paid"]] += paid
        row[at["used"]] += used
        row[at["supplies"]], row[at["heats"]], row[at["warmed"]], row[at["stores"]] = supplies, heats, warmed, stores
        row[self._flowing] = self._flowed
        self._sums.push(now.time, row)
        self._row = row

    def _watch(self, last: _Instant, now: _Instant) -> None:
        """Note the levers that have left neutral since the last instant."""
        for k, (before, way) in enumerate(zip(self._ways, now.ways, strict=True)):
            if way and way != before:
                self._push(last)
                self._leaves.append((last.time, k, way))
        self._ways = now.ways

    def _go_on_from(self, last: _Instant, now: _Instant) -> _Instant:
        """Give up what came after the instant of the past from which the run goes on, and return it.

        A run that went back unseen is taken up at its present instant.
        """
        branch = last if now.time > last.time else now
        times = self._sums.times
        if branch.time < times[0] - _SLACK:  # nothing was summed up so early: it begins there
            self.clear()
            self._begin(branch)
            return branch
        (there,) = self._sums.at([branch.time])
        after = min(bisect_left(times, branch.time - _SLACK), len(times) - 1)
        (upper,) = self._sums.rows(np.array([after]))
        self._sums.cut(branch.time)
        self._leaves = [leave for leave in self._leaves if leave[0] < branch.time - _SLACK]
        (self._row,) = self._sums.rows(np.array([len(times) - 1]))
        for name in ("brought", "changed"):
            self._row[self._at[name]] = upper[self._at[name]]
        self._flowed = there[self._flowing]
        self._oil_before = branch.pu[self._oil]
        self.edition += 1
        self._push(branch)
        return branch

    # -- what it tells ---------------------------------------------------------------------------------------

    @property
    def begin(self) -> float:
        """The first instant [s]."""
        return self._sums.times[0] if self._sums.times else 0.0

    @property
    def end(self) -> float:
        """The latest instant known, not later than the one shown [s]."""
        newest = self._sums.times[-1] if self._sums.times else 0.0
        return min(newest, self._last.time if self._last is not None else 0.0)

    def between(self, begin: float, end: float) -> Cycle:
        """Return the totals of a stretch [s], as far as the ledger history reaches."""
        begin, end = (min(max(time, self.begin), self.end) for time in sorted((begin, end)))
        first, last = self._sums.at([begin, end])
        return self._cycle(begin, end, last - first)

    def _cycle(self, begin: float, end: float, row: Vector) -> Cycle:
        at, power = self._at, self.power
        paid, used = self._netted(row[None, :])
        supplies = dict(zip(self.session.network.supply_names, row[at["supplies"]].tolist(), strict=True))
        uses = tuple(
            consumption_of(mover, end - begin, supplies[mover.id, mover.supply], angle, burnt, self._steady(mover))
            for mover, angle, burnt in zip(self.movers, row[at["turned"]], row[at["burnt"]], strict=True)
        )
        return Cycle(
            begin,
            end,
            _ledger("paid", "energy", self.payers, paid[0]),
            _ledger("used", "energy", self.accounts, used[0]),
            _ledger("oil", "volume", self.book.accounts, row[at["oil"]]),
            float(paid[0, : power.supplying].sum()),
            float(row[at["warmed"]][0]),
            float(paid.sum() - used.sum()),
            uses,
        )

    def _steady(self, mover: Mover) -> float:
        """Return what a person can keep up [W]; 0 for an engine."""
        return self.session.readings.parameter(mover.id, "steady") if mover.kind == "hand" else 0.0

    def _netted(self, rows: Vector) -> tuple[Vector, Vector]:
        """Return paid and used of differences of rows; what motion and oil took and gave again in between is out.

        What a change of settings brought into a store came from outside, and what it took out went there.
        """
        paid, used = rows[:, self._at["paid"]].copy(), rows[:, self._at["used"]].copy()
        into = used[:, self.power.stores_used] - paid[:, self.power.stores_paid]
        used[:, self.power.stores_used] = np.maximum(into, 0.0)
        paid[:, self.power.stores_paid] = np.maximum(-into, 0.0)
        changed = rows[:, self._at["changed"]]
        came, went = (np.maximum(way * changed, 0.0).sum(axis=1) for way in (1.0, -1.0))
        both = np.stack((came, went), axis=1)
        return np.concatenate((paid, both), axis=1), np.concatenate((used, both), axis=1)

    def areas(self, begin: float, end: float, most: int = 300) -> LedgerAreas:
        """Return mean powers and flows over at most ``most`` steps of a stretch [s].

        Steps are those between rows, or of an even length that stands on the clock, so that they do not shimmer.
        """
        begin, end = max(begin, self.begin), min(end, self.end)
        times = self._sums.times
        first, last = bisect_right(times, begin + _SLACK), bisect_left(times, end - _SLACK)
        if last - first < most:
            inside = times[first:last].tolist()
        else:
            step = 1 / RATE
            while (end - begin) / step > most - 2:
                step *= 2
            first, last = math.floor(begin / step + _SLACK) + 1, math.ceil(end / step - _SLACK)
            inside = [k * step for k in range(first, last)]
        edges = np.array([begin, *inside, max(end, begin)])
        steps = np.maximum(np.diff(edges), _SLACK)[:, None]
        rows = np.diff(self._sums.at(edges), axis=0)
        paid, used = self._netted(rows)
        return LedgerAreas(edges, used / steps, (paid / steps).sum(axis=1), rows[:, self._at["oil"]] / steps)

    def left(self) -> list[tuple[str, int]]:
        """Return the levers that have left neutral until now, and which way first, the latest to move last."""
        first: dict[int, int] = {}
        order: dict[int, None] = {}
        for time, lever, way in self._leaves:
            if time <= self.end + _SLACK:
                first.setdefault(lever, way)
                order.pop(lever, None)
                order[lever] = None
        return [(self.levers[lever], first[lever]) for lever in order]

    def cycles(self, lever: str, way: int) -> list[tuple[float, float]]:
        """Return (begin, end) of the cycles of a lever [s]: each begins when it leaves neutral one way (-1 or 1).

        The last one reaches to the latest instant.
        """
        number, end = self.levers.index(lever), self.end
        begins = [time for time, k, w in self._leaves if k == number and w == way and time <= end + _SLACK]
        return list(pairwise([*begins, end])) if begins else []


def _ledger(id_: str, quantity: str, accounts: Sequence[Account], values: Vector) -> Ledger:
    entries = tuple(
        account.entry(value) for account, value in zip(accounts, values.tolist(), strict=True) if value != 0.0
    )
    return Ledger(id_, named(id_), quantity, sum(entry.value for entry in entries), entries)
