"""Conduits: hose and return filter."""

from __future__ import annotations

import math

import casadi as ca

from trainer.parts.laws import check, quadratic_root, smooth_abs
from trainer.parts.part import At, Expr, Kind, Law, Loss, Parameter, Part, Stream
from trainer.parts.pipe_law import pipe_flow
from trainer.parts.roles import Conduit
from trainer.units import GRAVITY

__all__ = ["Cooler", "Hose", "ReturnFilter"]

OIL = Kind.OIL


class Hose(Part):
    """A hose or pipe between two lines: its oil, its soft wall, its drop, laminar or turbulent, and its fittings."""

    ports = {"1": OIL, "2": OIL}
    symbol = "hose"
    letter = "Z"
    role = Conduit(hose=True)
    length = Parameter("2 m", low="0.05 m", high="100 m", meaning="length", at_rest=True)
    bore = Parameter("12.7 mm", low="3 mm", high="80 mm", meaning="inside diameter", at_rest=True)
    stiffness = Parameter("400 MPa", low="50 MPa", high="200 GPa", meaning="stiffness of the wall", at_rest=True)
    roughness = Parameter("0 mm", low="0 mm", high="2 mm", meaning="roughness of the wall; drawn tube is smooth")
    fittings = Parameter("0", low="0", high="1000", meaning="sum of the K-factors of its fittings and bends")
    height = Parameter("0 m", low="-50 m", high="50 m", meaning="end 2 above end 1")

    def equations(self, at: At) -> Law:
        """Return the hose's law: half its volume and compliance at each end, the drop between."""
        lift = at.oil.density * GRAVITY * at.height
        drop = at.p["1"] - at.p["2"] - lift / _swollen(at)
        flow = pipe_flow(drop, at.length, at.bore, at.oil.density, at.oil.viscosity, at.roughness, at.fittings)
        half = math.pi * at.bore * at.bore / 8 * at.length
        return Law(
            streams={"through": Stream("1", "2", flow, Loss.LINES, raised=lift)},
            supply={"height": -lift * flow},
            volume={"1": half, "2": half},
            compliance={"1": half / at.stiffness, "2": half / at.stiffness},
            readings={"flow": (flow, "flow"), "drop": (drop, "pressure")},
        )


def _swollen(at: At) -> Expr:
    """Return the mean volume from 1 to 2 of what is 1 m3 at tank pressure."""
    drop, little = at.p["1"] - at.p["2"], 10.0  # Pa, below which both ends are as good as one
    fall, ends = at.h["1"] - at.h["2"], (at.w["1"] + at.w["2"]) / 2
    return (fall * drop + ends * little * little) / (drop * drop + little * little)


def _mixed(fall: Expr, drop: Expr, rated: Expr, viscosity: Expr) -> Expr:
    """Return the flow that falls by ``drop`` at rated flow and 35 mPa s: half of it laminar, half turbulent."""
    return quadratic_root(fall, 0.5 * drop / rated * viscosity / 0.035, 0.5 * drop / (rated * rated))


class ReturnFilter(Part):
    """A filter in the return: its drop grows with flow, viscosity and dirt until the bypass opens."""

    ports = {"1": OIL, "2": OIL}
    symbol = "filter_bypass"
    letter = "Z"
    role = Conduit()
    rated_flow = Parameter(
        "40 L/min", low="0.05 L/min", high="2000 L/min", meaning="flow of the clean drop", follows="pump flow"
    )
    clean_drop = Parameter("0.5 bar", low="0.01 bar", high="5 bar", meaning="drop when clean, at 35 mPa s")
    clogging = Parameter("0 %", low="0 %", high="97 %", meaning="share of the element that is blocked")
    bypass = Parameter("1.7 bar", low="0.3 bar", high="7 bar", meaning="drop at which the bypass opens")
    gallery = Parameter("200 cm3", low="5 cm3", high="20 L", meaning="oil in the housing, each side", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the filter's law: half the clean drop laminar, half turbulent; the bypass is a check.

        What is left open passes the flow faster: the laminar half grows with 1/open, the other with its square.
        """
        drop = at.p["1"] - at.p["2"]
        open_ = 1 - at.clogging
        through = _mixed(drop, at.clean_drop, at.rated_flow * open_, at.oil.viscosity)
        free = at.rated_flow / ca.sqrt(at.bypass + 1e5)  # passes the rated flow at 1 bar above its setting
        past = free * check(drop, at.bypass, 0.5e5)
        return Law(
            streams={
                "element": Stream("1", "2", through, Loss.LINES),
                "bypass": Stream("1", "2", past, Loss.LINES),
            },
            volume={"1": at.gallery, "2": at.gallery},
            readings={
                "drop": (drop, "pressure"),
                "flow": (through + past, "flow"),
            },
        )


class Cooler(Part):
    """A cooler in the return: a small drop, and heat given to the air in proportion to the oil's excess."""

    ports = {"1": OIL, "2": OIL}
    symbol = "cooler"
    letter = "Z"
    role = Conduit()
    rated_flow = Parameter(
        "40 L/min", low="0.05 L/min", high="2000 L/min", meaning="flow of the rated drop", follows="pump flow"
    )
    drop = Parameter("0.4 bar", low="0.01 bar", high="5 bar", meaning="drop at rated flow, at 35 mPa s")
    cooling = Parameter("60 W/K", low="0 W/K", high="2000 W/K", meaning="heat given off per kelvin above the air")
    ambient = Parameter("20 C", low="-40 C", high="50 C", meaning="temperature of the air")
    gallery = Parameter("300 cm3", low="5 cm3", high="20 L", meaning="oil on each side", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the cooler's law: half the drop laminar, half turbulent; cooling fades with the flow."""
        fall = at.p["1"] - at.p["2"]
        flow = _mixed(fall, at.drop, at.rated_flow, at.oil.viscosity)
        through = smooth_abs(flow, 1e-3 * at.rated_flow) / at.rated_flow
        shed = at.cooling * (at.oil.temperature - at.ambient) * through / (through + 0.2) * 1.2
        return Law(
            streams={"through": Stream("1", "2", flow, Loss.LINES)},
            volume={"1": at.gallery, "2": at.gallery},
            readings={"drop": (fall, "pressure"), "flow": (flow, "flow"), "heat to the air": (shed, "power")},
        )
