"""Workings of what oil passes on its way: hoses, filter, cooler."""

from __future__ import annotations

import math
from collections.abc import Iterator

from trainer.formula import Term, Working
from trainer.parts.laws import pipe_flow
from trainer.rig import Fitted
from trainer.units import Unit
from trainer.working.balances import through
from trainer.working.sheet import BTU, EDGE, PERCENT, PLAIN, VELOCITY, Sheet, pair
from trainer.working.valves import edge, heat

__all__ = ["cooler", "filter_", "hose", "velocity"]

_BORE = pair("mm", 1, "in", 3)
_LONG = pair("m", 2, "ft", 2)
_RATE = pair(Unit("", "ratio", 1.0), 0, Unit("", "ratio", 1.0), 0)


def velocity(at: Sheet, name: str, flow: Term, bore: float, where: str, note: str = "") -> Working:
    """Return the oil's mean velocity in a bore [m]."""
    size = at.term("d", bore, "length", "bore", (), _BORE)
    found = flow.value / (math.pi * bore**2 / 4)
    result = at.term("v", found, "speed", "of the oil", flow.tells, VELOCITY)
    return Working(where, name, result, (flow, size), ("v = 21.22 · q / d²", "v = 0.4085 · q / d²"), note)


def hose(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield velocity, Reynolds number, drop and heat of a hose."""
    id_, now = fitted.id, at.now
    passes = now["passes", id_, "through"]
    if abs(passes) < 1e-9:
        return
    start, end = ("1", "2") if passes > 0 else ("2", "1")
    flow = at.flow_at(id_, start, abs(passes), source="through the hose")
    bore, long = now.parameter(id_, "bore"), now.parameter(id_, "length")
    speed = velocity(at, "Velocity of the oil", flow, bore, id_)
    yield speed
    v = speed.result
    thin = at.oil.viscosity / at.oil.density
    size = at.term("d", bore, "length", "bore", (), _BORE)
    reynolds = at.term("Re", v.value * bore / thin, "ratio", "flow against viscosity", v.tells, _RATE)
    yield Working(
        id_, "Reynolds number", reynolds,
        (flow, size, at.term("ν", thin, "viscosity", f"the oil at {now.temperature:.0f} °C", (), pair(
            "mm2/s", 1, "mm2/s", 1))),
        ("Re = 21221 · q / ( d · ν )", "Re = 3163 · q / ( d · ν )"),
    )  # fmt: skip
    drop = at.drop(id_, start, end)
    length = at.term("L", long, "length", "length", (), _LONG)
    laws = ((774.0, "laminar: 64 / Re"), (2300.0, "between laminar and turbulent"))
    law = next((words for top, words in laws if reynolds.value < top), "turbulent: 0.3164 / Re to the quarter")
    lawful = float(pipe_flow(drop.value, long, bore, at.oil.density, at.oil.viscosity)) / (math.pi * bore**2 / 4)
    friction = drop.value * 2 * bore / (long * at.oil.density * lawful**2)
    factor = at.term("λ", friction, "ratio", law, (), pair(Unit("", "ratio", 1), 4, Unit("", "ratio", 1), 4))
    if reynolds.value > 1:
        yield Working(
            id_, "Drop of the hose", drop, (factor, length, at.density(), v, size),
            ("Δp = λ · L · ρ · v² / ( 200 · d )", "Δp = λ · L · ρ · v² / ( 772.2 · d )"),
        )  # fmt: skip
    yield heat(at, id_, "through", "Heat of the hose")


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
    fall = clean / (1 - clogged) ** 2
    source = "at rated flow and 35 mPa·s" + (", as dirty as it is" if clogged else "")
    found = _half(at, id_, "element", rated, fall, source, "Drop of the filter")
    if found is not None:
        yield found
    if clogged > 0:
        yield Working(
            id_, "Drop of the dirty element", at.term("Δpr", fall, "drop", "at rated flow and 35 mPa·s"),
            (at.term("Δpc", clean, "drop", "clean"), at.term("c", clogged, "ratio", "of it blocked", (), PERCENT)),
            ("Δpr = Δpc / ( 1 − c / 100 )²",) * 2,
        )  # fmt: skip
    opens = now.parameter(id_, "bypass")
    drop = at.drop(id_, "1", "2")
    if drop.value > opens:
        free = rated.value / math.sqrt(opens + 1e5)  # flow over root of the drop, fully open
        area = at.term("A", free * math.sqrt(at.oil.density / 2), "area", "bypass, fully open, as an edge", (), EDGE)
        yield from edge(at, id_, "bypass", area, 1.0, cracking=opens, full=0.5e5, title="over the bypass")
    else:
        left = at.term("pl", opens - drop.value, "drop", "left until its bypass opens", drop.tells)
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
    cooling = pair(Unit("W/°C", "heat transfer", 1.0), 1, Unit("Btu/h·°F", "heat transfer", BTU * 9 / 5 / 3600), 1)
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
