"""The cylinder with cushions: oil that has to leave an end through less and less."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.cylinder import Cylinder
from trainer.parts.laws import check, edge_rate, ramp, sqrt_flow, straight_ramp
from trainer.parts.part import At, Expr, Kind, Law, Loss, Parameter, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.sheet import EDGE, Sheet
from trainer.parts.workings import edge
from trainer.units import pair

__all__ = ["CushionedCylinder"]

_DISCHARGE = 0.7  # of a screw's seat, of the gap about a spear
_ENTERS = 0.2  # of the cushion's length, over which a spear finds its bore
_CRACKING, _FULL = 0.5e5, 1e5  # Pa: of the checks that let oil in behind the piston when it starts off


class CushionedCylinder(Cylinder):
    """A double-acting cylinder that brakes itself before both ends.

    There a spear goes into the bore of the port. The oil of that end is left with the taper of the spear, which
    closes towards the end, and a set screw beside it: an orifice in the way of what the piston moves aside (the
    law of every textbook's cushion: p = rho/2 (v a / Cd A)^2, and over its length its work is that of the load's
    motion and of what drives it). A check lets oil in behind the piston at the start.
    """

    inside = {"cap": Kind.OIL, "ring": Kind.OIL}
    rooms = {"A": "cap", "B": "ring"}
    symbol = "cyl_cushion"
    plain = Plain(
        mark("Cylinder with cushions"),
        does=mark("It pushes and pulls, and slows itself down before it meets its ends."),
        works=mark(
            "Shortly before the end a spear shuts the wide way out. What oil is left has to pass a screw and a "
            "gap that gets narrower, so a pressure stands before the piston and brakes it. That pressure is "
            "inside: no gauge on the line shows it."
        ),
        set=mark(
            "The screw is turned with the real load at full speed, from nearly open towards shut, until the "
            "piston comes in without a blow and without creeping. Shut too far, the pressure inside rises far "
            "beyond the relief's; worn, it bangs."
        ),
        law=mark(
            "That of a cylinder; before its ends an orifice, A = screw + taper · way left, with p = ρ / 2 · ( v · "
            "a / Cd / A )². What it takes up is the load's energy and what drives it (textbooks of fluid power)."
        ),
    )
    words = {
        **Cylinder.words,
        "cushion_cap": "through the cushion at the cap end",
        "cushion_ring": "through the cushion at the rod end",
        "check_cap": "past the check into the cap end",
        "check_ring": "past the check into the rod end",
    }
    cushion = Parameter(
        "30 mm", low="5 mm", high="200 mm", meaning="way before an end that is cushioned", at_rest=True
    )
    passage = Parameter("100 mm2", low="5 mm2", high="2000 mm2", meaning="opening of a port before its cushion")
    taper = Parameter("15 mm2", low="0 mm2", high="500 mm2", meaning="gap about a spear where it enters")
    screw_area = Parameter("2 mm2", low="0.05 mm2", high="100 mm2", meaning="opening of the cushions' screws")
    bypass = Wear(
        "0.2 mm2",
        mild=10,
        marginal=40,
        failed=150,
        notice="it bangs into its ends",
        meaning="gap of a worn spear and its seal",
    )
    check_area = Parameter("20 mm2", low="1 mm2", high="500 mm2", meaning="opening of the checks for the start")
    gallery = Parameter("5 cm3", low="1 cm3", high="1 L", meaning="oil in each port", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the cylinder's law with a node at each end, behind its cushion."""
        law = self._law(at, "cap", "ring")
        law.volume |= {"A": at.gallery, "B": at.gallery}
        ways = {"cap": ("A", at.place.rod), "ring": ("B", at.stroke - at.place.rod)}
        for node, (port, left) in ways.items():
            area = self._open(at, left)
            drop = at.p[port] - at.p[node]
            law.streams[f"cushion_{node}"] = Stream(
                port, node, edge_rate(area, _DISCHARGE, at.oil) * sqrt_flow(drop), Loss.METERING
            )
            law.streams[f"check_{node}"] = Stream(
                port,
                node,
                edge_rate(at.check_area, _DISCHARGE, at.oil) * check(drop, _CRACKING, _FULL),
                Loss.METERING,
            )
            law.readings[f"{node}_pressure"] = (at.p[node], "pressure")
            law.readings[f"{node}_open"] = (area, "area")
        return law

    @staticmethod
    def _open(at: At, left: Expr) -> Expr:
        """Return what is open [m2] between an end and its port, with some way ``left`` to that end [m]."""
        share = left / at.cushion
        return at.screw_area + at.bypass + at.taper * straight_ramp(share) + at.passage * ramp((share - 1) / _ENTERS)

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield what every cylinder has, and the way of the oil through the cushions."""
        yield from super().workings(at)
        names = {"cap": tr("opening at the cap end"), "ring": tr("opening at the rod end")}
        for node, name in names.items():
            yield from edge(at, f"cushion_{node}", at.reading("A", f"{node}_open", name, (), EDGE), _DISCHARGE)
        fine = pair("mm", 1, "in", 2)
        out = at.speed_at("rod") >= 0
        place = at.place_at("rod")
        left = at.parameter("stroke") - place if out else place
        begins = at.number("lc", "cushion", tr("cushioned"), fine)
        if 0 < begins.value < left:
            stood = at.term("l", left, "length", tr("left to the end"), (), fine)
            until = at.term("lf", left - begins.value, "length", tr("until the spear enters"), (), fine)
            yield Working(at.part, tr("Way to the cushion"), until, (stood, begins), ("lf = l − lc",) * 2)
