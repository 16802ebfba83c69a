"""Where every litre and every watt goes: the two ledgers of one instant, from named flows, heats and stores."""

from __future__ import annotations

from collections.abc import Iterable

from trainer.accounts import Entry, Ledger
from trainer.engine.network import Network
from trainer.engine.readings import Readings
from trainer.parts.part import Kind, Loss

__all__ = ["FlowBook", "power_ledger"]

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


class FlowBook:
    """The pump's oil followed to where it ends: an actuator, the tank, a leak; built once per network."""

    def __init__(self, network: Network) -> None:
        self.network = network
        rig, models = network.rig, network.models
        self.pumps = [id_ for id_, fitted in rig.parts.items() if fitted.part.delivery(fitted.value) > 0]
        self.tank_ports = [
            (id_, node) for id_, model in models.items() for node in model.carried if model.nodes[node] is Kind.OIL
        ]
        tanks = {network.line_of[pair] for pair in self.tank_ports}
        streams = [
            (id_, name, network.line_of[id_, start], network.line_of[id_, end])
            for id_, model in models.items()
            for name, (start, end) in model.streams.items()
        ]
        returns = self._reach(
            tanks,
            [(end, start) for id_, name, start, end in streams if models[id_].heats[name].loss is Loss.LINES],
        )
        self.actuators = [
            id_
            for id_, model in models.items()
            if model.oil and model.moving and id_ not in self.pumps and not model.carried
        ]
        self.work = {network.line_of[id_, node]: (id_, node) for id_ in self.actuators for node in models[id_].oil}
        outlets = {network.line_of[id_, "P"] for id_ in self.pumps}
        closed = (returns | set(self.work)) - outlets
        self.supply_lines = self._reach(outlets, [(start, end) for _, _, start, end in streams if end not in closed])
        self.ends = [
            (id_, name, end)
            for id_, name, start, end in streams
            if start in self.supply_lines and end not in self.supply_lines
        ]
        self._sections = sum(
            any(heat.loss is Loss.PAST for heat in model.heats.values()) for model in models.values()
        )
        self.drawn = [
            (id_, node)
            for id_ in self.actuators
            for node in models[id_].oil
            if network.line_of[id_, node] in self.supply_lines
        ]

    @staticmethod
    def _reach(start: Iterable[str], steps: list[tuple[str, str]]) -> set[str]:
        found = set(start)
        while more := {end for begin, end in steps if begin in found and end not in found}:
            found |= more
        return found

    def _end_name(self, id_: str, name: str, end: str) -> tuple[str, str]:
        rig = self.network.rig
        loss = self.network.models[id_].heats[name].loss
        if loss is Loss.RELIEF:
            return f"Over the relief {id_}", "relief"
        if end in self.work:
            actuator, port = self.work[end]
            called = rig.parts[actuator].part.port_names.get(port, f"port {port}")
            title = self.section_title(id_)
            return f"{title[:1].upper()}{title[1:]}, {called}", "useful"
        if loss is Loss.PAST:
            which = "spools" if self._sections > 1 else f"{self.section_title(id_)} spool"
            return f"Past the {which}, to tank", "past"
        if loss is Loss.LEAKAGE:
            return f"Leakage, {rig.parts[id_].title}", "leakage"
        return f"Through {rig.parts[id_].title}", "lines"

    def section_title(self, id_: str) -> str:
        """Return what a section is called: its label, else the title of the actuator on its ports, else its id."""
        if self.network.rig.parts[id_].label:
            return self.network.rig.parts[id_].label
        model = self.network.models[id_]
        for node in model.oil:
            actuator = self.work.get(self.network.line_of[id_, node])
            if actuator is not None:
                return self.network.rig.parts[actuator[0]].title
        return self.network.rig.parts[id_].title

    def ledger(self, readings: Readings) -> Ledger:
        """Return where the pumps' oil goes at one instant [m3/s at tank density]; entries sum to the total."""
        total = -sum(readings["enters", id_, "P"] for id_ in self.pumps)
        entries: dict[str, Entry] = {}

        def add(name: str, value: float, style: str, part: str) -> None:
            old = entries.get(name)
            entries[name] = Entry(
                name,
                value + (old.value if old else 0.0),
                style,
                (*(old.parts if old else ()), *([part] if part else [])),
            )

        for id_, name, end in self.ends:
            title, style = self._end_name(id_, name, end)
            add(title, readings["passes", id_, name], style, id_)
        for id_, node in self.drawn:
            part = self.network.rig.parts[id_]
            title = f"{part.title[:1].upper()}{part.title[1:]}, {part.part.port_names.get(node, f'port {node}')}"
            add(title, readings["enters", id_, node] + readings["swells", id_, node], "useful", id_)
        if self.pumps:
            swells = sum(readings["swells", id_, node] for id_, node in self.drawn)
            filled = -swells + sum(
                readings["fills", line] for line in self.supply_lines if line not in self.network.carrier
            )
            add("Taken up by oil and hoses", filled, "stored", "")
        order = {"useful": 0, "past": 1, "relief": 2, "lines": 3, "leakage": 4, "stored": 5}
        rows = sorted(entries.values(), key=lambda entry: order[entry.style])
        back = sum(readings["enters", id_, node] for id_, node in self.tank_ports if node != "S")
        kept = sum(readings["fills", line] for line in self.work if line not in self.network.carrier)
        closing = (("Back at the tank", back), ("kept by the cylinders", kept))
        return Ledger("Flow ledger", "flow", total, tuple(rows), closing)


def power_ledger(network: Network, book: FlowBook, readings: Readings) -> Ledger:
    """Return where the power goes at one instant [W]; entries sum to all that is paid in.

    Paid in: what crosses the border inwards, and what falling loads, motion and pressed oil give back.
    """
    rig = network.rig
    groups: dict[tuple[str, str], list[tuple[str, float]]] = {}

    def add(name: str, style: str, part: str, value: float) -> None:
        groups.setdefault((name, style), []).append((part, value))

    total = 0.0
    for id_, name in network.supply_names:
        value = readings["supply", id_, name]
        if value >= 0:
            total += value
        else:
            add(f"Work on the {rig.parts[id_].title}", "useful", id_, -value)
    springs = 0.0
    for id_, name in network.stored_names:
        value = readings["gain", id_, name]
        if name != "height":
            springs += value
        elif value >= 0:
            add(f"Lifts the {rig.parts[id_].title if rig.parts[id_].label else 'load'}", "useful", id_, value)
        else:
            total -= value
    if springs >= 0:
        add("Into motion and pressed oil", "stored", "", springs)
    else:
        total -= springs
    for (id_, name), heat in network.heats.items():
        value = readings["heat", id_, name]
        title = {
            Loss.PAST: "Past the spools, heat",
            Loss.METERING: "Spool metering",
            Loss.PUMP: "Pump losses",
            Loss.RELIEF: "Over the relief, heat",
        }.get(heat.loss, "Lines, filter, friction")
        add(title, _STYLES[heat.loss], id_, value)
    order = {"useful": 0, "past": 1, "relief": 2, "pump": 3, "metering": 4, "lines": 5, "stored": 6}
    entries = [
        Entry(name, sum(value for _, value in items), style, tuple(part for part, _ in items if part))
        for (name, style), items in groups.items()
    ]
    return Ledger("Power ledger", "power", total, tuple(sorted(entries, key=lambda entry: order[entry.style])))
