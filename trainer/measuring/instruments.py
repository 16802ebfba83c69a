"""Instruments as they behave: ranges and classes, where one can be fitted, the pointer with its errors.

SI inside, temperatures in C. Ranges and classes of gauges are those of EN 837-1; where a rule is common practice in
workshops and has no source it says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from zlib import crc32

from trainer import units
from trainer.language import tr
from trainer.measuring.pulsation import Pulse, pulse, ripple
from trainer.parts.part import Kind
from trainer.parts.roles import Tank
from trainer.rig.instrument_faults import PLUGGED, STATES
from trainer.rig.live import Live
from trainer.rig.names import line_words, part_words, port_words
from trainer.rig.rig import Instrument, Rig, between
from trainer.rig.tables import CLASSES, SCALES
from trainer.units import System

__all__ = [
    "CLASSES",
    "DAMPINGS",
    "RANGES",
    "USUAL_ERROR",
    "FittingPlace",
    "Pointer",
    "Pulse",
    "division",
    "error_of",
    "fitting_range",
    "new_instrument",
    "places",
    "pulse",
    "read_off",
    "ripple",
    "suits",
    "true_reading",
]

USUAL_ERROR = 0.016  # of the range: class 1.6, the usual one of gauges in workshops (common practice, no source)
RANGES: Mapping[str, tuple[float, ...]] = {  # ends of scales that are to be had [SI]
    "gauge": tuple(b * 1e5 for b in (1, 1.6, 2.5, 4, 6, 10, 16, 25, 40, 60, 100, 160, 250, 400, 600, 1000)),
    "vacuum gauge": tuple(m * 100.0 for m in (250, 400, 600, 1000)),
    "differential gauge": tuple(b * 1e5 for b in (0.6, 1, 1.6, 2.5, 4, 6, 10, 16, 25, 40, 60, 100, 160, 250, 400)),
    "flow meter": tuple(q * (1e-3 / 60) for q in (1, 2, 5, 10, 20, 40, 60, 100, 200, 400, 600)),
    "tachometer": tuple(n * (2 * math.pi / 60) for n in (120, 300, 600, 1200, 3000, 6000)),
    "thermometer": (60.0, 100.0, 120.0, 160.0, 200.0),
}
DAMPINGS: Mapping[str, float] = {  # usual time constants of a needle [s]: common practice, no source
    "gauge": 0.15,
    "vacuum gauge": 0.15,
    "differential gauge": 0.15,
    "flow meter": 0.3,
    "tachometer": 0.3,
    "thermometer": 5.0,
}
_LETTERS = {
    "gauge": "P",
    "vacuum gauge": "P",
    "differential gauge": "P",
    "flow meter": "Q",
    "tachometer": "n",
    "thermometer": "T",
}
_FOLLOWED = 8.0  # the eye follows a needle up to here [Hz]: common practice, no source
_CREEPS = 10.0  # time constant of a snubber from which on nobody sees its needle move [s]: our own number
_BENDS = 1.3  # times the range from which a spring stays bent: common practice, no source
_BENT = 0.07  # of the range by which a bent needle stands too high: our own number
_STOPS = (-0.02, 1.03)  # of the range
_FROST = -20.0  # a thermometer's lower stop [C]
_UNSEEN = 2e-5  # of the range: a needle so near to its reading stays where it is
_MOST_DIVISIONS = 64


# -- what is read, and where ------------------------------------------------------------------------------------


def error_of(instrument: Instrument) -> float:
    """Return the largest error as a share of the range; that of the usual class where the rig gives none."""
    return instrument.accuracy or USUAL_ERROR


def true_reading(instrument: Instrument, live: Live) -> float:
    """Return what an instrument would read if it were perfect [SI; C for a thermometer].

    Flows and turning are read by their size, either way. In a tank a thermometer reads the oil, elsewhere the skin.
    Raises KeyError for a place that does not exist.
    """
    if instrument.on_line:
        pressure = live.pressure(instrument.on)
        return pressure if instrument.kind == "gauge" else -pressure
    if instrument.kind == "differential gauge":
        before, behind = instrument.between
        return live.pressure(before) - live.pressure(behind)
    if instrument.kind == "flow meter":
        part, _, port = instrument.on.partition(".")
        return abs(live.flow(part, port))
    if instrument.kind == "tachometer":
        return abs(live.speed(instrument.on))
    try:
        live.value(instrument.on, "heat_capacity")  # what has one is a tank: its oil has the temperature of the rig
    except KeyError:
        return live.skin(instrument.on)
    return live.temperature


@dataclass(frozen=True, slots=True)
class FittingPlace:
    """Where an instrument of a kind can be fitted; ``on`` as in ``Instrument``, ``words`` say where that is."""

    kind: str
    on: str
    words: str


def places(rig: Rig, kind: str) -> list[FittingPlace]:
    """Return every place for one kind of instrument, in the order of the rig. Raises KeyError for no kind."""
    return [FittingPlace(kind, on, words) for on, words in _PLACES[kind](rig)]


def _oil_lines(rig: Rig) -> Iterator[tuple[str, str]]:
    for line in rig.lines_of_kind(Kind.OIL):
        yield line.name, f"{line_words(rig, line.name)}: {_ends(rig, line.joins)}"


def _shafts(rig: Rig) -> Iterator[tuple[str, str]]:
    for line in rig.lines_of_kind(Kind.SHAFT):
        yield line.name, f"{line_words(rig, line.name)}: {_ends(rig, line.joins)}"


def _ports(rig: Rig) -> Iterator[tuple[str, str]]:
    for id_, fitted in rig.parts.items():
        for port, kind in fitted.part.ports.items():
            if kind is Kind.OIL:
                yield (
                    f"{id_}.{port}",
                    f"{port_words(rig, id_, port)} ({line_words(rig, rig.line_of(id_, port).name)})",
                )


def _bodies(rig: Rig) -> Iterator[tuple[str, str]]:
    with_oil = [id_ for id_, fitted in rig.parts.items() if Kind.OIL in fitted.part.ports.values()]
    tanks = rig.having(Tank)
    yield from ((id_, tr("{part}, in the oil").format(part=part_words(rig, id_))) for id_ in tanks)
    yield from (
        (id_, tr("{part}, on its skin").format(part=part_words(rig, id_))) for id_ in with_oil if id_ not in tanks
    )


def _ways(rig: Rig) -> Iterator[tuple[str, str]]:
    for id_, fitted in rig.parts.items():
        if between(fitted.part, id_, rig.lines):
            yield id_, tr("over the {part}").format(part=part_words(rig, id_))


_PLACES = {
    "gauge": _oil_lines,
    "vacuum gauge": _oil_lines,
    "differential gauge": _ways,
    "flow meter": _ports,
    "tachometer": _shafts,
    "thermometer": _bodies,
}


def _ends(rig: Rig, joins: tuple[tuple[str, str], ...]) -> str:
    """Return the parts that a line joins: "boom section A to boom cylinder cap end"."""
    ports: dict[str, list[str]] = {}
    for id_, port in joins:
        ports.setdefault(id_, []).append(port)
    ends = []
    for id_, letters in ports.items():
        part = rig.parts[id_].part
        name = tr(part.port_names.get(letters[0], letters[0] if letters[0] in part.role.spoken else ""))
        ends.append(f"{part_words(rig, id_)} {name}".rstrip() if len(letters) == 1 else part_words(rig, id_))
    if len(ends) == 1:
        return tr("{port}, plugged").format(port=ends[0])
    words = tr("{one} to {other}")
    if len(ends) > 3:
        words = tr("{one} to {other} and {count} more")
    elif len(ends) == 3:
        words = tr("{one} to {other} and {last}")
    return words.format(one=ends[0], other=ends[1], last=ends[-1], count=len(ends) - 3)


# -- what is chosen -------------------------------------------------------------------------------------------------


def new_instrument(
    rig: Rig, kind: str, on: str, range_: float, accuracy: float = USUAL_ERROR, label: str = ""
) -> Instrument:
    """Return an instrument to be fitted, with a free name such as P2 and the usual damping of its kind."""
    letter = _LETTERS.get(kind, "P")
    taken = {*rig.instruments, *rig.parts, *rig.lines}
    name = next(name for k in range(1, len(taken) + 2) if (name := f"{letter}{k}") not in taken)
    ends = between(rig.parts[on].part, on, rig.lines) if kind == "differential gauge" else ()
    return Instrument(name, kind, on, range_, label, accuracy, DAMPINGS[kind], between=ends)


def fitting_range(kind: str, value: float) -> float:
    """Return the smallest range [SI] of a kind that has a value in its lower three quarters, else the largest.

    Steady pressure up to 3/4 of the range: EN 837-2, from memory.
    """
    return next((end for end in RANGES[kind] if abs(value) <= 0.75 * end), RANGES[kind][-1])


def suits(instrument: Instrument, value: float, system: System = System.METRIC) -> str:
    """Return a sentence where an instrument's range does not suit a value [SI], else nothing."""
    quantity = SCALES[instrument.kind][0]
    end = _written(instrument.range_, quantity, system)
    if value > instrument.range_:
        return tr("{name} ends at {end}, and here it gets more: take the next larger range.").format(
            name=instrument.name, end=end
        )
    if instrument.kind == "flow meter" and value < -1e-3 * instrument.range_:
        return tr("{name} is passed the wrong way: the oil goes into the port here.").format(name=instrument.name)
    if instrument.kind == "gauge" and value < -0.01 * instrument.range_:
        return tr("{name} begins at zero, and here there is less: take a vacuum gauge.").format(name=instrument.name)
    if instrument.kind == "vacuum gauge" and value < -0.01 * instrument.range_:
        return tr("{name} shows what is missing to the air's pressure, and here there is more: take a gauge.").format(
            name=instrument.name
        )
    if instrument.kind == "differential gauge" and value < -0.01 * instrument.range_:
        return tr("{name} is joined the wrong way round: the higher pressure stands behind.").format(
            name=instrument.name
        )
    if instrument.kind != "thermometer" and value < 0.1 * instrument.range_:
        return tr("{name} goes to {end} and reads in its lowest tenth here: a smaller range shows more.").format(
            name=instrument.name, end=end
        )
    return ""


def _written(value: float, quantity: str, system: System) -> str:
    figures, unit = units.text(value, quantity, system, 3)
    return f"{figures.rstrip('0').rstrip('.')} {unit}"


def division(range_: float, quantity: str, system: System = System.METRIC) -> float:
    """Return the smallest division of a scale [SI; K for temperatures]: 1, 2 or 5 of the unit shown, at most 64.

    That gives the divisions usual for class 1.6 (60 bar: 1 bar, 250 bar: 5 bar, 400 bar: 10 bar), from memory of
    EN 837-1.
    """
    unit = units.shown_unit(quantity, system)
    end = unit.number(range_)
    tens = 10.0 ** math.floor(math.log10(end / _MOST_DIVISIONS))
    step = next(step for step in (1, 2, 5, 10, 20) if end / (step * tens) <= _MOST_DIVISIONS * (1 + 1e-9))
    return step * tens * unit.factor


def read_off(instrument: Instrument, stands: float, end: float, system: System = System.METRIC) -> float:
    """Return what is read where a needle ``stands`` [SI] on a scale with an ``end`` [SI]: to half a division [SI].

    An instrument without a class, and one that is calibrated, reads exactly.
    """
    if instrument.accuracy <= 0 or instrument.calibrated:
        return stands
    quantity = SCALES[instrument.kind][0]
    half = division(end, quantity, system) / 2
    offset = units.shown_unit(quantity, system).offset
    return round((stands - offset) / half) * half + offset


# -- the pointer ----------------------------------------------------------------------------------------------------


class Pointer:
    """The needle of an instrument over time: damping, errors, stops, trembling, and what a mechanic can see wrong.

    ``needle`` is where it stands and ``tremble`` by how much it trembles to either side [SI]; ``state`` is the
    instrument's until it is overloaded. The class error is a constant share of the range that follows from the
    instrument's name: the same one errs by the same each time, and a calibrated one not at all.
    """

    def __init__(self, instrument: Instrument) -> None:
        self.instrument = instrument
        self.state = instrument.state
        self.end = instrument.range_  # of the scale as drawn [SI]: where the upper stop counts from
        self.needle = self.tremble = 0.0
        part = crc32(instrument.name.encode()) % 20001 / 10000 - 1.0
        share = 0.0 if instrument.calibrated else instrument.accuracy
        self.error = part * share * instrument.range_  # of its class [SI]
        self._inside = 0.0  # what has come through to the spring [SI]
        self._true = 0.0
        self._phase = 0.0
        if self.state == "seized":  # where it stood when it seized
            self._inside = (0.2 + 0.1 * (part + 1)) * instrument.range_
        self._show(0.0, 0.0)

    @property
    def creeps(self) -> bool:
        """Whether it does not come to rest where it should while somebody looks: plugged, seized, nearly plugged."""
        return self.state in ("plugged", "seized") or self.instrument.snubber >= _CREEPS

    @property
    def _stands(self) -> float:
        """Where the needle would stand without stops and swing [SI]."""
        return self._inside * (1 + self.instrument.gain) + self.rest

    @property
    def rest(self) -> float:
        """What it shows too much [SI]: zero error, error of its class, a bent spring."""
        bent = _BENT * self.instrument.range_ if self.state == "bent" else 0.0
        return self.instrument.zero + self.error + bent

    def take(self, true: float, seconds: float, pulse: Pulse | None = None, pace: float = 1.0) -> None:
        """Follow a true reading [SI] over some model time [s], which passes ``pace`` times as fast as the watcher's.

        A beat that the eye can follow moves the needle, a faster one makes it tremble; both after the damping.
        """
        if not math.isfinite(true):
            return
        self._true = true
        if self.state == "seized":
            return
        lag = PLUGGED if self.state == "plugged" else max(self.instrument.damping, self.instrument.snubber)
        gap = true - self._inside
        if abs(gap) > _UNSEEN * self.instrument.range_ or seconds >= 1.0:
            self._inside += gap * (-math.expm1(-seconds / lag) if lag > 0 else 1.0)
        if self._inside > _BENDS * self.instrument.range_ and self.instrument.kind in STATES["bent"]:
            self.state = "bent" if self.state == "sound" else self.state
        swing, tremble = 0.0, 0.0
        if pulse is not None and pulse.share > 0 and pulse.frequency > 0:
            turn = 2 * math.pi * pulse.frequency
            self._phase = (self._phase + turn * seconds) % (2 * math.pi)
            half = abs(true) * pulse.share / 2 / math.hypot(1.0, turn * lag)
            if pulse.frequency * pace <= _FOLLOWED and pulse.frequency * seconds <= 0.25:
                swing = half * math.sin(self._phase - math.atan(turn * lag))
            else:
                tremble = half
        self._show(swing, tremble)

    def settle(self, true: float) -> None:
        """Put the needle where it comes to rest at a true reading [SI]; seized ones and such as creep stay."""
        if not math.isfinite(true):
            return
        self._true = true
        if not self.creeps:
            self._inside = true
        self._show(0.0, 0.0)

    def put(self, stands: float) -> None:
        """Put the needle where it stood at an instant that has been [SI]."""
        self._inside = (stands - self.rest) / (1 + self.instrument.gain)
        self._show(0.0, 0.0)

    def _show(self, swing: float, tremble: float) -> None:
        low, high = self._stops
        more = 1 + self.instrument.gain
        self.needle = min(max(self._stands + more * swing, low), high)
        tremble *= more
        self.tremble = min(tremble, max(high - self.needle, 0.0), max(self.needle - low, 0.0))

    @property
    def _stops(self) -> tuple[float, float]:
        low = _FROST if self.instrument.kind == "thermometer" else _STOPS[0] * self.end
        return low, _STOPS[1] * self.end

    @property
    def middle(self) -> float:
        """The middle of what the needle swings about, between its stops [SI]."""
        low, high = self._stops
        return min(max(self._stands, low), high)

    @property
    def lag(self) -> float:
        """By how much the needle is still behind what it measures [SI]; nothing for one that seized or creeps."""
        return 0.0 if self.creeps else abs(self._inside - self._true)

    @property
    def figure(self) -> float:
        """What is read off [SI] on a metric scale."""
        return self.read_off()

    def read_off(self, system: System = System.METRIC) -> float:
        """Return what is read off the scale of a unit system [SI]: the middle of its swing, to half a division.

        An instrument without a class reads exactly.
        """
        return read_off(self.instrument, self.middle, self.end, system)

    @property
    def note(self) -> str:
        """What a mechanic can see wrong with the needle, in a short sentence, else nothing."""
        low, high = self._stops
        stands = self._stands
        if stands >= high:
            return tr("The needle rests on the stop beyond the end of its scale.")
        if stands <= low:
            return tr("The needle rests on the stop below the scale.")
        empty = self.instrument.kind != "thermometer" and abs(self._true) < 5e-3 * self.instrument.range_
        seen = max(0.02, 1.5 * self.instrument.accuracy) * self.instrument.range_
        settled = self.creeps or abs(self._inside - self._true) < 0.1 * seen
        if empty and settled and stands > seen:
            return tr("The needle does not return to zero.")
        return ""
