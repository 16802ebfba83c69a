"""Workings of what oil passes on its way: hoses, filter, cooler."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from trainer.formula import Term, Working
from trainer.parts.pipe_law import LAMINAR, ROUGHEST, TURBULENT
from trainer.rig.rig import Fitted
from trainer.units import PLAIN, pair
from trainer.working.balances import through
from trainer.working.sheet import EDGE, PERCENT, VELOCITY, Sheet
from trainer.working.valves import edge, heat

__all__ = ["cooler", "filter_", "hose", "velocity"]

_BORE = pair("mm", 1, "in", 3)
_LONG = pair("m", 2, "ft", 2)
_ROUND = 1.07  # Kármán numbers so near the ends of a law belong to its rounded end
_RATE = pair("", 0, "", 0)


def velocity(at: Sheet, name: str, flow: Term, bore: float, where: str, note: str = "") -> Working:
    """Return the oil's mean velocity in a bore [m]."""
    size = at.term("d", bore, "length", "bore", (), _BORE)
    found = flow.value / (math.pi * bore**2 / 4)
    result = at.term("v", found, "speed", "of the oil", flow.refers_to, VELOCITY)
    return Working(where, name, result, (flow, size), ("v = 21.22 · q / d²", "v = 0.4085 · q / d²"), note)


def hose(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield velocity, Reynolds number, drop, friction factor, height and heat of a hose."""
    id_, now = fitted.id, at.now
    passes = now["passes", id_, "through"]
    if abs(passes) < 1e-9:
        return
    start, end = ("1", "2") if passes > 0 else ("2", "1")
    flow = at.flow_at(id_, start, abs(passes), source="through the hose")
    bore = now.parameter(id_, "bore")
    speed = velocity(at, "Velocity of the oil", flow, bore, id_)
    yield speed
    v = speed.result
    thin = at.oil.viscosity / at.oil.density
    size = at.term("d", bore, "length", "bore", (), _BORE)
    reynolds = at.term("Re", v.value * bore / thin, "ratio", "flow against viscosity", v.refers_to, _RATE)
    yield Working(
        id_, "Reynolds number", reynolds,
        (flow, size, at.term("ν", thin, "viscosity", f"the oil at {now.temperature:.0f} °C", (), pair(
            "mm2/s", 1, "mm2/s", 1))),
        ("Re = 21221 · q / ( d · ν )", "Re = 3163 · q / ( d · ν )"),
    )  # fmt: skip
    if reynolds.value > 1:
        yield from _pipe_drop(at, id_, at.drop(id_, start, end), v, size, reynolds)
    yield heat(at, id_, "through", "Heat of the hose")


def _pipe_drop(at: Sheet, id_: str, drop: Term, v: Term, size: Term, reynolds: Term) -> Iterator[Working]:
    """Yield the drop of a hose by Darcy and Weisbach, with fittings and height, and what they come from."""
    now = at.now
    length = at.number("L", id_, "length", "length", _LONG)
    losses = abs(now.value(id_, "drop"))  # of friction and fittings
    risen = drop.value - losses
    fittings = at.number("ζ", id_, "fittings", "fittings and bends, their K-factors", PLAIN)
    friction = (2 * losses / (at.oil.density * v.value**2) - fittings.value) * size.value / length.value
    number = reynolds.value * math.sqrt(friction)  # the law's own measure of where it stands
    if number < LAMINAR / _ROUND:
        law = "laminar: 64 / Re"
    else:
        law = "turbulent, after Colebrook" if number > TURBULENT * _ROUND else "between laminar and turbulent"
    factor = at.term("λ", friction, "ratio", law, v.refers_to, pair("", 4, "", 4))
    terms: tuple[Term, ...] = (factor, length, size)
    if fittings.value > 0:
        terms = (*terms, fittings)
        words = ["( λ · L · 1000 / d + ζ ) · ρ · v² / 200000", "( λ · L · 12 / d + ζ ) · ρ · v² / 9266"]
    else:
        words = ["λ · L · ρ · v² / ( 200 · d )", "λ · L · ρ · v² / ( 772.2 · d )"]
    terms = (*terms, at.density(), v)
    height = at.number("h", id_, "height", "its other end is higher by", _LONG)
    lift = at.term("Δph", abs(risen), "drop", "of the height", drop.refers_to)
    if height.value:
        terms = (*terms, lift)
        words = [f"{one} {'+' if risen > 0 else '−'} Δph" for one in words]
    yield Working(id_, "Drop of the hose", drop, terms, (f"Δp = {words[0]}", f"Δp = {words[1]}"))
    if number < LAMINAR / _ROUND:
        yield Working(id_, "Friction factor", factor, (reynolds,), ("λ = 64 / Re",) * 2)
    elif number > TURBULENT * _ROUND:
        rough = min(now.parameter(id_, "roughness"), ROUGHEST * size.value)
        roughness = at.term("k", rough, "length", "roughness of the wall", (), pair("mm", 4, "in", 6))
        measure = at.term("K", number, "ratio", "Re · √λ, from the drop", v.refers_to, _RATE)
        inner = "k / ( 3.7 · d ) + 2.51 / K" if rough else "2.51 / K"
        terms = (roughness, size, measure) if rough else (measure,)
        yield Working(id_, "Friction factor", factor, terms, (f"λ = 1 / ( 2 · lg( {inner} ) )²",) * 2)
    if height.value:
        start, end = ("1", "2") if now["passes", id_, "through"] > 0 else ("2", "1")
        swollen = at.mean(id_, start, end, 1.0, "w", "").value
        dense = replace(at.density(), value=at.oil.density / swollen, source="the oil in the hose")
        yield Working(
            id_, "Pressure of the height", lift, (dense, replace(height, value=abs(height.value))),
            ("Δph = ρ · 9.807 · h / 100000", "Δph = ρ · h / 144"),
        )  # fmt: skip


def _half(at: Sheet, id_: str, stream: str, rated: Term, drop: float, source: str, name: str) -> Working | None:
    """Return the drop of an element that is half laminar and half turbulent."""
    now = at.now
    passes = now["passes", id_, stream]
    if passes < 1e-9:
        return None
    start, end = now.network.models[id_].streams[stream]
    found = at.drop(id_, start, end)
    if found.value < 5e3:
        return None  # below 0.05 bar its law is bent, so that it stays smooth at zero
    terms = (
        at.term("Δpr", drop, "drop", source), at.flow_at(id_, start, passes, source="through it"), rated,
        at.viscosity(),
    )  # fmt: skip
    words = "Δp = Δpr · 0.5 · ( q · μ / ( qr · 35 ) + ( q / qr )² )"
    return Working(id_, name, found, terms, (words, words))


def filter_(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield drop, heat and bypass of a return filter."""
    id_, now = fitted.id, at.now
    clean, clogged = now.parameter(id_, "clean_drop"), now.parameter(id_, "clogging")
    rated = at.number("qr", id_, "rated_flow", "rated flow")
    open_ = replace(rated, value=rated.value * (1 - clogged), source="rated flow of what is not blocked")
    source = "at rated flow and 35 mPa·s"
    found = _half(at, id_, "element", open_ if clogged else rated, clean, source, "Drop of the filter")
    if found is not None:
        yield found
    if clogged > 0:
        yield Working(
            id_, "Rated flow of what is not blocked", open_,
            (replace(rated, letter="qc", source="rated flow, clean"),
             at.term("c", clogged, "ratio", "of it blocked", (), PERCENT)),
            ("qr = qc · ( 1 − c / 100 )",) * 2,
        )  # fmt: skip
    opens = now.parameter(id_, "bypass")
    drop = at.drop(id_, "1", "2")
    if drop.value > opens:
        free = rated.value / math.sqrt(opens + 1e5)  # flow over root of the drop, fully open
        area = at.term("A", free * math.sqrt(at.oil.density / 2), "area", "bypass, fully open, as an edge", (), EDGE)
        yield from edge(at, id_, "bypass", area, 1.0, cracking=opens, full=0.5e5, title="over the bypass")
    else:
        left = at.term("pl", opens - drop.value, "drop", "left until its bypass opens", drop.refers_to)
        yield Working(id_, "Left until the bypass opens", left,
                      (at.term("pb", opens, "drop", "opens"), drop), ("pl = pb − Δp",) * 2)  # fmt: skip
    if (comes := through(at, at.line(id_, "1"), id_, "1")) is not None:
        yield comes
    if abs(now["passes", id_, "element"]) > 1e-9:
        yield heat(at, id_, "element", "Heat of the filter")


def cooler(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield the heat that a cooler gives to the air, its drop, and the heat of that."""
    id_, now = fitted.id, at.now
    passes = abs(now["passes", id_, "through"])
    rated = at.number("qr", id_, "rated_flow", "rated flow")
    share = math.hypot(passes, 1e-3 * rated.value) / rated.value
    cooling = pair("W/C", 1, "Btu/h F", 1)
    shed = at.power("Pc", now.value(id_, "heat to the air"), "to the air")
    thousand = "" if at.fine else " / 1000"
    yield Working(
        id_, "Heat that the cooler gives to the air", shed,
        (
            at.number("k", id_, "cooling", "at rated flow", cooling),
            at.term("y", 1.2 * share / (share + 0.2), "ratio", "as much of it works at this flow", (), PLAIN),
            at.term("θ", now.temperature, "temperature", "oil", (("temperature", at.tank),)),
            at.number("θa", id_, "ambient", "air", pair("C", 1, "F", 1)),
        ),
        (f"Pc = k · y · ( θ − θa ){thousand}", "Pc = k · y · ( θ − θa ) / ( 60 · 42.41 )"),
    )  # fmt: skip
    found = _half(at, id_, "through", rated, now.parameter(id_, "drop"), "at rated flow and 35 mPa·s",
                  "Drop of the cooler")  # fmt: skip
    if found is not None:
        yield found
    if (comes := through(at, at.line(id_, "1"), id_, "1")) is not None:
        yield comes
    if passes > 1e-9:
        yield heat(at, id_, "through", "Heat of its drop")
