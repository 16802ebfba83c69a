"""A rig: parts with their numbers, the lines that join them, instruments, start, spec sheet, drawing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from trainer.errors import Fault, RigError, nearest
from trainer.language import tr
from trainer.parts.part import Choice, Control, Kind, Parameter, Part, State
from trainer.parts.roles import Actuator, Conduit, Restrictor, Role, Tank
from trainer.rig.showing import Showing
from trainer.units import read

__all__ = ["OIL_TEMPERATURE", "SETTLES", "Fitted", "Instrument", "Line", "OilSpec", "Rig", "SpecReading"]


_Role = TypeVar("_Role", bound=Role)
_Made = TypeVar("_Made")
SETTLES = ("hold", "none")  # a silent run that holds what the start places; the start as it is written
OIL_TEMPERATURE = Control("45 C", low="-20 C", high="110 C", meaning="oil brought to a temperature")
OIL_TEMPERATURE.name = "oil.temperature"  # what a lever script may set besides a rig's controls


@dataclass(frozen=True, slots=True)
class OilSpec:
    """The oil of a rig. Explicit ``density``, ``viscosity``, ``stiffness`` override the grade's curves.

    temperature [C], air [volume ratio at atmospheric pressure], density [kg/m3], viscosity [m2/s kinematic],
    stiffness [Pa, at zero gauge], stiffening [-, rise of stiffness per unit of pressure], air_index [-, polytropic:
    1 isothermal … 1.4 adiabatic]; ``warms``: the
    tank's temperature follows the heat.
    """

    grade: str = "VG 46"
    temperature: float = 45.0
    air: float = 0.005
    density: float | None = None
    viscosity: float | None = None
    stiffness: float | None = None
    stiffening: float | None = None
    air_index: float = 1.0
    warms: bool = True


@dataclass(frozen=True, slots=True)
class Fitted:
    """A part as fitted in a rig: what it is, its numbers [SI] and chosen words; when its wear shows, by its name."""

    id: str
    part: type[Part]
    values: Mapping[str, float] = field(default_factory=dict)
    choices: Mapping[str, str] = field(default_factory=dict)
    label: str = ""
    ends: tuple[str, str] | None = None  # the words at its lever's ends, minus first
    shows: Mapping[str, Showing] = field(default_factory=dict)

    def new(self, name: str) -> float:
        """Return the number of a parameter [SI] of such a part as it is new: its data set's, else the default."""
        return Fitted(self.id, self.part, {}, self.choices).value(name)

    def healthy(self, name: str) -> float:
        """Return the number of a parameter [SI] while none of its wear shows that does not always."""
        if name not in self.shows:
            return self.value(name)
        other = self.shows[name].other
        return self.new(name) if other is None else other

    def value(self, name: str) -> float:
        """Return the number of a parameter [SI]: the rig's, else that of a chosen data set, else the default."""
        parameter: Parameter = self.part.declared(Parameter)[name]
        if name in self.values:
            return self.values[name]
        for choice, sets in self.part.presets.items():
            written = sets.get(self.choice(choice), {}).get(name)
            if written is not None:
                return read(written, parameter.quantity)
        return parameter.start

    def choice(self, name: str) -> str:
        """Return the chosen word, the default where the rig says nothing."""
        choice: Choice = self.part.declared(Choice)[name]
        return self.choices.get(name, choice.start)


@dataclass(frozen=True, slots=True)
class Line:
    """Ports that are joined: one pressure, one shaft or one rod. Ports are (part id, port letter).

    bore [m] gives the oil's velocity; hose [m] is its length, with ``bore`` its volume, and stiffness [Pa]
    that of its wall; volume [m3] is oil besides that of the parts; test_point: a gauge can be coupled to it while it
    is under pressure.
    """

    name: str
    kind: Kind
    joins: tuple[tuple[str, str], ...]
    bore: float | None = None
    hose: float = 0.0
    stiffness: float = 4e8
    volume: float = 0.0
    test_point: bool = False


@dataclass(frozen=True, slots=True)
class Instrument:
    """What reads without changing anything.

    kind: "gauge" and "vacuum gauge" (on an oil line; the latter shows what is missing to the air's pressure),
    "differential gauge" (across a part, ``between`` the lines before and behind it), "flow meter" (at a port),
    "tachometer" (on a shaft line), "thermometer" (in the oil of a reservoir, on the skin of another part with oil).
    range_ [SI] is the end of its
    scale. accuracy: largest error as a share of the range (class 1.6 is 0.016; 0 reads exactly); calibrated: this one
    has its class and errs by nothing; damping: time constant of its needle [s]; zero [SI]: what it shows with nothing
    on it; gain: the share by which it shows more than there is; snubber: time constant of what lets the pressure
    through to it [s]; state: "sound", "bent", "plugged", "seized".
    """

    name: str
    kind: str
    on: str  # a line's name, or "part.port" for a flow meter, or a part's id for a thermometer
    range_: float
    label: str = ""
    accuracy: float = 0.0
    damping: float = 0.15
    zero: float = 0.0
    gain: float = 0.0
    snubber: float = 0.0
    state: str = "sound"
    calibrated: bool = False
    between: tuple[str, ...] = ()  # the lines of a differential gauge

    @property
    def on_line(self) -> bool:
        """Whether it is drawn on an oil line and shows what stands there."""
        return self.kind in ("gauge", "vacuum gauge")


def between(part: type[Part] | None, id_: str, lines: Mapping[str, Line]) -> tuple[str, ...]:
    """Return the lines before and behind a part, across which a differential gauge reads; () where there are none.

    Of a cylinder or motor those of its chambers; a tank has none, nor has a part with more ways through it.
    """
    if part is None:
        return ()
    role = part.role
    oil = tuple(port for port, kind in part.ports.items() if kind is Kind.OIL)
    if isinstance(role, (Restrictor, Conduit)):
        oil = role.ends
    elif isinstance(role, Actuator):
        oil = role.chambers
    if len(oil) != 2 or isinstance(role, Tank):
        return ()
    found = tuple(line.name for port in oil for line in lines.values() if (id_, port) in line.joins)
    return found if len(set(found)) == 2 else ()


@dataclass(frozen=True, slots=True)
class SpecReading:
    """One reading of the healthy machine: what it should be [SI], and under which conditions it holds.

    ``kind`` is that of the instrument it needs; the reading stays where no such instrument is fitted.
    """

    name: str
    reads: str  # an instrument's name
    value: float
    tolerance: float
    conditions: Mapping[str, float] = field(default_factory=dict)  # "part.control", "part.state" -> SI, "temperature"
    kind: str = "gauge"


@dataclass(frozen=True, slots=True)
class Rig:
    """A circuit with its numbers and its drawing. Build with ``Rig.checked`` to have it examined."""

    title: str
    parts: Mapping[str, Fitted]
    lines: Mapping[str, Line]
    oil: OilSpec = field(default_factory=OilSpec)
    instruments: Mapping[str, Instrument] = field(default_factory=dict)
    start: Mapping[str, float] = field(default_factory=dict)  # "part.state", "part.control" or an oil line -> SI
    healthy: tuple[SpecReading, ...] = ()
    drawing: Mapping[str, Any] = field(default_factory=dict)
    source: str = ""
    notes: str = ""
    teaches: str = ""  # a key of topics.TOPICS, "" for none
    settle: str = SETTLES[0]  # how the start is reached; one of SETTLES
    _made: dict[Any, Any] = field(default_factory=dict, init=False, repr=False, compare=False)

    def once(self, make: Callable[[Rig], _Made]) -> _Made:
        """Return what a function makes of this rig; it is made when it is asked for first."""
        if make not in self._made:
            self._made[make] = make(self)
        found: _Made = self._made[make]
        return found

    @property
    def shows(self) -> dict[str, Showing]:
        """When wear shows that does not always, by "part.wear"."""
        return {
            f"{id_}.{own}": one
            for id_, fitted in self.parts.items()
            for own, one in fitted.shows.items()
            if own in fitted.values  # else the part is as new, whenever it would show
        }

    @property
    def delivery(self) -> float:
        """What the pumps bring at rated speed [m3/s]."""
        return sum(fitted.part.delivery(fitted.value) for fitted in self.parts.values())

    @property
    def tank(self) -> str:
        """The id of the tank, the first of several, "" without one."""
        return next(iter(self.having(Tank)), "")

    def at_tank(self, line: str) -> bool:
        """Return whether a line opens into a tank."""
        return any(port in (role.suction, role.back) for _, port, role in self.at_ports(line, Tank))

    def having(self, role: type[_Role]) -> dict[str, _Role]:
        """Return the parts of a role by id, each with what it declares of it, in the order of the rig."""
        found = {id_: fitted.part.role for id_, fitted in self.parts.items()}
        return {id_: own for id_, own in found.items() if isinstance(own, role)}

    def role(self, id_: str, role: type[_Role]) -> _Role:
        """Return what a part of a role declares of it. Raises KeyError for a part of another role."""
        own = self.parts[id_].part.role
        if not isinstance(own, role):
            raise KeyError(id_)
        return own

    def at_ports(self, line: str, role: type[_Role]) -> list[tuple[str, str, _Role]]:
        """Return the ports on a line that belong to parts of a role: part id, port, role."""
        joined = [(id_, port, self.parts[id_].part.role) for id_, port in self.lines[line].joins]
        return [(id_, port, own) for id_, port, own in joined if isinstance(own, role)]

    def line_of(self, part: str, port: str) -> Line:
        """Return the line on which a port sits. Raises KeyError."""
        return self.once(_lines_by_port)[part, port]

    def lines_of_kind(self, kind: Kind) -> Iterator[Line]:
        """Yield the lines of one kind in order."""
        return (line for line in self.lines.values() if line.kind is kind)

    def value(self, part: str, name: str) -> float:
        """Return a parameter's number [SI], following the rig's pumps where its declaration says so."""
        fitted = self.parts[part]
        follows = fitted.part.declared(Parameter)[name].follows == "pump flow" and name not in fitted.values
        return self.delivery if follows and self.delivery > 0 else fitted.value(name)

    def faults(self) -> list[Fault]:
        """Return what is wrong with the way the parts are joined; empty when it can be built."""
        faults: list[Fault] = []
        seen: dict[tuple[str, str], str] = {}
        for line in self.lines.values():
            where = f"[lines] {line.name}"
            carriers = []
            for part_id, port in line.joins:
                fitted = self.parts.get(part_id)
                if fitted is None or port not in fitted.part.ports:
                    faults.append(
                        Fault(
                            "unknown port",
                            where,
                            tr("'{part}.{port}' is no port of this rig.").format(part=part_id, port=port),
                            tr("Take it out."),
                        )
                    )
                    continue
                kind = fitted.part.ports[port]
                if kind is not line.kind:
                    faults.append(
                        Fault(
                            "mixed line",
                            where,
                            tr("'{part}.{port}' is {kind} port on {kind2} line.").format(
                                part=part_id, port=port, kind=_a(kind), kind2=_a(line.kind)
                            ),
                            tr("Join ports of one kind only."),
                        )
                    )
                if (part_id, port) in seen:
                    faults.append(
                        Fault(
                            "port joined twice",
                            where,
                            tr("'{part}.{port}' is already on line {seen}.").format(
                                part=part_id, port=port, seen=seen[part_id, port]
                            ),
                            tr("Put every port on exactly one line."),
                        )
                    )
                seen[part_id, port] = line.name
                if port in fitted.part.carries:
                    carriers.append(f"{part_id}.{port}")
            if len(carriers) > 1:
                faults.append(
                    Fault(
                        "two carriers",
                        where,
                        tr("{carriers} both say the value of this line.").format(carriers=tr(" and ").join(carriers)),
                        tr("Keep one of them on it; join a second tank or load by a part between."),
                    )
                )
            elif carriers:
                owner = carriers[0].partition(".")[0]
                if sum(part_id == owner for part_id, _ in line.joins) > 1:
                    faults.append(
                        Fault(
                            "joined to itself",
                            where,
                            tr("'{part}' would meet itself here.").format(part=owner),
                            tr("Take all but one of its ports off this line."),
                        )
                    )
        for part_id, fitted in self.parts.items():
            faults += [
                Fault("impossible numbers", f"[parts] {part_id}", f"{objection}.", tr("Change one of its numbers."))
                for objection in fitted.part.objections(fitted.value)
            ]
            for port in fitted.part.ports:
                if (part_id, port) not in seen and port not in fitted.part.spare:
                    faults.append(
                        Fault(
                            "port on no line",
                            f"[parts] {part_id}",
                            tr("port {port} is on no line.").format(port=port),
                            tr(
                                'Join it, or plug it with a line of its own: {part}_{port} = ["{part}.{port}"].'
                            ).format(part=part_id, port=port),
                        )
                    )
        return faults

    def checked(self) -> Rig:
        """Return the rig itself; raises RigError with every fault found."""
        faults = self.faults()
        if faults:
            raise RigError(faults, self.source)
        return self

    def remarks(self) -> list[str]:
        """Return what is worth a note and no fault: names that mislead, healthy readings without an instrument."""
        found = []
        for reading in self.healthy:
            fitted = [name for name, item in self.instruments.items() if item.kind == reading.kind]
            if reading.reads not in fitted:
                needs = tr("its value needs a {kind} called {reads}, and none is fitted.").format(
                    kind=tr(reading.kind), reads=reading.reads
                )
                found.append(f"[healthy] {reading.name}: {needs} {nearest(reading.reads, fitted)}".rstrip())
        found += [
            tr("[instruments] {name}: line {name} is another one than it reads. Give the line another name.").format(
                name=name
            )
            for name, item in self.instruments.items()
            if name in self.lines and name != item.on and tuple(item.on.split(".", 1)) not in self.lines[name].joins
        ]
        return found

    def controls(self) -> dict[str, Control]:
        """Return every control by "part.control", with the rig's own words at the ends of levers."""
        found: dict[str, Control] = {}
        for id_, fitted in self.parts.items():
            for name, control in fitted.part.declared(Control).items():
                if fitted.ends and control.ends != ("", ""):
                    control = control.ending(fitted.ends)
                found[f"{id_}.{name}"] = control
        return found

    def loads(self) -> dict[str, Parameter]:
        """Return what hangs on the machine or pushes on it, by "part.parameter": numbers that belong to the run."""
        return {
            f"{id_}.{name}": parameter
            for id_, fitted in self.parts.items()
            for name, parameter in fitted.part.declared(Parameter).items()
            if parameter.load
        }

    def starts(self) -> dict[str, State | Control]:
        """Return all that a start may give: states, controls, and the pressures of oil lines by their names."""
        found: dict[str, State | Control] = {**self.states(), **self.controls()}
        for line in self.lines_of_kind(Kind.OIL):
            if not any(port in self.parts[id_].part.carries for id_, port in line.joins if id_ in self.parts):
                found[line.name] = _PRESSURE
        return found

    def states(self) -> dict[str, State]:
        """Return every state of the rig: "part.state", and "line.place" of rods that no part carries."""
        found: dict[str, State] = {
            f"{id_}.{name}": state
            for id_, fitted in self.parts.items()
            for name, state in fitted.part.declared(State).items()
        }
        for line in self.lines_of_kind(Kind.ROD):
            if not any(port in self.parts[id_].part.carries for id_, port in line.joins if id_ in self.parts):
                found[f"{line.name}.place"] = _PLACE
        return found


def _lines_by_port(rig: Rig) -> Mapping[tuple[str, str], Line]:
    """Return the line of each port; a port that is on several by mistake is on the first."""
    found: dict[tuple[str, str], Line] = {}
    for line in rig.lines.values():
        for port in line.joins:
            found.setdefault(port, line)
    return found


_PLACE = State("0 m", nominal="0.1 m")
_PRESSURE = Control("0 bar", low="-0.9 bar", high="600 bar", meaning="pressure of a line at the start")


def _a(kind: Kind) -> str:
    return {Kind.OIL: tr("an oil"), Kind.SHAFT: tr("a shaft"), Kind.ROD: tr("a rod")}[kind]
