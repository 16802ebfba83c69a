"""Where every litre and every watt goes: the two ledgers of one instant, from named flows, heats and stores."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from trainer.energy.accounts import Account, Term, named
from trainer.energy.end_stops import EndStops
from trainer.energy.ledger import Entry, Ledger
from trainer.engine.network import Network, Vector
from trainer.engine.readings import Readings
from trainer.parts.part import Kind, Loss
from trainer.parts.roles import Actuator, DirectionalValve, Pump, Store, Tank
from trainer.rig.names import capital, part_label, part_short, port_name

__all__ = ["FlowBook", "PowerBook"]

_STYLES = {
    Loss.PAST: "past",
    Loss.METERING: "metering",
    Loss.PUMP: "pump",
    Loss.RELIEF: "relief",
    Loss.LEAKAGE: "lines",
    Loss.LINES: "lines",
    Loss.FRICTION: "lines",
    Loss.DRIVE: "lines",
}
_LINES = "power.lines"
_HEATS = {
    Loss.PAST: "power.past",
    Loss.METERING: "power.metering",
    Loss.PUMP: "power.pump",
    Loss.RELIEF: "power.relief",
}
_FLOW_ORDER = ("useful", "past", "relief", "lines", "leakage", "stored")
_POWER_ORDER = ("useful", "past", "relief", "pump", "metering", "lines", "friction", "stored")


def _otherwise_called(network: Network) -> dict[Loss, str]:
    """Return what losses are called that sections, which have spools, do not have, or not alone."""
    found, sections = dict[Loss, str](), network.rig.having(DirectionalValve).keys()
    past, throttling = (
        {id_ for (id_, _), heat in network.heats.items() if heat.loss is loss} for loss in (Loss.PAST, Loss.METERING)
    )
    if past - sections:
        found[Loss.PAST] = "power.past_valves"
    if not throttling & sections:
        found[Loss.METERING] = "power.throttling"
    elif throttling - sections:
        found[Loss.METERING] = "power.metering_and_throttling"
    return found


class _Gathered(NamedTuple):
    """An account that is being found: its id, and the parts behind it."""

    id: str
    parts: list[str]


class _Sheet:
    """Signed sums of readings, all at once."""

    def __init__(self, network: Network, sums: Sequence[Sequence[Term]]) -> None:
        wide = max((len(terms) for terms in sums), default=0)
        self._places = np.zeros((len(sums), wide), dtype=np.intp)
        self._signs = np.zeros((len(sums), wide))
        for row, terms in enumerate(sums):
            for column, (key, sign) in enumerate(terms):
                self._places[row, column] = network.read_index[key]
                self._signs[row, column] = sign

    def values(self, readings: Readings) -> Vector:
        """Return every sum at one instant [SI]."""
        found: Vector = np.einsum("ij,ij->i", readings.values[self._places], self._signs)
        return found


class FlowBook:
    """The pump's oil followed to where it ends: an actuator, the tank, a leak; built once per network.

    ``accounts`` are the entries in their order; ``power`` is the book of the same network's power.
    """

    def __init__(self, network: Network) -> None:
        self.network = network
        models = network.models
        self.power = PowerBook(network)
        self.pumps = self.power.pumps
        self.tank_ports = [
            (id_, node) for id_, model in models.items() for node in model.carried if model.nodes[node] is Kind.OIL
        ]
        tanks = {network.line_of[pair] for pair in self.tank_ports}
        streams = [
            (id_, name, network.line_of[id_, start], network.line_of[id_, end])
            for id_, model in models.items()
            for name, (start, end) in model.streams.items()
            if id_ not in self.pumps  # what stays within a pump has not left it
        ]
        returns = self._reach(
            tanks,
            [(end, start) for id_, name, start, end in streams if models[id_].heats[name].loss is Loss.LINES],
        )
        self.actuators = [
            id_
            for id_, model in models.items()
            if model.oil
            and model.moving
            and not isinstance(network.rig.parts[id_].part.role, Pump)
            and not model.carried
        ]
        self.work = {network.line_of[id_, node]: (id_, node) for id_ in self.actuators for node in models[id_].oil}
        self.work |= self._on_the_way(streams)
        pumped_at = [(id_, outlet) for id_, role in network.rig.having(Pump).items() for outlet in role.outlets]
        outlets = {network.line_of[pair] for pair in pumped_at}
        closed = (returns | set(self.work)) - outlets
        self.supply_lines = self._reach(outlets, [(start, end) for _, _, start, end in streams if end not in closed])
        supplied = self.supply_lines
        passing = [one for one in streams if one[0] not in self.actuators]  # those draw what leaks in them, too
        self.ends = [(id_, name, end, 1.0) for id_, name, start, end in passing
                     if start in supplied and end not in supplied]  # fmt: skip
        # what comes back, as from a cylinder through its throttle, or into the next of sections in series
        self.ends += [(id_, name, start, -1.0) for id_, name, start, end in passing
                      if start not in supplied and end in supplied]  # fmt: skip
        self._bypassing = [
            id_ for id_, model in models.items() if any(heat.loss is Loss.PAST for heat in model.heats.values())
        ]
        self.drawn = [
            (id_, node)
            for id_ in self.actuators
            for node in models[id_].oil
            if network.line_of[id_, node] in self.supply_lines
        ]
        self.accounts = self._accounts()
        suctions = {(id_, role.suction) for id_, role in network.rig.having(Tank).items()}
        back: list[Term] = [
            (("enters", id_, node), 1.0) for id_, node in self.tank_ports if (id_, node) not in suctions
        ]
        kept: list[Term] = [(("fills", line), 1.0) for line in self.work if line not in network.carrier]
        kept += [
            (("swells", id_, node), 1.0)  # what moves aside right at the tank
            for id_ in self.actuators for node in models[id_].oil if network.line_of[id_, node] in network.carrier
        ]  # fmt: skip
        cylinders = any(role.linear for role in network.rig.having(Actuator).values())
        self._kept = "" if not self.work else "flow.kept" if cylinders else "flow.kept_lines"
        pumped: list[Term] = [(("enters", *pair), -1.0) for pair in pumped_at]
        self._sheet = _Sheet(network, [*(account.terms for account in self.accounts), pumped, back, kept])

    def _on_the_way(self, streams: Iterable[tuple[str, str, str, str]]) -> dict[str, tuple[str, str]]:
        """Return the lines between a section and an actuator's port, where couplings, throttles or locks stand there.

        The oil in them is the actuator's, in and out, as it is where the section is joined to it. A line that leads
        to several ports belongs to none.
        """
        rig, line_of = self.network.rig, self.network.line_of
        sections = rig.having(DirectionalValve)
        others = {*sections, *self.actuators, *self.pumps, *rig.having(Tank)}
        joined = [(start, end) for id_, _, start, end in streams if id_ not in others]
        beside = [*joined, *((end, start) for start, end in joined)]
        stops = {line_of[pair] for pair in self.tank_ports}
        found: dict[str, tuple[str, str]] = {}
        for id_, role in sections.items():
            for first in (line_of[id_, port] for port in role.work):
                if first in self.work:
                    continue
                way = self._reach([first], [(a, b) for a, b in beside if a not in self.work and b not in stops])
                ports = {self.work[line] for line in way if line in self.work}
                if len(ports) == 1:
                    found |= dict.fromkeys(way - set(self.work), ports.pop())
        return found

    @staticmethod
    def _reach(start: Iterable[str], steps: list[tuple[str, str]]) -> set[str]:
        found = set(start)
        while more := {end for begin, end in steps if begin in found and end not in found}:
            found |= more
        return found

    def _accounts(self) -> tuple[Account, ...]:
        found: dict[str, Account] = {}

        def add(new: tuple[str, str, str], parts: Iterable[str], terms: Iterable[Term]) -> None:
            old = found.get(new[1], Account(*new))  # what is called alike is one entry
            parts = tuple(dict.fromkeys((*old.parts, *parts)))
            found[old.name] = replace(old, parts=parts, terms=(*old.terms, *terms))

        network = self.network
        for id_, name, end, way in self.ends:
            new = self._end(id_, name, end)
            style, parts = new[2], [id_]
            if style == "past":
                parts = self._bypassing
            elif style == "useful":
                parts += [on for on, _ in network.lines[end].joins if on in self.actuators]
            add(new, parts, [(("passes", id_, name), way)])
        for id_, node in self.drawn:
            moved, port = capital(part_short(network.rig, id_)), port_name(network.rig, id_, node)
            new = f"flow.drawn.{id_}.{node}", named("flow.to", moved=moved, port=port), "useful"
            add(new, [id_], [(("enters", id_, node), 1.0), (("swells", id_, node), 1.0)])
        for id_, model in network.models.items():
            for port, reading in model.part.spills.items():
                if network.line_of[id_, port] in self.supply_lines and id_ not in self.actuators:
                    called = named("flow.spilt", part=part_short(network.rig, id_))
                    add((f"flow.spilt.{id_}", called, "leakage"), [id_], [(("value", id_, reading), 1.0)])
        if self.pumps:
            terms: list[Term] = [(("swells", id_, node), -1.0) for id_, node in self.drawn]
            terms += [(("fills", line), 1.0) for line in sorted(self.supply_lines) if line not in network.carrier]
            for id_, role in network.rig.having(Store).items():
                if network.line_of[id_, role.port] in self.supply_lines:
                    taken: Term = (("swells", id_, role.port), 1.0)
                    called = role.stored[role.gas][1].format(part_label(network.rig, id_))
                    add((f"flow.into.{id_}", called, "stored"), [id_], [taken])
                    terms.append((taken[0], -1.0))
            add(("flow.taken_up", named("flow.taken_up"), "stored"), (), terms)
        return tuple(sorted(found.values(), key=lambda account: _FLOW_ORDER.index(account.style)))

    def _end(self, id_: str, name: str, end: str) -> tuple[str, str, str]:
        """Return id, name and style of the account of a stream at whose end the pumps' oil is done."""
        rig = self.network.rig
        loss = self.network.models[id_].heats[name].loss
        if loss is Loss.RELIEF:
            return f"flow.relief.{id_}", named("flow.relief", part=id_), "relief"
        if end in self.work:
            actuator, port = self.work[end]
            section = isinstance(rig.parts[id_].part.role, DirectionalValve)  # others lie on the way of one actuator
            moved = self._moves(id_) if section else part_short(rig, actuator)
            called = named("flow.to", moved=capital(moved), port=port_name(rig, actuator, port))
            return f"flow.to.{id_}.{actuator}.{port}", called, "useful"
        if loss is Loss.PAST:
            many = len(self._bypassing) > 1
            kind = "flow.past" if many else "flow.past_one"
            others = {*self._bypassing} - rig.having(DirectionalValve).keys()
            if others:  # an unloading valve, a flow control beside the spools
                kind = "flow.past_valves" if many else "flow.past_valve"
            return "flow.past", named(kind, moved=self._moves(id_)), "past"
        if loss is Loss.LEAKAGE:
            return f"flow.leakage.{id_}", named("flow.leakage", part=part_short(rig, id_)), "leakage"
        return f"flow.through.{id_}", named("flow.through", part=part_short(rig, id_)), "lines"

    def _moves(self, id_: str) -> str:
        """Return what a section is called: its label, else that of the actuator on its ports, else its id."""
        rig, network = self.network.rig, self.network
        moved = (self.work.get(network.line_of[id_, node]) for node in network.models[id_].oil)
        actuator = next((found[0] for found in moved if found is not None), id_)
        return rig.parts[id_].label or part_short(rig, actuator)

    def values(self, readings: Readings) -> Vector:
        """Return where the pumps' oil goes at one instant, by account [m3/s at tank density]."""
        return self._sheet.values(readings)[:-3]

    def ledger(self, readings: Readings) -> Ledger:
        """Return where the pumps' oil goes at one instant [m3/s at tank density]; entries sum to the total."""
        *values, pumped, back, kept = self._sheet.values(readings).tolist()
        entries = tuple(account.entry(value) for account, value in zip(self.accounts, values, strict=True))
        entries = self._noted(entries, self.power.ends.held(readings), readings, pumped)
        closing = [(named("flow.back"), back)]
        if self._kept:
            closing.append((named(self._kept), kept))
        return Ledger("flow", named("flow"), "flow", pumped, entries, tuple(closing))

    def _noted(
        self, entries: tuple[Entry, ...], held: dict[str, float], readings: Readings, pumped: float
    ) -> tuple[Entry, ...]:
        """Return entries that say where the oil gets no further: at an end stop, and over a relief because of it."""
        if not held:
            return entries
        opened = self.power.ends.opened(readings, held, pumped)
        found = []
        for entry in entries:
            note = ""
            if entry.style == "relief":
                note = self.power.at_end(opened.get(entry.parts[0], ()))
            elif entry.style == "useful" and entry.value > 0 and not held.keys().isdisjoint(entry.parts):
                note = named("stop")
            found.append(replace(entry, note=note))
        return tuple(found)


class PowerBook:
    """Who pays for what: the same accounts for powers of an instant [W] and for energies of a stretch of time [J].

    ``sources`` change sign: supplies, what is stored apart (heights, the gas of an accumulator), then all that is
    stored otherwise; what they give stands in the
    ``payers``, what they take in ``accounts``, together with the heats, in groups. A motor that an end stop can hold
    has a group and an account of its own: while it is held, what it loses stands there, else with lines and friction.
    """

    def __init__(self, network: Network) -> None:
        self.network = network
        rig = network.rig
        self.ends = EndStops(network)
        self.pumps = [*rig.having(Pump)]
        roles = {id_: fitted.part.role for id_, fitted in rig.parts.items()}
        self.separate = [(id_, name) for id_, name in network.stored_names
                         if id_ in roles and name in roles[id_].stored]  # fmt: skip
        found: dict[tuple[str, str], _Gathered] = {}  # by name and style: what is called alike is one entry
        payers: dict[str, _Gathered] = {}
        sources: list[tuple[str, str, list[Term]]] = []  # ids of payer and account, terms

        def source(part: str, ids: tuple[str, str], payer: str, account: tuple[str, str], terms: list[Term]) -> None:
            giving = payers.setdefault(payer, _Gathered(ids[0], []))
            taking = found.setdefault(account, _Gathered(ids[1], []))
            sources.append((giving.id, taking.id, terms))
            giving.parts.append(part)
            taking.parts.append(part)

        for id_, name in network.supply_names:
            called = part_label(rig, id_)
            comes, goes, style = roles[id_].border
            terms: list[Term] = [(("supply", id_, name), 1.0)]
            ids = f"power.from.{id_}", f"power.to.{id_}"
            source(id_, ids, capital(comes.format(called)), (goes.format(called), style), terms)
        self.supplying = len(payers)  # of the payers: the first ones, from outside
        for id_, name in self.separate:
            title = rig.parts[id_].label or roles[id_].noun or part_label(rig, id_)
            comes, goes, style = roles[id_].stored[name]
            ids = f"power.out_of.{id_}.{name}", f"power.into.{id_}.{name}"
            source(id_, ids, comes.format(title), (goes.format(title), style), [(("gain", id_, name), -1.0)])
        rest: list[Term] = [(("gain", *pair), -1.0) for pair in network.stored_names if pair not in self.separate]
        motion = named("power.given_back"), (named("power.stored"), "stored")
        source("", ("power.given_back", "power.stored"), *motion, rest)
        for motor in self.ends.taken:
            ended = named("power.ended", part=capital(part_short(rig, motor)))
            found.setdefault((ended, "lines"), _Gathered(self.end_id(motor), [])).parts.append(motor)
        taken = {key: motor for motor, keys in self.ends.taken.items() for key in keys}
        groups: dict[tuple[str, str], list[Term]] = {}  # by account and motor
        heats = _HEATS | _otherwise_called(network)
        for (id_, name), heat in network.heats.items():
            kind = _HEATS.get(heat.loss, _LINES)
            groups.setdefault((kind, taken.get((id_, name), "")), []).append((("heat", id_, name), 1.0))
            words = named(heats.get(heat.loss, _LINES))
            found.setdefault((words, _STYLES[heat.loss]), _Gathered(kind, [])).parts.append(id_)
        accounts = [
            Account(one.id, name, style, tuple(dict.fromkeys(part for part in one.parts if part)))
            for (name, style), one in found.items()
        ]
        self.accounts = tuple(sorted(accounts, key=lambda account: _POWER_ORDER.index(account.style)))
        self.payers = tuple(
            Account(one.id, name, "stored", tuple(part for part in one.parts if part)) for name, one in payers.items()
        )
        using = {account.id: k for k, account in enumerate(self.accounts)}
        paying = {account.id: k for k, account in enumerate(self.payers)}
        self.stores_paid, self.stores_used = len(self.payers) - 1, using["power.stored"]
        self._to_payer, self._to_account = (np.zeros((len(sources), len(to))) for to in (paying, using))
        for row, (payer, account, _) in enumerate(sources):
            self._to_payer[row, paying[payer]] = self._to_account[row, using[account]] = 1.0
        self._heated = np.zeros((len(groups), len(using)))
        self.gathering = np.zeros((len(network.heats), len(groups)))  # heats -> groups of heats
        order: dict[tuple[str, ...], int] = {("heat", *key): row for row, key in enumerate(network.heats)}
        for k, ((kind, _), terms) in enumerate(groups.items()):
            self._heated[k, using[kind]] = 1.0
            self.gathering[[order[reading] for reading, _ in terms], k] = 1.0
        self._count = len(sources)
        self._at_ends = [[*groups].index((_LINES, motor)) for motor in self.ends.taken]
        self._moved = np.zeros((len(self._at_ends), len(using)))  # from the lines to the end stops
        for k, motor in enumerate(self.ends.taken):
            self._moved[k, using[_LINES]] = -1.0
            self._moved[k, using[self.end_id(motor)]] = 1.0
        self._left_out = {account for _, account, _ in sources[: len(network.supply_names)]}  # while nothing
        self._left_out |= {self.end_id(motor) for motor in self.ends.taken}
        self._sheet = _Sheet(network, [*(terms for *_, terms in sources), *groups.values()])
        self._account_of = [using[account] for _, account, _ in sources]

    def ended(self, heats: Vector, standing: Vector) -> Vector:
        """Return what of the groups of heats belongs to the end stops, of each motor that one can hold.

        ``standing`` (number of those motors): 1 where it is held, 0 where not, a share of a stretch of time.
        """
        found: Vector = np.maximum(heats[self._at_ends], 0.0) * standing
        return found

    def split(self, sources: Vector, heats: Vector, ended: Vector) -> tuple[Vector, Vector]:
        """Return what is paid in, by payer, and what is used, by account.

        ``sources`` (…, number of sources): supplies, less the gains of what is stored apart, less those of all other
        stores; ``heats`` (…, number of groups of heats), ``ended``: of these, what belongs to the end stops. All in
        W, or all in J. Paid in less used is the sum of what is given less the sum of the heats.
        """
        given, taken = np.maximum(sources, 0.0), np.maximum(-sources, 0.0)
        paid: Vector = given @ self._to_payer
        used: Vector = taken @ self._to_account + heats @ self._heated + ended @ self._moved
        return paid, used

    def values(self, readings: Readings) -> tuple[Vector, Vector]:
        """Return (paid in by payer, used by account) at one instant [W]."""
        found = self._sheet.values(readings)
        heats = found[self._count :]
        return self.split(found[: self._count], heats, self.ended(heats, self.ends.standing(readings)))

    def ledger(self, readings: Readings) -> Ledger:
        """Return where the power goes at one instant [W]; entries sum to all that is paid in.

        Paid in: what crosses the border inwards, and what falling loads, motion and pressed oil give back.
        """
        found = self._sheet.values(readings)
        sources, heats = found[: self._count], found[self._count :]
        ended = self.ended(heats, self.ends.standing(readings))
        paid, used = self.split(sources, heats, ended)
        giving = {k for k, value in zip(self._account_of, sources.tolist(), strict=True) if value > 0.0}
        entries = [
            account.entry(value)
            for k, (account, value) in enumerate(zip(self.accounts, used.tolist(), strict=True))
            if value > 0.0 or k not in giving
        ]
        entries = [entry for entry in entries if entry.value != 0.0 or entry.id not in self._left_out]
        return Ledger("power", named("power"), "power", float(paid.sum()), tuple(self._noted(entries, readings)))

    def apart(self, readings: Readings) -> dict[str, tuple[tuple[str, str], ...]]:
        """Return the heats that stand at an end stop now and not with the lines, by motor."""
        heats = self._sheet.values(readings)[self._count :]
        ended = self.ended(heats, self.ends.standing(readings)).tolist()
        return {motor: keys for (motor, keys), watts in zip(self.ends.taken.items(), ended, strict=True) if watts}

    def _noted(self, entries: list[Entry], readings: Readings) -> list[Entry]:
        """Return entries that say what end stops do: the relief by its reason, the lines without what is held."""
        held = self.ends.held(readings)
        if not held:
            return entries
        pumps = self.network.rig.having(Pump).items()
        delivery = sum(readings["enters", id_, outlet] for id_, role in pumps for outlet in role.outlets)
        opened = self.ends.opened(readings, held, delivery)
        behind = dict.fromkeys(one for some in opened.values() for one in some)
        apart, found = self.apart(readings), []
        for entry in entries:
            if entry.id == _LINES:
                entry = replace(entry, parts=tuple(part for part in entry.parts if part not in apart))
            found.append(replace(entry, note=self.at_end(tuple(behind))) if entry.style == "relief" else entry)
        return found

    @staticmethod
    def end_id(motor: str) -> str:
        """Return the id of the account of a motor at its end stop."""
        return f"power.ended.{motor}"

    def at_end(self, ids: Sequence[str]) -> str:
        """Return which actuators stand at their ends, "boom at its end"; nothing for none."""
        titles = [part_short(self.network.rig, id_) for id_ in ids]
        if len(titles) == 1:
            return named("end", part=titles[0])
        return named("ends", count=len(titles)) if titles else ""

    def stores(self) -> Callable[[Vector, Vector], Vector]:
        """Return a function of (x, pu): the energy of each store apart, then that of all others together [J]."""
        high = np.array([pair in self.separate for pair in self.network.stored_names])
        function = self.network.stores

        def stores(x: Vector, pu: Vector) -> Vector:
            found = function(x, pu)
            return np.append(found[high], found[~high].sum())

        return stores
