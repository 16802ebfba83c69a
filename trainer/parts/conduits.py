"""Conduits: hose, filters and cooler."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import casadi as ca

from trainer.formula import Term, Working
from trainer.language import mark, tr
from trainer.parts.laws import RATED_VISCOSITY, check, clip, quadratic_root, ramp, smooth_abs, spilt
from trainer.parts.part import At, Expr, Heat, Kind, Law, Loss, Parameter, Part, Stream, Wear
from trainer.parts.pipe_law import LAMINAR, ROUGHEST, TURBULENT, pipe_flow
from trainer.parts.plain import Plain
from trainer.parts.roles import Conduit
from trainer.parts.sheet import COOLING, EDGE, PERCENT, Sheet
from trainer.parts.workings import BORE, edge, heat, lost, velocity
from trainer.units import GRAVITY, PLAIN, pair

__all__ = ["Cooler", "Hose", "ReturnFilter", "SuctionStrainer"]

OIL = Kind.OIL
_FULL, _WIDE = 0.5e5, 1e5  # Pa above its setting: where a bypass is open, and where it passes the rated flow
_EASY = 0.1e5  # Pa above its setting: where the bypass of a strainer is open
_BENT = 5e3  # Pa, below which the law of an element is bent so that it stays smooth at zero
_LONG = pair("m", 2, "ft", 2)
_FALL = pair("bar", 3, "psi", 2)
_ROUND = 1.07  # Kármán numbers so near the ends of a law belong to its rounded end
_RATE = pair("", 0, "", 0)
_LIFTS, _TIGHTEST = 2e4, 0.99  # Pa over which a torn lining swings across; share of a bore that is never closed


class Hose(Part):
    """A hose or pipe between two lines: its oil, its soft wall, its drop, laminar or turbulent, and its fittings."""

    ports = {"1": OIL, "2": OIL}
    symbol = "hose"
    plate = ("Ø{bore}",)
    letter = "Z"
    plain = Plain(
        mark("Hose line"),
        does=mark("It leads oil to parts that move, and takes some of the sting out of pressure blows."),
        works=mark(
            "Oil rubs along the wall, so pressure falls along it: slowly flowing oil with the flow, fast oil "
            "with nearly its square, cold oil more than warm. Fittings and bends each take a share of the "
            "flow's own energy. The wall gives a little and stores oil."
        ),
        set=mark(
            "The bore is chosen by the speed of the oil: a narrow hose costs pressure all day, a wide one "
            "costs money once. Half the bore asks for far more than twice the pressure. Length and the number"
            " of bends add up."
        ),
        law=mark(
            "Drop = ( λ · L / d + ζ ) · ρ · v² / 2: laminar λ = 64 / Re after Hagen and Poiseuille, turbulent "
            "after Colebrook (1939), a straight way between Re 2300 and 4000. Its wall gives by its stiffness."
        ),
    )
    role = Conduit(hose=True)
    words = {"through": "through", "height": "height", "spilt": "oil that is lost"}
    spills = {"1": "spilt"}
    length = Parameter("2 m", low="0.05 m", high="100 m", meaning="length", at_rest=True)
    bore = Parameter("12.7 mm", low="3 mm", high="80 mm", meaning="inside diameter", at_rest=True)
    stiffness = Parameter("400 MPa", low="50 MPa", high="200 GPa", meaning="stiffness of the wall", at_rest=True)
    roughness = Parameter("0 mm", low="0 mm", high="2 mm", meaning="roughness of the wall; drawn tube is smooth")
    fittings = Parameter("0", low="0", high="1000", meaning="sum of the K-factors of its fittings and bends")
    height = Parameter("0 m", low="-50 m", high="50 m", meaning="end 2 above end 1")
    kink = Wear(
        "0 %",
        mild="70 %",
        marginal="88 %",
        failed="97 %",
        notice="it has become slow, and something hums and gets hot",
        meaning="share of its bore that a kink closes",
    )
    flap = Wear(
        "0 %",
        mild="70 %",
        marginal="88 %",
        failed="97 %",
        notice="it is slow one way only, and nothing is to be seen from outside",
        meaning="share of its bore that a torn lining closes to oil from 1 to 2",
    )
    burst = Wear(
        "0 mm2",
        mild="0.02 mm2",
        marginal="0.3 mm2",
        failed="20 mm2",
        notice="there is oil under the machine, and it has to be topped up",
        meaning="hole at its end 1 through which oil is lost",
    )

    def equations(self, at: At) -> Law:
        """Return the hose's law: half its volume and compliance at each end, the drop between."""
        lift = at.oil.density * GRAVITY * at.height
        drop = at.p["1"] - at.p["2"] - lift / _swollen(at)
        fittings = at.fittings + _narrowed(at.kink) + _narrowed(at.flap) * ramp(0.5 + drop / _LIFTS)
        flow = pipe_flow(drop, at.length, at.bore, at.oil.density, at.oil.viscosity, at.roughness, fittings)
        half = math.pi * at.bore * at.bore / 8 * at.length
        loss = spilt(at.p["1"], at.burst, at.oil)
        return Law(
            into={"1": loss},
            streams={"through": Stream("1", "2", flow, Loss.LINES, raised=lift)},
            heat={"spilt": Heat(loss * at.h["1"], Loss.LEAKAGE, dry=True)},
            supply={"height": -lift * flow},
            volume={"1": half, "2": half},
            compliance={"1": half / at.stiffness, "2": half / at.stiffness},
            readings={
                "flow": (flow, "flow"),
                "drop": (drop, "pressure"),
                "fittings": (fittings, "ratio"),
                "spilt": (loss, "flow"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield what is lost, velocity, Reynolds number, drop, friction factor, height and heat of a hose."""
        yield from lost(at, at.at_port("1"), "burst")
        passes = at.passes("through")
        if abs(passes) < 1e-9:
            return
        start, end = ("1", "2") if passes > 0 else ("2", "1")
        flow = at.flow_at(start, abs(passes), source=tr("through the hose"))
        bore = at.parameter("bore")
        speed = velocity(at, at.part, flow, bore)
        yield speed
        v = speed.result
        thin = at.oil.viscosity / at.oil.density
        size = at.term("d", bore, "length", tr("bore"), (), BORE)
        reynolds = at.term("Re", v.value * bore / thin, "ratio", tr("flow against viscosity"), v.refers_to, _RATE)
        yield Working(
            at.part,
            tr("Reynolds number"),
            reynolds,
            (
                flow,
                size,
                at.term(
                    "ν",
                    thin,
                    "viscosity",
                    tr("the oil at {temperature:.0f} °C").format(temperature=at.temperature),
                    (),
                    pair("mm2/s", 1, "mm2/s", 1),
                ),
            ),
            ("Re = 21221 · q / ( d · ν )", "Re = 3163 · q / ( d · ν )"),
        )
        if reynolds.value > 1:
            yield from _pipe_drop(at, at.drop(start, end), v, size, reynolds)
        yield heat(at, "through", tr("Heat of the hose"))


def _pipe_drop(at: Sheet, drop: Term, v: Term, size: Term, reynolds: Term) -> Iterator[Working]:
    """Yield the drop of a hose by Darcy and Weisbach, with fittings and height, and what they come from."""
    length = at.number("L", "length", tr("length"), _LONG)
    losses = abs(at.value("drop"))  # of friction and fittings
    risen = drop.value - losses
    fittings = at.number("ζ", "fittings", tr("fittings and bends, their K-factors"), PLAIN)
    if at.value("fittings") != fittings.value:
        fittings = at.reading("ζ", "fittings", tr("fittings and bends and what narrows it, K-factors"), (), PLAIN)
    friction = (2 * losses / (at.oil.density * v.value**2) - fittings.value) * size.value / length.value
    number = reynolds.value * math.sqrt(friction)  # the law's own measure of where it stands
    if number < LAMINAR / _ROUND:
        law = tr("laminar: 64 / Re")
    else:
        law = tr("turbulent, after Colebrook") if number > TURBULENT * _ROUND else tr("between laminar and turbulent")
    factor = at.term("λ", friction, "ratio", law, v.refers_to, pair("", 4, "", 4))
    terms: tuple[Term, ...] = (factor, length, size)
    if fittings.value > 0:
        terms = (*terms, fittings)
        words = ["( λ · L · 1000 / d + ζ ) · ρ · v² / 200000", "( λ · L · 12 / d + ζ ) · ρ · v² / 9266"]
    else:
        words = ["λ · L · ρ · v² / ( 200 · d )", "λ · L · ρ · v² / ( 772.2 · d )"]
    terms = (*terms, at.density(), v)
    height = at.number("h", "height", tr("its other end is higher by"), _LONG)
    lift = at.term("Δph", abs(risen), "drop", tr("of the height"), drop.refers_to)
    if height.value:
        terms = (*terms, lift)
        words = [f"{one} {'+' if risen > 0 else '−'} Δph" for one in words]
    yield Working(at.part, tr("Drop of the hose"), drop, terms, (f"Δp = {words[0]}", f"Δp = {words[1]}"))
    if number < LAMINAR / _ROUND:
        yield Working(at.part, tr("Friction factor"), factor, (reynolds,), ("λ = 64 / Re",) * 2)
    elif number > TURBULENT * _ROUND:
        rough = min(at.parameter("roughness"), ROUGHEST * size.value)
        roughness = at.term("k", rough, "length", tr("roughness of the wall"), (), pair("mm", 4, "in", 6))
        measure = at.term("K", number, "ratio", tr("Re · √λ, from the drop"), v.refers_to, _RATE)
        inner = "k / ( 3.7 · d ) + 2.51 / K" if rough else "2.51 / K"
        terms = (roughness, size, measure) if rough else (measure,)
        yield Working(at.part, tr("Friction factor"), factor, terms, (f"λ = 1 / ( 2 · lg( {inner} ) )²",) * 2)
    if height.value:
        start, end = ("1", "2") if at.passes("through") > 0 else ("2", "1")
        swollen = at.mean(start, end, 1.0, "w", "").value
        dense = replace(at.density(), value=at.oil.density / swollen, source=tr("the oil in the hose"))
        yield Working(
            at.part, tr("Pressure of the height"), lift, (dense, replace(height, value=abs(height.value))),
            ("Δph = ρ · 9.807 · h / 100000", "Δph = ρ · h / 144"),
        )  # fmt: skip


def _narrowed(closed: Expr) -> Expr:
    """Return the K-factor of a place where a share of the bore is closed.

    1.5 (1 / open - 1)^2: 1.5 half open, 14 a quarter open (gate valves 2.1 and 17 in handbooks, from memory).
    """
    tight = clip(closed, 0, _TIGHTEST)
    lost = tight / (1 - tight)
    return 1.5 * lost * lost


def _swollen(at: At) -> Expr:
    """Return the mean volume from 1 to 2 of what is 1 m3 at tank pressure."""
    drop, little = at.p["1"] - at.p["2"], 10.0  # Pa, below which both ends are as good as one
    fall, ends = at.h["1"] - at.h["2"], (at.w["1"] + at.w["2"]) / 2
    return (fall * drop + ends * little * little) / (drop * drop + little * little)


def _mixed(fall: Expr, drop: Expr, rated: Expr, viscosity: Expr) -> Expr:
    """Return the flow that falls by ``drop`` at rated flow and 35 mPa s: half of it laminar, half turbulent."""
    return quadratic_root(fall, 0.5 * drop / rated * viscosity / RATED_VISCOSITY, 0.5 * drop / (rated * rated))


def _half(at: Sheet, stream: str, rated: Term, drop: float, source: str, name: str) -> Working | None:
    """Return the drop of an element that is half laminar and half turbulent."""
    passes = at.passes(stream)
    if passes < 1e-9:
        return None
    start, end = at.ends(stream)
    found = at.drop(start, end)
    if found.value < _BENT:
        return None
    terms = (
        at.term("Δpr", drop, "drop", source), at.flow_at(start, passes, source=tr("through it")), rated,
        at.viscosity(),
    )  # fmt: skip
    words = "Δp = Δpr · 0.5 · ( q · μ / ( qr · 35 ) + ( q / qr )² )"
    return Working(at.part, name, found, terms, (words, words))


class ReturnFilter(Part):
    """A filter in the return: its drop grows with flow, viscosity and dirt until the bypass opens."""

    ports = {"1": OIL, "2": OIL}
    symbol = "filter_bypass"
    letter = "Z"
    plain = Plain(
        mark("Return-line filter with bypass"),
        does=mark("It holds back the dirt before the oil gets home, so that pump and valves wear less."),
        works=mark(
            "Oil is pressed through fine holes; dirt in them, thick oil and more flow all ask for more "
            "pressure. Where that grows too high a small check opens and lets oil past, dirt and all: better "
            "dirty oil than a burst element."
        ),
        set=mark(
            "Its drop is read warm and at full flow, else it tells little. A high drop cold may be thick oil "
            "alone. When the drop warm nears that of the bypass, the element is due."
        ),
        law=mark(
            "Half of its clean drop grows with flow and viscosity (Darcy), half with the square of the flow, as"
            " makers' curves do (common practice, no source). The bypass is a check that opens over a pressure "
            "of its own."
        ),
    )
    role = Conduit(filters=True)
    words = {"element": "element", "bypass": "bypass"}
    rated_flow = Parameter(
        "40 L/min", low="0.05 L/min", high="2000 L/min", meaning="flow of the clean drop", follows="pump flow"
    )
    clean_drop = Parameter("0.5 bar", low="0.01 bar", high="5 bar", meaning="drop when clean, at 35 mPa s")
    clogging = Wear(
        "0 %",
        mild="50 %",
        marginal="75 %",
        failed="95 %",
        most="97 %",
        notice="pressure in neutral is high, the oil gets hot, and the indicator shows red",
        meaning="share of the element that is blocked",
    )
    bypass = Parameter("1.7 bar", low="0.3 bar", high="7 bar", meaning="drop at which the bypass opens")
    indicates = Parameter("1.2 bar", low="0.1 bar", high="7 bar", meaning="drop at which its indicator is all red")
    gallery = Parameter("200 cm3", low="5 cm3", high="20 L", meaning="oil in the housing, each side", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the filter's law: half the clean drop laminar, half turbulent; the bypass is a check.

        What is left open passes the flow faster: the laminar half grows with 1/open, the other with its square.
        """
        drop = at.p["1"] - at.p["2"]
        clear = at.rated_flow * (1 - at.clogging)
        through = _mixed(drop, at.clean_drop, clear, at.oil.viscosity)
        free = at.rated_flow / ca.sqrt(at.bypass + _WIDE)
        past = free * check(drop, at.bypass, _FULL)
        return Law(
            streams={
                "element": Stream("1", "2", through, Loss.LINES),
                "bypass": Stream("1", "2", past, Loss.LINES),
            },
            volume={"1": at.gallery, "2": at.gallery},
            readings={
                "drop": (drop, "pressure"),
                "flow": (through + past, "flow"),
                "clear_flow": (clear, "flow"),
                "bypass_area": (free * ca.sqrt(at.oil.density / 2), "area"),  # as an edge
                "indicator": (clip(drop / at.indicates, 0, 1), "ratio"),  # 1 is all red
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield drop, heat and bypass of a return filter."""
        clean, clogged = at.parameter("clean_drop"), at.parameter("clogging")
        rated = at.number("qr", "rated_flow", tr("rated flow"))
        open_ = at.reading("qr", "clear_flow", tr("rated flow of what is not blocked"))
        source = tr("at rated flow and 35 mPa·s")
        found = _half(at, "element", open_ if clogged else rated, clean, source, tr("Drop of the filter"))
        if found is not None:
            yield found
        if clogged > 0:
            yield Working(
                at.part, tr("Rated flow of what is not blocked"), open_,
                (replace(rated, letter="qc", source=tr("rated flow, clean")),
                 at.term("c", clogged, "ratio", tr("of it blocked"), (), PERCENT)),
                ("qr = qc · ( 1 − c / 100 )",) * 2,
            )  # fmt: skip
        opens = at.parameter("bypass")
        drop = at.drop("1", "2")
        if drop.value > opens:
            area = at.reading("A", "bypass_area", tr("bypass, fully open, as an edge"), (), EDGE)
            yield from edge(at, "bypass", area, 1.0, cracking=opens, full=_FULL, title=tr("over the bypass"))
        else:
            left = at.term("pl", opens - drop.value, "drop", tr("left until its bypass opens"), drop.refers_to)
            yield Working(at.part, tr("Left until the bypass opens"), left,
                          (at.term("pb", opens, "drop", tr("opens")), drop), ("pl = pb − Δp",) * 2)  # fmt: skip
        if 0 < (red := at.value("indicator")) < 1:
            shown = at.term("s", red, "ratio", tr("of its indicator red"), drop.refers_to, PERCENT)
            whole = at.term("pi", at.parameter("indicates"), "drop", tr("its indicator is all red"))
            note = tr("Cold oil makes it red, too: it counts with warm oil.")
            yield Working(
                at.part, tr("Indicator of the filter"), shown, (drop, whole), ("s = Δp · 100 / pi",) * 2, note
            )
        if (comes := at.comes_to("1")) is not None:
            yield comes
        if abs(at.passes("element")) > 1e-9:
            yield heat(at, "element", tr("Heat of the filter"))


class SuctionStrainer(Part):
    """A coarse screen before the pump: hardly a drop with warm oil, and what starves the pump with cold or dirt.

    A mesh rubs as a pipe does, with viscosity, and through fewer holes the faster; bends and its housing take a share
    with the square. What is missing at the pump's inlet only the air over the tank could push.
    """

    ports = {"1": OIL, "2": OIL}
    symbol = "filter"
    letter = "Z"
    plain = Plain(
        mark("Suction strainer"),
        does=mark("It keeps coarse dirt out of the pump."),
        works=mark(
            "Only the air above the tank pushes oil through it, one bar at the most. Cold oil, a fast pump or a "
            "clogged mesh ask for more than there is: the oil tears, the pump fills in part, growls and wears, and "
            "all functions are slow."
        ),
        set=mark(
            "It is judged by a vacuum gauge at the pump's inlet with warm oil and full speed: some 0.17 bar (5 inHg) "
            "below the air is the usual limit. Slower turning or warmer oil that cures the noise points to the "
            "suction side."
        ),
        law=mark(
            "Most of its clean drop grows with flow and viscosity (Darcy), the rest with the square of the flow, as "
            "makers' curves do (common practice, no source). Its bypass is a check."
        ),
    )
    role = Conduit()
    words = {"mesh": "mesh", "bypass": "bypass"}
    rated_flow = Parameter(
        "40 L/min", low="0.05 L/min", high="2000 L/min", meaning="flow of the clean drop", follows="pump flow"
    )
    clean_drop = Parameter("0.03 bar", low="0.001 bar", high="0.5 bar", meaning="drop when clean, at 35 mPa s")
    turbulent = Parameter("20 %", low="0 %", high="90 %", meaning="share of that drop which goes with the square")
    clogging = Wear(
        "0 %",
        mild="70 %",
        marginal="88 %",
        failed="97 %",
        most="99 %",
        notice="a steady growl from the pump, and all is slow; worse cold and with more speed",
        meaning="share of the mesh that is blocked",
    )
    bypass = Parameter(
        "0.3 bar", low="0.05 bar", high="5 bar", meaning="drop at which its bypass opens; 5 bar is none"
    )
    gallery = Parameter("100 cm3", low="2 cm3", high="5 L", meaning="oil on each side", at_rest=True)

    def equations(self, at: At) -> Law:
        """Return the strainer's law: a mesh, mostly laminar, and a bypass that is a check."""
        fall = at.p["1"] - at.p["2"]
        clear = at.rated_flow * (1 - clip(at.clogging, 0, 0.99))
        thick = at.oil.viscosity / RATED_VISCOSITY
        linear = (1 - at.turbulent) * at.clean_drop / clear * thick
        square = at.turbulent * at.clean_drop / (clear * clear)
        through = quadratic_root(fall, linear, square)
        free = at.rated_flow / ca.sqrt(at.bypass + _WIDE)
        past = free * check(fall, at.bypass, _EASY)
        return Law(
            streams={
                "mesh": Stream("1", "2", through, Loss.LINES), "bypass": Stream("1", "2", past, Loss.LINES),
            },
            volume={"1": at.gallery, "2": at.gallery},
            readings={
                "drop": (fall, "pressure"), "flow": (through + past, "flow"), "clear_flow": (clear, "flow"),
                "bypass_area": (free * ca.sqrt(at.oil.density / 2), "area"),  # as an edge
            },
        )  # fmt: skip

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield drop and heat of the mesh, and what is left until its bypass opens."""
        drop = at.drop("1", "2")
        passes = at.passes("mesh")
        if passes > 1e-9 and drop.value > 0.1 * _BENT:
            terms = (
                at.number("Δpr", "clean_drop", tr("at rated flow and 35 mPa·s"), _FALL),
                at.number("t", "turbulent", tr("of it with the square"), PERCENT),
                at.flow_at("1", passes, source=tr("through the mesh")),
                at.reading("qr", "clear_flow", tr("rated flow of what is not blocked")), at.viscosity(),
            )  # fmt: skip
            words = "Δp = Δpr · ( ( 1 − t / 100 ) · q · μ / ( qr · 35 ) + t / 100 · ( q / qr )² )"
            yield Working(at.part, tr("Drop of the strainer"), drop, terms, (words, words))
        opens = at.parameter("bypass")
        if drop.value > opens:
            area = at.reading("A", "bypass_area", tr("bypass, fully open, as an edge"), (), EDGE)
            yield from edge(at, "bypass", area, 1.0, cracking=opens, full=_EASY, title=tr("over the bypass"))
        else:
            left = at.term("pl", opens - drop.value, "drop", tr("left until its bypass opens"), drop.refers_to)
            yield Working(at.part, tr("Left until the bypass opens"), left,
                          (at.term("pb", opens, "drop", tr("opens")), drop), ("pl = pb − Δp",) * 2)  # fmt: skip
        if abs(passes) > 1e-9:
            yield heat(at, "mesh", tr("Heat of the strainer"))


class Cooler(Part):
    """A cooler in the return: a small drop, and heat given to the air in proportion to the oil's excess."""

    ports = {"1": OIL, "2": OIL}
    symbol = "cooler"
    letter = "Z"
    plain = Plain(
        mark("Cooler"),
        does=mark("It gives the heat of the oil to the air, so that the oil does not get thin."),
        works=mark(
            "The warmer the oil is above the air, the more heat goes over. It finds its balance where it "
            "gives off as much as the machine puts in as loss."
        ),
        set=mark(
            "It is chosen by the kilowatts lost and by how far the oil may be above the air on the hottest "
            "day. More losses at the same cooler mean warmer oil, not more cooling from somewhere."
        ),
        law=mark(
            "Heat to the air = k · ( oil − air ), Newton's law of cooling; k fades with little flow by a curve "
            "of this program. Its drop is half laminar, half turbulent (common practice, no source)."
        ),
    )
    role = Conduit()
    words = {"through": "through"}
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
        works = through / (through + 0.2) * 1.2
        shed = at.cooling * (at.oil.temperature - at.ambient) * works
        return Law(
            streams={"through": Stream("1", "2", flow, Loss.LINES)},
            volume={"1": at.gallery, "2": at.gallery},
            readings={
                "drop": (fall, "pressure"),
                "flow": (flow, "flow"),
                "works": (works, "ratio"),
                "heat_to_air": (shed, "power"),
            },
        )

    @classmethod
    def workings(cls, at: Sheet) -> Iterator[Working]:
        """Yield the heat that a cooler gives to the air, its drop, and the heat of that."""
        passes = abs(at.passes("through"))
        rated = at.number("qr", "rated_flow", tr("rated flow"))
        shed = at.power("Pc", at.value("heat_to_air"), tr("to the air"))
        thousand = "" if at.fine else " / 1000"
        yield Working(
            at.part, tr("Heat that the cooler gives to the air"), shed,
            (
                at.number("k", "cooling", tr("at rated flow"), COOLING),
                at.reading("y", "works", tr("as much of it works at this flow"), (), PLAIN),
                at.warmth("θ", tr("oil")),
                at.number("θa", "ambient", tr("air"), pair("C", 1, "F", 1)),
            ),
            (f"Pc = k · y · ( θ − θa ){thousand}", "Pc = k · y · ( θ − θa ) / ( 60 · 42.41 )"),
        )  # fmt: skip
        found = _half(at, "through", rated, at.parameter("drop"), tr("at rated flow and 35 mPa·s"),
                      tr("Drop of the cooler"))  # fmt: skip
        if found is not None:
            yield found
        if (comes := at.comes_to("1")) is not None:
            yield comes
        if passes > 1e-9:
            yield heat(at, "through", tr("Heat of its drop"))
