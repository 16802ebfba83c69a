"""What the strip records: every lever, pressure, speed, place, delivery and power of a rig, and its instruments."""

from __future__ import annotations

import math
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import replace

from trainer.language import tr
from trainer.parts.part import Kind
from trainer.parts.roles import Actuator, Pump, Tank
from trainer.rig.moving import actuators_of
from trainer.rig.names import capital, lever_label, line_words, part_label, part_short, short_words
from trainer.rig.rig import (
    Instrument,
    Line,
    Rig,
)
from trainer.window.strip.traces import Key, Trace, Traces

__all__ = ["find_traces", "key_of_instrument"]

_PRESSURE = 250e5  # Pa, end of the scale of a line where no gauge is fitted
_SHARE = 0.4  # of greatest flow and pressure together, where the scale of a power ends at first


def key_of_instrument(instrument: Instrument, rig: Rig) -> Key:
    """Return what an instrument measures, as a key of the readings."""
    if instrument.kind == "gauge":
        return "pressure", instrument.on
    if instrument.kind in ("vacuum gauge", "differential gauge"):  # told by other traces
        return instrument.kind, instrument.on
    if instrument.kind == "flow meter":
        part, _, port = instrument.on.partition(".")
        return "flow", part, port
    if instrument.kind == "tachometer":
        return "speed", instrument.on
    fitted = rig.parts.get(instrument.on)
    if fitted is None or isinstance(fitted.part.role, Tank):
        return ("tank",)
    return "skin", instrument.on


def find_traces(rig: Rig, known: Container[Key] | None = None) -> Traces:
    """Return all that can be recorded of a rig; ``known`` are the keys of its readings where not all may be read."""
    return _Finder(rig, known).traces()


class _Finder:
    """Looks through a rig for all that can be recorded, in the order of its parts."""

    def __init__(self, rig: Rig, known: Container[Key] | None) -> None:
        self.rig = rig
        self.known = known
        self.measured: dict[Key, list[Instrument]] = {}  # by all instruments
        self.named: dict[Key, list[Instrument]] = {}  # by those that read it as it is
        for instrument in rig.instruments.values():
            key = key_of_instrument(instrument, rig)
            self.measured.setdefault(key, []).append(instrument)
            if _reads_truly(instrument):
                self.named.setdefault(key, []).append(instrument)
        self.levers = [name for name in rig.controls() if name.endswith(".lever")]
        self.moved = {name: actuators_of(rig, name.partition(".")[0]) for name in self.levers}
        self.groups = _groups(rig, self.moved)
        self.flow = _greatest_flow(rig)
        gauges = [instrument.range_ for instrument in rig.instruments.values() if instrument.kind == "gauge"]
        self.pressure = max(gauges, default=_PRESSURE)

    def _can(self, key: Key) -> bool:
        return self.known is None or key[0] in ("control", "tank", "skin", "dial") or key in self.known

    def traces(self) -> Traces:
        found: list[Trace] = []
        for trace in (*self._levers(), *self._motion(), *self._pressures(), *self._supply(), *self._heat()):
            if all(map(self._can, trace.reads)) and trace.column not in {other.column for other in found}:
                found.append(trace)
        found += self._instruments({trace.reads: trace for trace in found})
        order = {group: k for k, group in enumerate(dict.fromkeys([*self.groups.values()]))}
        found.sort(key=lambda trace: order.get(trace.group, len(order)))
        places = {trace.column: k for k, trace in enumerate(found)}
        pairs: list[tuple[str, int | None, int | None]] = []
        for control in self.levers:
            speeds = [places[c] for id_ in self.moved[control] if (c := self._speed_column(id_)) in places]
            pairs.append((control, places[f"control {control}"], speeds[0] if speeds else None))
        if not pairs:
            free = [places[c] for id_ in self.rig.parts if (c := self._speed_column(id_)) in places]
            pairs.append(("", None, free[0] if free else None))
        gauges = [item.name for item in self.rig.instruments.values() if item.kind == "gauge"]
        made = Traces(found, pairs, None)
        first = made.of_instrument(gauges[0]) if gauges else None
        made.gauge = None if first is None else places[first.column]
        return made

    def _speed_column(self, actuator: str) -> str:
        line = _moving_line(self.rig, actuator)
        return f"speed {line.name}" if line is not None else ""

    def _made(self, trace: Trace) -> Trace:
        """Return a trace with the name and the range of the instruments that show the same."""
        if len(trace.reads) != 1 or trace.reads[0] not in self.measured:
            return trace
        hides = replace(trace, instruments=tuple(item.name for item in self.measured[trace.reads[0]]))
        named = self.named.get(trace.reads[0], ())
        if not named:
            return hides
        return replace(hides, name=named[0].name, high=max(instrument.range_ for instrument in named))

    def _instruments(self, measured: Mapping[tuple[Key, ...], Trace]) -> list[Trace]:
        """Return the instruments whose needles do not at once show what is there: each as it shows it."""
        found = []
        for instrument in self.rig.instruments.values():
            same = measured.get((key_of_instrument(instrument, self.rig),))
            if same is None or _reads_truly(instrument):
                continue
            name = instrument.name
            hides = tuple(dict.fromkeys((name, *same.instruments)))
            found.append(
                replace(same, column=f"dial {name}", name=name, reads=(("dial", name),), high=instrument.range_,
                        both=False, sign=1.0, instruments=hides, line="", dial=instrument)
            )  # fmt: skip
        return found

    def _levers(self) -> Iterator[Trace]:
        for control, declared in self.rig.controls().items():
            part, _, own = control.partition(".")
            reads = (("control", part, own),)
            if control in self.moved:
                name = tr("{lever} lever").format(lever=capital(lever_label(self.rig, control)))
                yield Trace(f"control {control}", name, self.groups[part], "ratio", reads, 1.0, True, "accent")
            elif declared.quantity == "shaft speed":
                name = tr("{part} setting").format(part=capital(part_label(self.rig, control)))
                yield Trace(
                    f"control {control}", name, self.groups[part], "shaft speed", reads, declared.high, ink="accent"
                )

    def _motion(self) -> Iterator[Trace]:
        rig, named = self.rig, set()
        for control, ids in self.moved.items():
            for id_ in ids:
                if id_ in named:
                    continue
                named.add(id_)
                own = rig.parts[id_].label if len(ids) > 1 else ""
                yield from self._moves(id_, capital(own) or capital(lever_label(rig, control)))
        for id_ in rig.parts:
            if id_ not in named:
                yield from self._moves(id_, capital(rig.parts[id_].label) or (tr("Rod") if not self.moved else id_))
        for line in rig.lines_of_kind(Kind.SHAFT):
            group = next((self.groups[id_] for id_, _ in line.joins if id_ in self.groups), tr("Shafts"))
            name = capital(line_words(rig, line.name))
            both = not rig.at_ports(line.name, Pump)
            yield self._made(
                Trace(f"speed {line.name}", name, group, "shaft speed", (("speed", line.name),), 1.0, both)
            )

    def _moves(self, id_: str, name: str) -> Iterator[Trace]:
        """Yield speed and place of an actuator, the scale of the speed from the pumps' delivery."""
        fitted, line = self.rig.parts[id_], _moving_line(self.rig, id_)
        if line is None:
            return
        speed, place = ("speed", line.name), ("place", line.name)
        if line.kind is Kind.ROD:
            fastest = max(self.flow / (math.pi / 4 * fitted.value("bore") ** 2), 1e-3)
            yield Trace(
                f"speed {line.name}",
                tr("{name} speed").format(name=name),
                self.groups[id_],
                "speed",
                (speed,),
                fastest,
                True,
            )
            stroke = fitted.value("stroke")
            yield Trace(
                f"place {line.name}", tr("{name} rod").format(name=name), self.groups[id_], "length", (place,), stroke
            )
        else:
            fastest = max(self.flow / fitted.value("displacement"), 1e-2)
            called = name if name.casefold().endswith("motor") else tr("{name} motor").format(name=name)
            yield self._made(
                Trace(f"speed {line.name}", called, self.groups[id_], "shaft speed", (speed,), fastest, True)
            )

    def _pressures(self) -> Iterator[Trace]:
        for line in self.rig.lines_of_kind(Kind.OIL):
            joins = [id_ for id_, port, role in self.rig.at_ports(line.name, Actuator) if port in role.chambers]
            group = self.groups[joins[0]] if joins else tr("Oil lines")
            reads = (("pressure", line.name),)
            name = capital(short_words(line_words(self.rig, line.name), 20))
            column = f"pressure {line.name}"
            made = Trace(column, name, group, "pressure", reads, self.pressure, line=line.name)
            yield self._made(made)

    def _supply(self) -> Iterator[Trace]:
        rig = self.rig
        for id_, fitted in rig.parts.items():
            if isinstance(fitted.part.role, Pump):
                reads = (("flow", id_, fitted.part.role.outlet),)
                name = tr("{part} delivery").format(part=id_)
                yield self._made(
                    Trace(
                        f"flow {id_}.{fitted.part.role.outlet}",
                        name,
                        self.groups[id_],
                        "flow",
                        reads,
                        self.flow,
                        sign=-1.0,
                    )
                )
            yield Trace(
                f"power {id_}",
                tr("{part} power").format(part=capital(part_short(rig, id_))),
                self.groups[id_],
                "power",
                (("value", id_, "power"),),
                _SHARE * self.flow * self.pressure,
            )
        for key in self.measured:
            if key[0] == "flow":
                name = f"{key[1]}.{key[2]}"
                yield self._made(
                    Trace(f"flow {name}", name, self.groups[key[1]], "flow", (key,), 1e-4, True, sign=-1.0)
                )

    def _heat(self) -> Iterator[Trace]:
        if isinstance(self.known, Mapping):
            reads = tuple(key for key in self.known if key[0] == "heat")
            if reads:
                yield Trace("heat", tr("All heat"), tr("Oil"), "power", reads, _SHARE * self.flow * self.pressure)
        yield self._made(Trace("temperature tank", tr("Tank oil"), tr("Oil"), "temperature", (("tank",),), 80.0))
        for key in self.measured:
            if key[0] == "skin":
                name = tr("{part} skin").format(part=capital(part_short(self.rig, key[1])))
                yield self._made(
                    Trace(f"temperature {key[1]}", name, self.groups[key[1]], "temperature", (key,), 80.0)
                )


def _moving_line(rig: Rig, actuator: str) -> Line | None:
    """Return the line of a cylinder's rod or of a motor's shaft, or None for what is neither."""
    role = rig.parts[actuator].part.role
    return rig.line_of(actuator, role.output) if isinstance(role, Actuator) else None


def _groups(rig: Rig, moved: Mapping[str, Sequence[str]]) -> dict[str, str]:
    """Return the heading under which each part's traces stand: actuators with the section that moves them."""
    found = {id_: capital(part_label(rig, id_)) for id_ in rig.parts}
    for control, actuators in moved.items():
        for id_ in (control.partition(".")[0], *actuators):
            found[id_] = capital(lever_label(rig, control))
    return found


def _greatest_flow(rig: Rig) -> float:
    """Return the end of the first flow meter's scale, else what the pumps deliver [m3/s]."""
    for instrument in rig.instruments.values():
        if instrument.kind == "flow meter":
            return instrument.range_
    return rig.delivery


def _reads_truly(instrument: Instrument) -> bool:
    """Return whether an instrument has neither error nor damping: it shows what is there."""
    errors = (instrument.accuracy, instrument.damping, instrument.zero, instrument.gain, instrument.snubber)
    return not any(errors) and instrument.state == "sound"
