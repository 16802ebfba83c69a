"""What joins and parts lines by hand: shut-off valve and quick coupling."""

from __future__ import annotations

import math
from collections.abc import Iterator

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.laws import clip, edge_rate, leak_rate, ramp, sqrt_flow
from trainer.parts.part import At, Control, Kind, Law, Loss, Parameter, Part, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import CONDUITS, Restrictor
from trainer.parts.sheet import EDGE, PERCENT, Sheet
from trainer.parts.workings import BORE, edge, gap

__all__ = ["QuickCoupling", "ShutOffValve"]

OIL = Kind.OIL
_KNOCK = 2e4  # Pa against a coupling's poppet: over which the flow pushes it along


class ShutOffValve(Part):
    """A ball with a bore, turned by a quarter: open it is a short piece of pipe, shut it leaks next to nothing.

    Half turned it leaves about a quarter of its bore: two circles that overlap (from memory, makers' curves).
    """

    ports = {"1": OIL, "2": OIL}
    symbol = "shutoff"
    plate = ("Ø{bore}",)
    letter = "V"
    plain = Plain(
        mark("Shut-off valve"),
        does=mark("It shuts a line by hand, for work on what lies behind it."),
        works=mark(
            "A ball with a hole sits between two seats; a quarter turn of the handle opens or shuts it. Fully open "
            "it costs hardly any pressure. Shut quickly on moving oil it makes a blow, for all that oil has to stop "
            "at once."
        ),
        set=mark(
            "It stands open or shut: half open it is a throttle that nobody meant, and wears. In a suction line it "
            "wants to be open before the pump turns, in a return before anything moves."
        ),
        law=mark(
            "q = Cd · A · √( 2 Δp / ρ ), after Torricelli; A goes with the square of the turn (makers' curves, from "
            "memory)."
        ),
    )
    role = Restrictor()
    words = {"through": "through", "seat_leak": "leak at the seat"}
    opening = Control("1", low="0", high="1", meaning="how far its handle is turned", ends=("shut", "open"))
    bore = Parameter("13 mm", low="2 mm", high="100 mm", meaning="bore of its ball")
    discharge = Parameter("0.9", low="0.5", high="1", meaning="discharge coefficient of its bore")
    leakage = Wear(
        "1e-16 m3/s/Pa", mild=1000, marginal=1e4, failed=1e5, notice="what it should shut off still moves a little",
        meaning="leak at its seat when shut, at 35 mPa s",
    )  # fmt: skip
    gallery = Parameter("5 cm3", low="0.5 cm3", high="1 L", meaning="oil on each side", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the law of a bore that goes with the square of the turn."""
        turned = clip(at.opening, 0, 1)
        area = math.pi / 4 * at.bore * at.bore * turned * turned
        drop = at.p["1"] - at.p["2"]
        leak = leak_rate(at.leakage, at.oil.viscosity) * drop
        return Law(
            streams={
                "through": Stream("1", "2", edge_rate(area, at.discharge, at.oil) * sqrt_flow(drop), Loss.METERING),
                "seat_leak": Stream("1", "2", leak, Loss.LEAKAGE),
            },
            volume={"1": at.gallery, "2": at.gallery},
            readings={"turned": (turned, "ratio"), "area": (area, "area"), "seat": (at.leakage, "leakage")},
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow, drop and heat, and how far it is open."""
        area = at.reading("A", "area", tr("what its ball leaves open"), (), EDGE)
        yield from edge(at, "through", area, at.parameter("discharge"))
        bore, turned = (
            at.number("d", "bore", tr("of the ball"), BORE),
            at.reading("s", "turned", tr("turned by"), (), PERCENT),
        )
        yield Working(
            at.part, tr("Opening of the ball"), area, (bore, turned), ("A = 0.7854 · d² · ( s / 100 )²",) * 2
        )
        yield from gap(at, "seat_leak")


class QuickCoupling(Part):
    """Two halves with a poppet each, which push each other open when they are joined all the way.

    Not all the way, both poppets stand part open only; and oil that goes from 1 to 2 pushes the far one home.
    """

    ports = {"1": OIL, "2": OIL}
    symbol = "qc_connected"
    plate = ("Ø{bore}",)
    letter = "Z"
    plain = Plain(
        mark("Quick coupling"),
        does=mark(
            "It joins an attachment's hoses to the machine by hand, and keeps oil in and dirt out when parted."
        ),
        works=mark(
            "A small poppet sits in each half. Pushed home, they lift each other off their seats and oil passes; "
            "pulled apart, springs shut both. Pushed in part of the way they leave a slit, and flow one way may shut "
            "it."
        ),
        set=mark(
            "Joined with the pressure off and both halves clean, until the ring clicks. One function slow, gauges "
            "high before it and low behind it: look at the coupling first. A coupling costs some bar even when it is "
            "right."
        ),
        law=mark(
            "q = Cd · A · √( 2 Δp / ρ ), after Torricelli; A falls with what is missing until it clicks, and more "
            "where the flow shuts a poppet: a rule of this program for common practice, no source."
        ),
    )
    role = Restrictor()
    group = CONDUITS
    words = {"through": "through", "seat_leak": "leak at the seats"}
    bore = Parameter("8 mm", low="2 mm", high="60 mm", meaning="bore that its open poppets leave")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    half_in = Wear(
        "0 %", mild="60 %", marginal="85 %", failed="100 %", most="100 %",
        notice="one function is slow or dead, one way more than the other", meaning="what is missing until it clicks",
    )  # fmt: skip
    leakage = Parameter(
        "1e-16 m3/s/Pa", low="0 m3/s/Pa", high="1e-11 m3/s/Pa", meaning="leak when parted, at 35 mPa s"
    )
    gallery = Parameter("5 cm3", low="0.5 cm3", high="1 L", meaning="oil in each half", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the law of two poppets that stand part open, of which flow from 1 to 2 shuts one further."""
        drop = at.p["1"] - at.p["2"]
        slit = 1 - clip(at.half_in, 0, 1)
        pushed = ramp(0.5 + drop / (2 * _KNOCK)) * (1 - slit)  # nothing where it is all the way in
        share = slit * (1 - 0.5 * pushed)
        area = math.pi / 4 * at.bore * at.bore * share
        leak = leak_rate(at.leakage, at.oil.viscosity) * drop
        return Law(
            streams={
                "through": Stream("1", "2", edge_rate(area, at.discharge, at.oil) * sqrt_flow(drop), Loss.LINES),
                "seat_leak": Stream("1", "2", leak, Loss.LEAKAGE),
            },
            volume={"1": at.gallery, "2": at.gallery},
            readings={"share": (share, "ratio"), "area": (area, "area"), "seat": (at.leakage, "leakage")},
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield flow, drop and heat, and how far its poppets stand open."""
        area = at.reading("A", "area", tr("what its poppets leave open"), (), EDGE)
        yield from edge(at, "through", area, at.parameter("discharge"))
        bore, share = (
            at.number("d", "bore", tr("when it is all the way in"), BORE),
            at.reading("s", "share", tr("of it open"), (), PERCENT),
        )
        yield Working(at.part, tr("Opening of the coupling"), area, (bore, share), ("A = 0.7854 · d² · s / 100",) * 2)
        yield from gap(at, "seat_leak")
