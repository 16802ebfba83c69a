"""A one-spool bench as the drawing sees it, and readings of it made by hand: nothing here is solved."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from trainer.parts import CATALOGUE
from trainer.parts.part import Kind
from trainer.rig.rig import (
    Fitted,
    Instrument,
    Line,
    Rig,
)

DRAWING: dict[str, Any] = {
    "step": "10 bar",
    "0Z1": {"at": [34.5, 67]},
    "0M1": {"at": [8, 57]},
    "0P1": {"at": [23, 57], "mirror": True},
    "0V1": {"at": [33, 53], "turn": 180, "mirror": True},
    "1V1": {"at": [70, 41]},
    "0Z2": {"at": [56, 62], "mirror": True},
    "1A1": {"at": [70, 17]},
    "P1": {"at": [45, 33]},
    "routes": {
        "S": [["0P1.S", "0Z1.S"]],
        "P1": [["0P1.P", [23, 41], "1V1.C"], [[23, 47], [33, 47], "0V1.P"], [[61, 41], "1V1.P"]],
        "A1": [["1V1.A", [76, 21], "1A1.A"]],
        "B1": [["1V1.B", [78, 43], [78, 13], "1A1.B"]],
        "R": [["1V1.C1", [81, 41], [81, 62], "0Z2.1"], ["1V1.T", [64, 62]]],
        "T": [["0V1.T", "0Z1.T"], ["0Z2.2", [47, 62], "0Z1.T"]],
    },
}
_OIL = {
    "S": "0Z1.S 0P1.S",
    "P1": "0P1.P 0V1.P 1V1.C 1V1.P",
    "A1": "1V1.A 1A1.A",
    "B1": "1V1.B 1A1.B",
    "R": "1V1.C1 1V1.T 0Z2.1",
    "T": "0Z2.2 0V1.T 0Z1.T",
}


def line(name: str, ports: str, kind: Kind = Kind.OIL) -> Line:
    """Return a line of ports written "part.port part.port"."""
    joins = tuple((written.split(".")[0], written.split(".")[1]) for written in ports.split())
    return Line(name, kind, joins)


def fitted(id_: str, name: str, label: str = "", **values: float) -> Fitted:
    """Return a part of the catalogue with numbers [SI]."""
    return Fitted(id_, CATALOGUE[name], values, label=label)


def bench(drawing: dict[str, Any] | None = None) -> Rig:
    """Return the bench with a drawing table; without one it is laid out automatically."""
    parts = [
        fitted("0Z1", "Reservoir", volume=0.012),
        fitted("0M1", "HandCrank"),
        fitted("0P1", "FixedPump"),
        fitted("0V1", "ReliefValve", setting=50e5),
        fitted("1V1", "OpenCentreSection"),
        fitted("0Z2", "ReturnFilter"),
        fitted("1A1", "Cylinder", "lift cylinder", bore=0.04, rod=0.025, stroke=0.2),
        fitted("1W1", "Weight", mass=255.0),
    ]
    lines = [line(name, ports) for name, ports in _OIL.items()]
    lines += [
        line("crank", "0M1.shaft 0P1.shaft", Kind.SHAFT),
        line("rod1", "1A1.rod 1W1.rod", Kind.ROD),
    ]
    instruments = [
        Instrument("P1", "gauge", "P1", 60e5),
        Instrument("Q1", "flow meter", "0P1.P", 1.7e-5),
        Instrument("n1", "tachometer", "crank", 12.6),
        Instrument("T1", "thermometer", "0Z1", 100.0),
    ]
    return Rig(
        "Bench",
        {part.id: part for part in parts},
        {item.name: item for item in lines},
        instruments={item.name: item for item in instruments},
        drawing=drawing or {},
    ).checked()


def bank(sections: int) -> Rig:
    """Return a rig of several sections in one bank, each with its cylinder, without a drawing table."""
    numbers = range(1, sections + 1)
    parts = [
        fitted("0Z1", "Reservoir"),
        fitted("0M1", "SteadyDrive"),
        fitted("0P1", "FixedPump"),
        fitted("0V1", "ReliefValve"),
        fitted("0Z2", "ReturnFilter"),
    ]
    lines = [
        line("shaft", "0M1.shaft 0P1.shaft", Kind.SHAFT),
        line("S", "0Z1.S 0P1.S"),
        line("P1", "0P1.P 0V1.P 1V1.C 1V1.P"),
        line("R", f"{sections}V1.C1 0Z2.1 " + " ".join(f"{i}V1.T" for i in numbers)),
        line("T", "0Z2.2 0V1.T 0Z1.T"),
    ]
    for i in numbers:
        parts += [fitted(f"{i}V1", "OpenCentreSection"), fitted(f"{i}A1", "Cylinder", f"function {i}")]
        parts.append(fitted(f"{i}W1", "ConstantForce"))
        lines += [line(f"A{i}", f"{i}V1.A {i}A1.A"), line(f"B{i}", f"{i}V1.B {i}A1.B")]
        lines.append(line(f"rod{i}", f"{i}A1.rod {i}W1.rod", Kind.ROD))
        if i < sections:
            lines.append(line(f"C{i}", f"{i}V1.C1 {i + 1}V1.C {i + 1}V1.P"))
    return Rig("Bank", {p.id: p for p in parts}, {item.name: item for item in lines}).checked()


@dataclass
class HandMade:
    """Readings written by hand; what is not written is zero."""

    rig: Rig
    lever: float = 0.0
    pressures: dict[str, float] = field(default_factory=dict)
    flows: dict[tuple[str, str], float] = field(default_factory=dict)
    extension: float = 0.05
    rod_speed: float = 0.0
    opening: float = 0.0
    time: float = 0.0
    temperature: float = 45.0

    def pressure(self, line: str) -> float:
        """Return the pressure written for a line."""
        return self.pressures.get(line, 0.0)

    def flow(self, part: str, port: str) -> float:
        """Return the flow written for a port."""
        return self.flows.get((part, port), 0.0)

    def stream(self, part: str, name: str) -> float:
        """Return the flow written for a stream."""
        return self.flows.get((part, name), 0.0)

    def place(self, line: str) -> float:
        """Return the one extension of all rods."""
        return self.extension

    def speed(self, line: str) -> float:
        """Return the rods' speed; shafts turn at 60 r/min."""
        return self.rod_speed if self.rig.lines[line].kind is Kind.ROD else 6.2832

    def state(self, part: str, name: str) -> float:
        """Return the spool's place, which is the lever's; other states are 0."""
        return self.lever if name == "spool" else 0.0

    def control(self, part: str, name: str) -> float:
        """Return the lever."""
        return self.lever if name == "lever" else 0.0

    def value(self, part: str, name: str) -> float:
        """Return areas that open from 17 % and close the bypass at 72 % of travel, and the load's force."""
        full = self.rig.parts["1V1"].value("neutral_area")
        areas = {
            "bypass_area": max(0.0, 1 - abs(self.lever) / 0.72),
            "P_A_area": max(0.0, self.lever - 0.17),
            "B_T_area": max(0.0, self.lever - 0.17),
            "P_B_area": max(0.0, -self.lever - 0.17),
            "A_T_area": max(0.0, -self.lever - 0.17),
        }
        return {"opening": self.opening, "force": 2500.0}.get(name, full * areas.get(name, 0.0))

    def parameter(self, part: str, name: str) -> float:
        """Return the rig's number."""
        return self.rig.parts[part].value(name)

    def skin(self, part: str) -> float:
        """Return the oil's temperature."""
        return self.temperature


def lifting(rig: Rig) -> HandMade:
    """Return the bench lifting at full lever: 0.6 L/min to the cap end, 0.36 L/min back."""
    q = 1e-5
    flows = {
        ("0P1", "P"): -q, ("0P1", "S"): q, ("1V1", "P"): q, ("1V1", "A"): -q, ("1A1", "A"): q,
        ("1A1", "B"): -0.6 * q, ("1V1", "B"): 0.6 * q, ("1V1", "T"): -0.6 * q, ("0Z2", "1"): 0.6 * q,
        ("0Z2", "2"): -0.6 * q, ("1V1", "P_to_A"): q, ("1V1", "B_to_T"): 0.6 * q,
    }  # fmt: skip
    return HandMade(rig, 1.0, {"P1": 24.8e5, "A1": 22.8e5, "B1": 0.5e5}, flows, rod_speed=0.008)
