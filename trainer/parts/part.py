"""The contract of a part: what it declares, what it is given, what it returns.

Signs, here once for the whole program: a through value (flow, torque, force) is positive *into the part*;
rod speed is positive extending; pressures are gauge pressures, ``at.absolute(p)`` for gas laws.
Everything is in SI units (temperatures in degrees Celsius); oil flow is counted at tank density.

========  ==================  =====================  =========================
line      across              through                power into a part
========  ==================  =====================  =========================
oil       pressure p [Pa]     flow q [m3/s]          q * h(p)
shaft     speed [rad/s]       torque [N m]           torque * speed
rod       speed [m/s]         force [N]              force * speed
========  ==================  =====================  =========================
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from copy import copy
from dataclasses import dataclass, field
from enum import Enum
from typing import Any, ClassVar

from trainer import units
from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.plain import Plain
from trainer.parts.roles import Role
from trainer.parts.sheet import Sheet

__all__ = [
    "DEGREES",
    "At",
    "Choice",
    "Control",
    "Efficiency",
    "Expr",
    "Heat",
    "Kind",
    "Latched",
    "Law",
    "Loss",
    "Names",
    "Parameter",
    "Part",
    "State",
    "Stream",
    "Wear",
]

Expr = Any  # a casadi expression or a number; casadi has no type stubs
# a speed [rad/s], and the volumetric and hydromechanical efficiency there at a drop [Pa] and viscosity [Pa s]
Efficiency = tuple[float, Callable[[float, float], tuple[float, float]]]


class Kind(Enum):
    """The three kinds of line."""

    OIL = "oil"
    SHAFT = "shaft"
    ROD = "rod"


class Loss(Enum):
    """Where a loss of power is booked in the ledger."""

    PUMP = "pump"
    PAST = "past"
    METERING = "metering"
    RELIEF = "relief"
    LINES = "lines"
    LEAKAGE = "leakage"
    FRICTION = "friction"
    DRIVE = "drive"


class Declared:
    """Base of what a part class declares; remembers the name it was given, and what it means to a person."""

    name = ""

    def __init__(self, meaning: str = "") -> None:
        self._meaning = meaning

    @property
    def meaning(self) -> str:
        """What it means, in the language in use."""
        return tr(self._meaning)

    def __set_name__(self, owner: type, name: str) -> None:
        self.name = name


class Parameter(Declared):
    """A number of a part, live or only to be changed at rest, with its range and meaning.

    ``default``, ``low`` and ``high`` are written with units; ``start`` [SI] is the default. ``load``: it hangs on the
    machine and is no number of it; as a lever's place it belongs to the run.
    """

    def __init__(
        self,
        default: str,
        *,
        low: str,
        high: str,
        meaning: str,
        at_rest: bool = False,
        follows: str = "",
        load: bool = False,
    ) -> None:
        super().__init__(meaning)
        self.written = default
        self.quantity = units.quantity_of(default)
        self.start = units.read(default, self.quantity)
        self.low = units.read(low, self.quantity)
        self.high = units.read(high, self.quantity)
        self.range_written = (low, high)
        self.at_rest = at_rest
        self.load = load
        self.follows = follows  # "pump flow": where a rig says nothing, its pumps' rated flow
        if not self.low <= self.start <= self.high:
            raise ValueError(f"default {default} outside {low} … {high}")


DEGREES = {"mild": mark("mild"), "marginal": mark("marginal"), "failed": mark("failed")}  # of wear, and their words


class Wear(Parameter):
    """A parameter that grows with wear, with three severities [SI].

    They are given as multiples of the healthy value or, where that may be nothing, written with their unit. ``most``
    is the end of its range where that is not twice what has failed. ``stays``: it cannot come and go, since what is
    stored hangs on it.
    """

    def __init__(
        self,
        default: str,
        *,
        mild: float | str,
        marginal: float | str,
        failed: float | str,
        notice: str,
        meaning: str = "",
        most: str = "",
        stays: bool = False,
    ) -> None:
        quantity = units.quantity_of(default)
        start = units.read(default, quantity)
        unit = units.symbols_of(quantity)[0] if quantity != "ratio" else ""
        self._given = {"mild": mild, "marginal": marginal, "failed": failed}
        self.severities = {
            name: units.read(one, quantity) if isinstance(one, str) else one * start
            for name, one in self._given.items()
        }
        high = most or f"{self.severities['failed'] * 2:.6g} {unit}"
        super().__init__(default, low=f"0 {unit}", high=high, meaning=meaning or notice)
        self._notice = notice
        self.stays = stays

    def degrees(self, healthy: float) -> dict[str, float]:
        """Return its severities [SI], none first, of a part whose healthy value is another than the default.

        Of nothing nothing comes: there the default's count.
        """
        worn = {
            name: self.severities[name] if isinstance(one, str) or not healthy else min(one * healthy, self.high)
            for name, one in self._given.items()
        }
        return {"healthy": healthy, **worn}

    @property
    def notice(self) -> str:
        """What the operator notices of it."""
        return tr(self._notice)


class Control(Declared):
    """What the operator moves: a lever [-1..1] or a speed setting, with the words at its ends."""

    def __init__(self, default: str, *, low: str, high: str, meaning: str, ends: tuple[str, str] = ("", "")) -> None:
        super().__init__(meaning)
        self.quantity = units.quantity_of(default)
        self.start = units.read(default, self.quantity)
        self.low = units.read(low, self.quantity)
        self.high = units.read(high, self.quantity)
        self._ends = ends
        self._own: tuple[str, str] | None = None  # a rig's

    @property
    def ends(self) -> tuple[str, str]:
        """The words at its ends, minus first."""
        return self._own or (tr(self._ends[0]), tr(self._ends[1]))

    def ending(self, ends: tuple[str, str]) -> Control:
        """Return the same control with a rig's own words at its ends."""
        made = copy(self)
        made._own = ends
        return made


class State(Declared):
    """A number that the solver moves; ``nominal`` scales it; ``wraps`` for an angle kept in one turn."""

    def __init__(self, start: str, *, nominal: str, wraps: bool = False) -> None:
        super().__init__()
        self.quantity = units.quantity_of(start)
        self.start = units.read(start, self.quantity)
        self.nominal = units.read(nominal, self.quantity)
        self.wraps = wraps


class Latched(Declared):
    """A number that stands while a call lasts and may switch between two; ``start`` is written with its unit."""

    def __init__(self, start: str) -> None:
        super().__init__()
        self.quantity = units.quantity_of(start)
        self.start = units.read(start, self.quantity)


class Choice(Declared):
    """A word that selects equations; changed only by building the rig anew."""

    def __init__(self, default: str, *others: str, meaning: str) -> None:
        super().__init__(meaning)
        self.start = default
        self.options = (default, *others)


class Names(Mapping[str, Expr]):
    """Values by name, as attributes or items: ``at.p.A`` or ``at.p["1"]``."""

    def __init__(self, values: Mapping[str, Expr]) -> None:
        self._values = dict(values)

    def __getattr__(self, name: str) -> Expr:
        try:
            return self.__dict__["_values"][name]
        except KeyError:
            raise AttributeError(name) from None

    def __getitem__(self, name: str) -> Expr:
        return self._values[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)


class At:
    """What a part's equations are given: its own numbers by name, and its ports' values.

    ``p h w`` per oil port (pressure, enthalpy and specific volume at that pressure), ``speed`` and ``place``
    per shaft or rod port, ``given`` (the sum of the others' through values, into this part) and ``inertia``
    (of the others) per carried port, ``oil`` (``density``, ``viscosity`` dynamic, ``vapour``).
    """

    p: Names
    h: Names
    w: Names
    speed: Names
    place: Names
    given: Names
    inertia: Names
    oil: Names

    def __init__(self, own: Mapping[str, Expr], **ports: Mapping[str, Expr]) -> None:
        self._own = dict(own)
        for group in ("p", "h", "w", "speed", "place", "given", "inertia", "oil"):
            setattr(self, group, Names(ports.get(group, {})))

    def __getattr__(self, name: str) -> Expr:
        try:
            return self.__dict__["_own"][name]
        except KeyError:
            raise AttributeError(name) from None

    @staticmethod
    def absolute(pressure: Expr) -> Expr:
        """Return the absolute pressure [Pa] of a gauge pressure [Pa]."""
        return pressure + 101325.0


@dataclass(frozen=True, slots=True)
class Stream:
    """Oil passing through a part from one of its ports to another [m3/s at tank density].

    Its share of ``into`` and its heat, flow * (h_start - h_end - raised), follow from it and are never written twice.
    ``raised`` is what its way gives to gravity, or to a shaft within [J/m3 at tank density]; the part books
    flow * raised itself, as ``supply`` or in what turns.
    """

    start: str
    end: str
    flow: Expr
    loss: Loss
    raised: Expr = 0.0


@dataclass(frozen=True, slots=True)
class Heat:
    """A loss [W], >= 0, a formula of its own; ``dry`` where it does not go into the oil."""

    watts: Expr
    loss: Loss
    dry: bool = False


@dataclass(slots=True)
class Law:
    """What a part returns; see the module's text for signs. Energies in J, powers in W."""

    into: dict[str, Expr] = field(default_factory=dict)
    streams: dict[str, Stream] = field(default_factory=dict)
    rate: dict[str, Expr] = field(default_factory=dict)
    volume: dict[str, Expr] = field(default_factory=dict)
    compliance: dict[str, Expr] = field(default_factory=dict)  # of hose walls [m3/Pa], of parameters only
    inertia: dict[str, Expr] = field(default_factory=dict)
    carries: dict[str, Expr | tuple[Expr, Expr]] = field(default_factory=dict)
    heat: dict[str, Heat] = field(default_factory=dict)
    supply: dict[str, Expr] = field(default_factory=dict)
    stored: dict[str, Expr] = field(default_factory=dict)
    readings: dict[str, tuple[Expr, str]] = field(default_factory=dict)

    def all_into(self, kinds: Mapping[str, Kind]) -> dict[str, Expr]:
        """Return the through value per port, streams included."""
        total: dict[str, Expr] = dict.fromkeys(kinds, 0.0)
        for port, value in self.into.items():
            total[port] = total[port] + value
        for stream in self.streams.values():
            total[stream.start] = total[stream.start] + stream.flow
            total[stream.end] = total[stream.end] - stream.flow
        return total

    def all_heat(self, h: Names) -> dict[str, Heat]:
        """Return every named heat, those of the streams included."""
        heats = {name: Heat(s.flow * (h[s.start] - h[s.end] - s.raised), s.loss) for name, s in self.streams.items()}
        overlap = heats.keys() & self.heat.keys()
        if overlap:
            raise ValueError(f"heat named twice: {sorted(overlap)}")
        return heats | self.heat


class Part:
    """One symbol with physics in it. Subclasses declare and return; they hold no state of their own."""

    ports: ClassVar[dict[str, Kind]] = {}
    port_names: ClassVar[Mapping[str, str]] = {}  # what a port is called where its letter says too little
    inside: ClassVar[dict[str, Kind]] = {}  # private nodes, each a line of one port
    carries: ClassVar[tuple[str, ...]] = ()  # ports whose across value this part says
    signals: ClassVar[tuple[str, ...]] = ()  # oil ports that only tell a pressure: a pilot line leads there
    spare: ClassVar[tuple[str, ...]] = ()  # ports that may be on no line: nobody gives there, and nothing moves them
    spills: ClassVar[Mapping[str, str]] = {}  # oil ports -> the reading of what is lost there [m3/s at tank density]
    ends: ClassVar[Mapping[str, str]] = {}  # shaft ports with an end stop -> the reading that is its torque, else 0
    symbol: ClassVar[str] = ""  # its name among the drawing's symbols
    letter: ClassVar[str] = "Z"  # function letter of ISO 1219-2: P A M S V Z; loads W, our own
    plate: ClassVar[tuple[str, ...]] = ()  # the data beside its symbol (ISO 1219-2): "{bore.}/{rod.}" without unit
    role: ClassVar[Role] = Role()  # what kind of thing it is to all that ask, with its ports and words
    plain: ClassVar[Plain] = Plain()  # what it is to a person, at three depths
    group: ClassVar[str] = ""  # of roles.GROUPS, where it is looked for elsewhere than its role says
    called: ClassVar[str] = ""  # what it is called in a sentence, where the words of its class are not said
    words: ClassVar[Mapping[str, str]] = {}  # what its heats, streams, supplies and stores are called, by their ids
    presets: ClassVar[Mapping[str, Mapping[str, Mapping[str, str]]]] = {}  # choice, word -> written parameters
    screwed: ClassVar[tuple[str, ...]] = ("setting",)  # parameters that are turned with a screw, where it has them
    replaces: ClassVar[tuple[str, ...]] = ()  # older names that files may still use
    followed: ClassVar[Mapping[str, str]] = {}  # what starts once gave, and from what it follows now

    def equations(self, at: At) -> Law:
        """Return the part's law at one instant."""
        raise TypeError(f"{type(self).__name__} has no equations")

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield how the part's numbers come about at one instant, in the order in which a teacher shows them.

        Intermediate results are readings of its law and taken from there: nothing is worked out twice.
        """
        yield from ()

    @classmethod
    def asks(cls, at: Sheet, port: str) -> Working | None:
        """Return the pressure at a port as what the part asks of it: load, friction, back pressure; else None."""
        return None

    @classmethod
    def delivery(cls, value: Callable[[str], float]) -> float:
        """Return the flow [m3/s] that the part brings into a rig at rated speed; ``value`` gives parameters."""
        return 0.0

    @classmethod
    def efficiency(cls, value: Callable[[str], float], choice: Callable[[str], str]) -> Efficiency | None:
        """Return what it makes of oil or torque, None where it makes neither of the other."""
        return None

    @classmethod
    def objections(cls, value: Callable[[str], float]) -> list[str]:
        """Return what cannot be among numbers that are each in range, in words; ``value`` gives parameters."""
        return []

    @classmethod
    def screws(cls, choice: Callable[[str], str]) -> tuple[str, ...]:
        """Return the parameters that its set screws turn; ``choice`` gives its chosen words."""
        return tuple(name for name in cls.screwed if name in cls.declared(Parameter))

    booked: ClassVar[tuple[str, str]] = ("", "")  # supply and heat that take what ``latch`` adds and loses

    @classmethod
    def begin(cls, values: Mapping[str, float]) -> dict[str, float]:
        """Return states and latched numbers that follow from others where a start does not give them.

        ``values`` has own numbers by name, and places by port.
        """
        return {}

    latched_by: ClassVar[tuple[str, ...]] = ()  # own numbers; while all of them are 0 ``latch`` is not asked

    @classmethod
    def latch(cls, values: Mapping[str, float]) -> dict[str, float]:
        """Return states and latched numbers that switch between calls.

        ``values``: own numbers by name, speeds by port, readings by names that neither have, "call.length" [s].
        """
        return {}

    @classmethod
    def oil(cls, values: Mapping[str, float]) -> tuple[float, float]:
        """Return what a tank does to the rig's oil: its viscosity so many times, and so much air besides.

        ``values`` has own numbers by name; asked where a class has one of its own.
        """
        return 1.0, 0.0

    @classmethod
    def overload(cls, values: Mapping[str, float]) -> str:
        """Return in a sentence that the part cannot keep up with what is asked of it, else nothing.

        ``values``: own numbers and readings by name, "speed" [rad/s] of its shaft, and "surplus": the torque [N m]
        that speeds the shaft up.
        """
        return ""

    @classmethod
    def word(cls, name: str) -> str:
        """Return what one of its heats, streams, supplies or stores is called: "past the spool" for "past_spool"."""
        return tr(cls.words.get(name, name))

    _declared: ClassVar[dict[type, dict[str, Any]]] = {}  # by kind: asked for many times a frame

    def __init_subclass__(cls) -> None:
        cls._declared = {}

    @classmethod
    def declared(cls, kind: type[Declared]) -> dict[str, Any]:
        """Return what the class declares of one kind, by name, in order of writing."""
        found = cls._declared.get(kind)
        if found is None:
            found = cls._declared[kind] = {
                name: value
                for owner in reversed(cls.__mro__)
                for name, value in vars(owner).items()
                if isinstance(value, kind)
            }
        return dict(found)

    @classmethod
    def nodes(cls) -> dict[str, Kind]:
        """Return ports and private nodes with their kinds."""
        return cls.ports | cls.inside
