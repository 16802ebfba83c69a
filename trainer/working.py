"""The working: a number opened into its formula, with this moment's values in it and in the units of the shop.

Each formula is written twice, for bar, L/min, kW and for psi, gpm, hp, with the constants that a mechanic knows; its
value comes from the shown terms, so that it can be checked on paper, and the tests hold it against the engine.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from trainer.engine.readings import Readings
from trainer.parts.oil import HEAT_CAPACITY
from trainer.rig import Fitted, Rig
from trainer.units import UNITS, System, Unit, shown_unit, text

__all__ = ["Formula", "Term", "Working", "workings"]

_FALL = 32.174049  # standard gravity [ft/s2]
_BTU = 4186.8 / HEAT_CAPACITY  # of water over oil: what divides the shop constant of US units
_Shown = Mapping[str, float]  # letter -> number in the unit shown


@dataclass(frozen=True, slots=True)
class Term:
    """One letter of a formula: its value [SI], what it measures, and where it comes from.

    ``units``: symbols and decimals, metric and US, where the usual ones of the quantity do not suit.
    """

    letter: str
    value: float
    quantity: str
    source: str
    units: tuple[tuple[str, int], tuple[str, int]] | None = None

    def unit(self, system: System) -> Unit:
        """Return the unit in which it is shown."""
        if self.units is None:
            return shown_unit(self.quantity, system)
        return UNITS[self.units[system is System.US][0]]

    def number(self, system: System) -> float:
        """Return the number in the unit shown."""
        unit = self.unit(system)
        return (self.value - unit.offset) / unit.factor

    def shown(self, system: System) -> str:
        """Return number and unit as text."""
        if self.units is None:
            return " ".join(text(self.value, self.quantity, system))
        symbol, decimals = self.units[system is System.US]
        pretty = {"mm2": "mm²", "in2": "in²", "1": ""}[symbol]
        return f"{self.number(system):.{decimals}f} {pretty}".rstrip()


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula in the units of one system: as written, and what it makes of the numbers shown."""

    words: str
    rule: Callable[[_Shown], float]


@dataclass(frozen=True, slots=True)
class Working:
    """One result with its terms; ``result`` is what the engine has found."""

    part: str
    name: str
    result: Term
    terms: tuple[Term, ...]
    formulas: Mapping[System, Formula]

    def value(self, system: System) -> float:
        """Return the formula's result [SI], worked out in the units of a system from the terms."""
        shown = {term.letter: term.number(system) for term in self.terms}
        unit = shown_unit(self.result.quantity, system)
        return self.formulas[system].rule(shown) * unit.factor + unit.offset

    def lines(self, system: System) -> tuple[str, str, str]:
        """Return the formula, the formula with its numbers, and the result, as they are shown."""
        words = self.formulas[system].words
        _, _, right = words.partition(" = ")
        letters = {term.letter: term.shown(system) for term in self.terms}
        filled = " ".join(letters.get(word, word) for word in right.split(" "))
        figures, unit = text(self.value(system), self.result.quantity, system)
        return words, f"{self.result.letter} = {filled}", f"{self.result.letter} = {figures} {unit}"


def _both(metric: Formula, us: Formula) -> dict[System, Formula]:
    return {System.METRIC: metric, System.US: us}


def workings(rig: Rig, now: Readings) -> list[Working]:
    """Return every working that a rig has at one instant, part by part in its order."""
    makers: dict[str, Callable[[Rig, Readings, Fitted], Iterator[Working]]] = {
        "cyl_da": _cylinder,
        "pump_fixed": _pump,
        "relief": _relief,
        "section": _section,
        "motor_bidir": _motor,
    }
    found: list[Working] = []
    for fitted in rig.parts.values():
        maker = makers.get(fitted.part.symbol)
        if maker is not None:
            found += maker(rig, now, fitted)
    return found


def _pressure(rig: Rig, now: Readings, part: str, port: str, letter: str = "p") -> Term:
    line = rig.line_of(part, port).name
    return Term(letter, now.pressure(line), "pressure", f"line {line}")


def _power(part: str, name: str, found: float, pressure: Term, flow: Term) -> Working:
    """Return hydraulic power: bar L/min / 600 is kW, psi gpm / 1714 is hp."""
    return Working(
        part, name, Term("P", found, "power", name), (pressure, flow),
        _both(
            Formula("P = p · q / 600", lambda v: v[pressure.letter] * v[flow.letter] / 600),
            Formula("P = p · q / 1714", lambda v: v[pressure.letter] * v[flow.letter] / (33000 * 12 / 231)),
        ),
    )  # fmt: skip


def _torque(part: str, name: str, found: float, size: Term, drop: Term, rub: Term, sign: int) -> Working:
    """Return shaft torque: bar cm3/rev / 20 pi is N m, psi in3/rev / 24 pi is lbf ft."""
    mark = "+" if sign > 0 else "−"
    return Working(
        part, name, Term("T", found, "torque", name), (size, drop, rub),
        _both(
            Formula(f"T = Δp · V / 62.8 {mark} Tr", lambda v: v["Δp"] * v["V"] / (20 * math.pi) + sign * v["Tr"]),
            Formula(f"T = Δp · V / 75.4 {mark} Tr", lambda v: v["Δp"] * v["V"] / (24 * math.pi) + sign * v["Tr"]),
        ),
    )  # fmt: skip


def _cylinder(rig: Rig, now: Readings, fitted: Fitted) -> Iterator[Working]:
    id_ = fitted.id
    cap, annulus = now.value(id_, "cap area"), now.value(id_, "rod-end area")
    p_a, p_b = _pressure(rig, now, id_, "A", "pA"), _pressure(rig, now, id_, "B", "pB")
    areas = (Term("A", cap, "area", "bore"), Term("a", annulus, "area", "bore less rod"))
    rub = Term("Fr", now.value(id_, "friction"), "force", "seals")
    yield Working(
        id_, f"Force of {fitted.title}", Term("F", now.value(id_, "force"), "force", "rod"),
        (p_a, areas[0], p_b, areas[1], rub),
        _both(
            Formula("F = pA · A / 100 − pB · a / 100 − Fr",
                    lambda v: v["pA"] * v["A"] / 100 - v["pB"] * v["a"] / 100 - v["Fr"]),
            Formula("F = pA · A − pB · a − Fr", lambda v: v["pA"] * v["A"] - v["pB"] * v["a"] - v["Fr"]),
        ),
    )  # fmt: skip
    inflow = now.flow(id_, "A") - now.stream(id_, "past the piston")
    flow = Term("q", inflow, "flow", "into the cap end")
    yield Working(
        id_, f"Speed of {fitted.title}", Term("v", now.speed(rig.line_of(id_, "rod").name), "speed", "rod"),
        (flow, areas[0]),
        _both(
            Formula("v = q · 1000 / 6 / A", lambda v: v["q"] * 1000 / 6 / v["A"]),
            Formula("v = q · 231 / 60 / A", lambda v: v["q"] * 231 / 60 / v["A"]),
        ),
    )  # fmt: skip
    if inflow > 1e-7:
        stroke = Term("s", now.parameter(id_, "stroke"), "length", "stroke")
        yield Working(
            id_, f"Time for the whole stroke of {fitted.title}",
            Term("t", stroke.value * cap / inflow, "time", "at this flow"), (areas[0], stroke, flow),
            _both(
                Formula("t = A · s · 6 / 1000 / q", lambda v: v["A"] * v["s"] * 6 / 1000 / v["q"]),
                Formula("t = A · s · 60 / 231 / q", lambda v: v["A"] * v["s"] * 60 / 231 / v["q"]),
            ),
        )  # fmt: skip


def _pump(rig: Rig, now: Readings, fitted: Fitted) -> Iterator[Working]:
    id_ = fitted.id
    size = Term("V", now.parameter(id_, "displacement"), "displacement", "displacement")
    turning = Term("n", now.speed(rig.line_of(id_, "shaft").name), "shaft speed", "shaft")
    slip = Term("qs", now.value(id_, "slip"), "flow", "slip")
    filling = Term("f", now.value(id_, "filling"), "ratio", "oil pressed, air taken in", (("1", 4), ("1", 4)))
    delivery = Term("q", now.value(id_, "delivery"), "flow", "delivery")
    yield Working(
        id_, f"Delivery of the pump {id_}", delivery, (size, turning, filling, slip),
        _both(
            Formula("q = V · n / 1000 · f − qs", lambda v: v["V"] * v["n"] / 1000 * v["f"] - v["qs"]),
            Formula("q = V · n / 231 · f − qs", lambda v: v["V"] * v["n"] / 231 * v["f"] - v["qs"]),
        ),
    )  # fmt: skip
    drop = now.pressure(rig.line_of(id_, "P").name) - now.pressure(rig.line_of(id_, "S").name)
    rub = Term("Tr", now.value(id_, "drag"), "torque", "friction")
    yield _torque(id_, f"Torque on the pump {id_}", now.value(id_, "torque"), size,
                  Term("Δp", drop, "pressure", "outlet less inlet"), rub, +1)  # fmt: skip
    pressure = _pressure(rig, now, id_, "P")
    yield _power(id_, f"Power of the oil from {id_}", pressure.value * delivery.value, pressure, delivery)
    torque = Term("T", now.value(id_, "torque"), "torque", "shaft")
    yield Working(
        id_, f"Power on the shaft of {id_}", Term("P", now.value(id_, "power"), "power", "shaft"), (torque, turning),
        _both(
            Formula("P = T · n / 9549", lambda v: v["T"] * v["n"] / (30000 / math.pi)),
            Formula("P = T · n / 5252", lambda v: v["T"] * v["n"] / (16500 / math.pi)),
        ),
    )  # fmt: skip


def _motor(rig: Rig, now: Readings, fitted: Fitted) -> Iterator[Working]:
    id_ = fitted.id
    size = Term("V", now.parameter(id_, "displacement"), "displacement", "displacement")
    drop = now.pressure(rig.line_of(id_, "A").name) - now.pressure(rig.line_of(id_, "B").name)
    rub = Term("Tr", now.value(id_, "drag"), "torque", "friction")
    yield _torque(id_, f"Torque of {fitted.title}", now.value(id_, "torque"), size,
                  Term("Δp", drop, "pressure", "A less B"), rub, -1)  # fmt: skip


def _relief(rig: Rig, now: Readings, fitted: Fitted) -> Iterator[Working]:
    id_ = fitted.id
    drop = now.pressure(rig.line_of(id_, "P").name) - now.pressure(rig.line_of(id_, "T").name)
    cracks = Term("pc", now.value(id_, "cracking"), "pressure", "cracking")
    full = Term("pf", now.value(id_, "full"), "pressure", "full flow")
    rated = Term("qr", now.parameter(id_, "rated_flow"), "flow", "rated flow")
    flow = now["passes", id_, "over the relief"]
    if flow < 1e-7:
        return
    override = Formula(
        "q = qr · ( Δp − pc ) / ( pf − pc ) · √( Δp / pf )",
        lambda v: v["qr"] * (v["Δp"] - v["pc"]) / (v["pf"] - v["pc"]) * math.sqrt(v["Δp"] / v["pf"]),
    )
    across = Term("Δp", drop, "pressure", "P less T")
    yield Working(id_, f"Flow over the relief {id_}", Term("q", flow, "flow", "over the relief"),
                  (rated, across, cracks, full), _both(override, override))  # fmt: skip
    through = Term("q", flow, "flow", "over the relief")
    yield _power(id_, f"Heat at the relief {id_}", drop * flow, Term("p", drop, "pressure", "P less T"), through)
    density = now.parameter("oil", "density")
    warmer = now.outlet_temperature(id_) - now.temperature
    rise = Term("Tr", now.temperature + warmer, "temperature", "of the oil that leaves")
    yield Working(
        id_, f"Oil that leaves the relief {id_}", rise,
        (Term("T", now.temperature, "temperature", "oil in the tank"), across,
         Term("ρ", density, "density", "oil")),
        _both(
            Formula(f"Tr = T + Δp · 100000 / ( {HEAT_CAPACITY:.0f} · ρ )",
                    lambda v: v["T"] + v["Δp"] * 1e5 / (v["ρ"] * HEAT_CAPACITY)),
            Formula(f"Tr = T + Δp · 144 / ( {778.169 / _BTU:.0f} · ρ )",
                    lambda v: v["T"] + v["Δp"] * 144 * _BTU / (778.169 * v["ρ"])),
        ),
    )  # fmt: skip


def _section(rig: Rig, now: Readings, fitted: Fitted) -> Iterator[Working]:
    id_ = fitted.id
    names = {"P to A": ("P", "A", "P-A area"), "P to B": ("P", "B", "P-B area"), "A to T": ("A", "T", "A-T area"),
             "B to T": ("B", "T", "B-T area"), "past the spool": ("C", "C1", "bypass area")}  # fmt: skip
    density = Term("ρ", now.parameter("oil", "density"), "density", "oil")
    for stream, (start, end, area) in names.items():
        flow = now["passes", id_, stream]
        drop = now.pressure(rig.line_of(id_, start).name) - now.pressure(rig.line_of(id_, end).name)
        checked = now.parameter(id_, "load_check") + 1e5 if start == "P" else 1e5
        if flow < 1e-7 or drop < checked:
            continue  # shut, hardly a drop, or its load check part open: the square root does not hold
        discharge = Term("Cd", now.parameter(id_, "discharge"), "ratio", "of the edge", (("1", 2), ("1", 2)))
        opening = Term("A", now.value(id_, area), "area", "opening of the edge", (("mm2", 2), ("in2", 4)))
        yield Working(
            id_, f"Flow through {fitted.title}, {stream}", Term("q", flow, "flow", stream),
            (discharge, opening, Term("Δp", drop, "pressure", f"{start} less {end}"), density),
            _both(
                Formula("q = 0.06 · Cd · A · √( 200000 · Δp / ρ )",
                        lambda v: 0.06 * v["Cd"] * v["A"] * math.sqrt(2e5 * v["Δp"] / v["ρ"])),
                Formula("q = 3.117 · Cd · A · √( 9266 · Δp / ρ )",
                        lambda v: 60 * 12 / 231 * v["Cd"] * v["A"] * math.sqrt(2 * 144 * _FALL * v["Δp"] / v["ρ"])),
            ),
        )  # fmt: skip
