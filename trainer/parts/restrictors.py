"""Flow valves and check valves: what oil passes on its way."""

from __future__ import annotations

import math

import casadi as ca

from trainer.parts.laws import check, edge_laminar, sqrt_flow
from trainer.parts.part import At, Control, Expr, Kind, Law, Loss, Parameter, Part, Stream
from trainer.parts.roles import Check, Restrictor

__all__ = ["SCREW", "CheckValve", "Orifice", "Throttle"]

OIL = Kind.OIL
SCREW = 100.0  # laminar number of a throttle's long notch


def _edge(at: At, area: Expr) -> Expr:
    return at.discharge * area * math.sqrt(2) / ca.sqrt(at.oil.density)


class CheckValve(Part):
    """Oil passes from 1 to 2 above the cracking pressure and hardly at all the other way."""

    ports = {"1": OIL, "2": OIL}
    symbol = "check"
    letter = "V"
    role = Check()
    area = Parameter("40 mm2", low="0.5 mm2", high="1000 mm2", meaning="area when fully open")
    cracking = Parameter("0.5 bar", low="0.05 bar", high="10 bar", meaning="pressure at which it begins to open")
    full = Parameter("1 bar", low="0.1 bar", high="10 bar", meaning="further rise until it is fully open")
    discharge = Parameter("0.7", low="0.5", high="1", meaning="discharge coefficient")
    leakage = Parameter("1e-14 m3/s/Pa", low="0 m3/s/Pa", high="1e-10 m3/s/Pa", meaning="leak either way")
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil on each side", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the check's law: sqrt-flow one way, a leak the other."""
        drop = at.p["1"] - at.p["2"]
        flow = _edge(at, at.area) * check(drop, at.cracking, at.full) + at.leakage * drop
        return Law(
            streams={"through": Stream("1", "2", flow, Loss.LINES)},
            volume={"1": at.gallery, "2": at.gallery},
            readings={"flow": (flow, "flow")},
        )


class Orifice(Part):
    """A sharp-edged hole: flow goes with the root of the drop; viscosity hardly matters."""

    ports = {"1": OIL, "2": OIL}
    symbol = "orifice"
    letter = "V"
    role = Restrictor()
    diameter = Parameter("2 mm", low="0.1 mm", high="60 mm", meaning="diameter of the hole")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    transition = Parameter("0.05 bar", low="1e-4 bar", high="1 bar", meaning="drop below which it is laminar")
    gallery = Parameter("2 cm3", low="0.1 cm3", high="1 L", meaning="oil on each side", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the orifice's law."""
        flow = _edge(at, math.pi * at.diameter * at.diameter / 4) * sqrt_flow(at.p["1"] - at.p["2"], at.transition)
        return Law(
            streams={"through": Stream("1", "2", flow, Loss.METERING)},
            volume={"1": at.gallery, "2": at.gallery},
            readings={"flow": (flow, "flow")},
        )


class Throttle(Part):
    """An orifice that a hand opens: flow control by a screw; the less it is open, the more it feels viscosity."""

    ports = {"1": OIL, "2": OIL}
    symbol = "throttle"
    letter = "V"
    role = Restrictor()
    opening = Control("1", low="0", high="1", meaning="how far it is opened", ends=("shut", "open"))
    area = Parameter("10 mm2", low="0.1 mm2", high="1000 mm2", meaning="area when fully open")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    leakage = Parameter("1e-14 m3/s/Pa", low="0 m3/s/Pa", high="1e-10 m3/s/Pa", meaning="leak when shut")
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil on each side", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the throttle's law; the opening is held in 0 … 1."""
        open_ = ca.fmin(ca.fmax(at.opening, 0), 1)
        drop = at.p["1"] - at.p["2"]
        area = at.area * open_
        flow = _edge(at, area) * sqrt_flow(drop, edge_laminar(area, at.oil, at.discharge, SCREW)) + at.leakage * drop
        return Law(
            streams={"through": Stream("1", "2", flow, Loss.METERING)},
            volume={"1": at.gallery, "2": at.gallery},
            readings={"flow": (flow, "flow")},
        )
