"""Pilot control: the lever that makes a pressure of its place, and the section whose spool that pressure moves."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import casadi as ca

from trainer.formula import Working
from trainer.language import mark, tr
from trainer.parts.laws import clip, edge_rate, leak_rate, pos, pos_energy, ramp, smooth_sign, sqrt_flow
from trainer.parts.part import At, Control, Expr, Heat, Kind, Law, Loss, Parameter, Part, Stream, Wear
from trainer.parts.plain import Plain
from trainer.parts.roles import DirectionalValve
from trainer.parts.section import OPEN_CENTRE_WORDS, OpenCentre
from trainer.parts.sheet import EDGE, PERCENT, Sheet
from trainer.parts.workings import edge, gap
from trainer.units import PLAIN

__all__ = ["PilotLever", "PilotOperatedSection"]

OIL = Kind.OIL
_STEP = 0.02  # of the lever, over which its pressure comes up to where it begins
_SIDES = (("A", 1), ("B", -1))
_STIFF, _WIDTH = 200.0, 0.01  # of a spool's stop: times the spring per travel; over what share it is rounded


class PilotLever(Part):
    """One axis of a pilot control: two small reducing and relieving valves, pressed by one lever.

    The lever's place is a spring's force on either valve, and so a pressure at A or B: nothing for its play, then at
    once where it begins, then in a straight line to its end (maker's usual curve, from memory). What the port has
    too much goes to T.
    """

    ports = {"P": OIL, "T": OIL, "A": OIL, "B": OIL}
    signals = ("P", "T", "A", "B")
    symbol = "pilot_lever"
    plate = ("{begins.} – {ends_at}",)
    letter = "V"
    plain = Plain(
        mark("Pilot control lever"),
        does=mark("A light lever gives a small oil pressure that moves a big spool somewhere else."),
        works=mark(
            "Pushed, its plate presses a spring down on a tiny reducing valve. That lets pilot oil into the line "
            "until the line's pressure lifts it against the spring: more push, more pressure. Let go, the line "
            "empties to the tank and the big spool's own springs bring it home."
        ),
        set=mark(
            "It wants a pilot supply of some 30 bar and a return that is free. A gauge in the pilot line is the "
            "first test: full lever must give full pilot pressure. If it does, look at the spool; if not, at the "
            "lever's valve or its supply."
        ),
        law=mark(
            "Its place is a spring's force: pilot pressure rises in a straight line from where it begins to its "
            "end; either valve opens by what is wanting or too much (as common practice has it)."
        ),
    )
    role = DirectionalValve(gallery=("", ""), spool="", neutral="whole", opened=("P_A_area", "P_B_area"))
    called = "pilot lever"
    words = {"P_to_A": "P to A", "P_to_B": "P to B", "A_to_T": "A to T", "B_to_T": "B to T", "leak": "leak at P"}
    lever = Control("0", low="-1", high="1", meaning="lever; + presses A, - presses B", ends=("lower", "lift"))
    begins = Parameter("5 bar", low="0.5 bar", high="30 bar", meaning="pilot pressure at which it begins")
    ends_at = Parameter("22 bar", low="5 bar", high="60 bar", meaning="pilot pressure with the lever at its end")
    play = Parameter("6 %", low="1 %", high="30 %", meaning="of the lever, until it begins")
    rise = Parameter("1 bar", low="0.1 bar", high="5 bar", meaning="pressure by which its valves open whole")
    area = Parameter("4 mm2", low="0.2 mm2", high="50 mm2", meaning="its valves, whole open")
    discharge = Parameter("0.65", low="0.5", high="1", meaning="discharge coefficient")
    detent = Parameter(
        "110 %",
        low="50 %",
        high="110 %",
        meaning="how far out a magnet holds the lever: above 100 % none",
        at_rest=True,
    )
    leakage = Parameter("1e-14 m3/s/Pa", low="0 m3/s/Pa", high="1e-12 m3/s/Pa", meaning="leak P to T at 35 mPa s")
    weak = Wear(
        "0 %",
        mild="10 %",
        marginal="25 %",
        failed="70 %",
        notice="one way it is slow, however far the lever is pushed",
        meaning="share of the pressure that the valve of A does not give",
    )
    gallery = Parameter("3 cm3", low="0.5 cm3", high="200 cm3", meaning="oil in each room", at_rest=True)

    @classmethod
    def objections(cls, value: Callable[[str], float]) -> list[str]:
        """Return that it ends below where it begins."""
        return [tr("it has to end above where it begins")] if value("ends_at") <= value("begins") else []

    def equations(self, at: At) -> Law:
        """Return the law of two reducing and relieving valves."""
        rate, p = edge_rate(1.0, at.discharge, at.oil), at.p
        law = Law(volume=dict.fromkeys(("P", "T", "A", "B"), at.gallery), readings={"whole": (at.area, "area")})
        for port, way in _SIDES:
            pushed = way * at.lever
            beyond = (pushed - at.play) / (1 - at.play)
            asked = at.begins * ramp((pushed - at.play) / _STEP) + (at.ends_at - at.begins) * pos(beyond, 0.01)
            if port == "A":
                asked = asked * (1 - clip(at.weak, 0, 1))
            lacks = asked + p["T"] - p[port]
            feed = at.area * ramp(lacks / at.rise)
            home = at.area * ramp(-lacks / at.rise)
            law.streams |= {
                f"P_to_{port}": Stream("P", port, rate * feed * sqrt_flow(p.P - p[port]), Loss.METERING),
                f"{port}_to_T": Stream(port, "T", rate * home * sqrt_flow(p[port] - p["T"]), Loss.METERING),
            }
            law.readings |= {
                f"asked_{port}": (asked, "pressure"), f"P_{port}_area": (feed, "area"),
                f"{port}_T_area": (home, "area"),
            }  # fmt: skip
        leak = leak_rate(at.leakage, at.oil.viscosity) * (p.P - p["T"])
        law.streams["leak"] = Stream("P", "T", leak, Loss.LEAKAGE)
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the pressure that the lever asks for, what is wanting, and what its valves pass."""
        lever = at.control("lever")
        for port, way in _SIDES:
            pushed = way * lever
            play = at.parameter("play")
            if pushed <= play + _STEP or at.value(f"asked_{port}") <= 0:
                continue
            weak = at.parameter("weak") if port == "A" else 0.0
            asked = at.reading("pa", f"asked_{port}", tr("asked for by the lever"))
            share = at.term("s", pushed, "ratio", tr("of the lever"), (), PERCENT)
            terms = (
                at.number("pb", "begins", tr("where it begins")), at.number("pe", "ends_at", tr("at its end")), share,
                at.term("u", play, "ratio", tr("its play"), (), PERCENT),
                at.term("k", 1 - weak, "ratio", tr("of it that comes"), (), PLAIN),
            )  # fmt: skip
            yield Working(
                at.part, tr("Pilot pressure asked for at {port}").format(port=port), asked, terms,
                ("pa = ( pb + ( pe − pb ) · ( s − u ) / ( 100 − u ) ) · k",) * 2,
            )  # fmt: skip
        discharge = at.parameter("discharge")
        for port, _ in _SIDES:
            for stream, name in ((f"P_to_{port}", f"P_{port}_area"), (f"{port}_to_T", f"{port}_T_area")):
                yield from edge(at, stream, at.reading("A", name, tr("opening of its valve"), (), EDGE), discharge)
        yield from gap(at, "leak")


class PilotOperatedSection(OpenCentre, Part):
    """An open-centre section whose spool is moved by pilot pressure: at XA towards A, at XB towards B.

    The spool goes as far as the difference of the pilot pressures presses its centring springs together: from where
    they give to full stroke in a straight line. Its pistons sweep oil, which a narrow pilot line lets in slowly.
    """

    ports = {"C": OIL, "C1": OIL, "P": OIL, "A": OIL, "B": OIL, "T": OIL, "XA": OIL, "XB": OIL}
    port_names = {"XA": mark("pilot to A"), "XB": mark("pilot to B")}
    signals = ("XA", "XB")
    symbol = "section_piloted"
    letter = "V"
    plain = Plain(
        mark("Directional control valve section, pilot-operated"),
        does=mark("A big spool that no hand could move finely: a small pilot pressure pushes it instead."),
        works=mark(
            "On each end of the spool sits a cap with a spring. Pilot oil in one cap pushes the spool until the "
            "other spring balances it: half the pressure range, half the stroke. Without pilot pressure the springs "
            "bring it home, whatever flows through it."
        ),
        set=mark(
            "Its springs must begin a little above the pressure at which the pilot lever begins and be at full "
            "stroke a little below where that ends. If a function is dead, measure the pilot pressure at the cap "
            "first: it tells valve from lever."
        ),
        law=mark(
            "The difference of the pilot pressures against two springs in preload: in a straight line from where "
            "they give to full stroke (balance of forces, any textbook). Edges as of any section."
        ),
    )
    role = DirectionalValve(lever="")
    words = OPEN_CENTRE_WORDS | {"springs": "springs of the spool", "stroking": "moving the spool"}
    gives = Parameter("6 bar", low="0.5 bar", high="40 bar", meaning="pilot pressure at which its springs give")
    full = Parameter("20 bar", low="3 bar", high="60 bar", meaning="pilot pressure of full stroke")
    caps = Parameter("2 cm3", low="0.1 cm3", high="100 cm3", meaning="oil that a cap takes for the full stroke")
    hanging = Wear(
        "0 bar",
        mild="1 bar",
        marginal="3 bar",
        failed="12 bar",
        notice="it starts late and with a jump, and comes home late",
        meaning="pilot pressure that friction and dirt on its spool take",
    )

    @classmethod
    def objections(cls, value: Callable[[str], float]) -> list[str]:
        """Return that its full stroke is below where its springs give."""
        return (
            [tr("its full stroke has to be above where its springs give")] if value("full") <= value("gives") else []
        )

    def _resists(self, at: At) -> tuple[Expr, Expr]:
        """Return the pilot pressure [Pa] that springs and stops hold against the spool, and its integral over x."""
        x, slope = at.spool - at.off_centre, at.full - at.gives
        reach = 1 - clip(at.short_travel, 0, 1)
        stop, out, back = _STIFF * at.full, at.spool - reach, -at.spool - reach
        held = at.gives * smooth_sign(x, _WIDTH) + slope * x + stop * (pos(out, _WIDTH) - pos(back, _WIDTH))
        root = ca.sqrt(x * x + _WIDTH * _WIDTH)
        kept = at.gives * root + slope * x * x / 2 + stop * (pos_energy(out, _WIDTH) + pos_energy(back, _WIDTH))
        return held, kept

    def equations(self, at: At) -> Law:
        """Return the law of an open-centre section, and of the spool between its springs and pilot pressures."""
        law = self.open_centre(at)
        held, kept = self._resists(at)
        damp = at.lag * at.full
        pilot = at.p.XA - at.p.XB
        # friction that grows over a spool's speed of a tenth of its travel a second: solved for that speed
        free = (pilot - held) / damp
        dry = at.hanging / damp
        moving = free - dry * smooth_sign(free, 0.05 + dry)
        law.rate["spool"] = moving
        law.volume |= {"XA": (4 + at.spool) * at.caps, "XB": (4 - at.spool) * at.caps}
        law.heat["stroking"] = Heat(at.caps * (pilot - held) * moving, Loss.METERING)
        law.stored["springs"] = at.caps * kept
        law.readings |= {"pilot": (pilot, "pressure"), "held": (held, "pressure")}
        return law

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield what pilot pressure there is and what the springs hold against it, then all of a section."""
        one, other = at.at_port("XA", "pxA"), at.at_port("XB", "pxB")
        pilot = at.value("pilot")
        found = at.term("px", abs(pilot), "pressure", tr("on the spool"), one.refers_to)
        words = "px = pxA − pxB" if pilot >= 0 else "px = pxB − pxA"
        yield Working(at.part, tr("Pilot pressure on the spool"), found, (one, other), (words,) * 2)
        place = abs(at.state("spool"))
        if 0.1 < place < 0.99:
            held = at.term("ph", abs(at.value("held")), "pressure", tr("its springs hold against it"))
            share = at.term("s", place, "ratio", tr("of its stroke"), (), PERCENT)
            gives, full = at.number("pg", "gives", tr("springs give")), at.number("pf", "full", tr("full stroke"))
            rest = at.term(
                "g", abs(at.value("held")) - (full.value - gives.value) * place, "pressure", tr("their preload")
            )
            yield Working(
                at.part, tr("What its springs hold"), held, (rest, full, gives, share),
                ("ph = g + ( pf − pg ) · s / 100",) * 2,
            )  # fmt: skip
        yield from cls.open_centre_workings(at)
