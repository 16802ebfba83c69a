"""Workings of valves: edges and their drops, the relief's override, checks, throttles."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from trainer.formula import Term, Working
from trainer.parts.laws import edge_flow, edge_laminar, ramp
from trainer.parts.restrictors import SCREW
from trainer.parts.roles import Actuator
from trainer.parts.section import LAND, NOTCH
from trainer.rig.names import capital, part_words
from trainer.rig.rig import Fitted
from trainer.units import PLAIN, pair
from trainer.working.sheet import EDGE, LEAK, PERCENT, TRICKLE, Sheet

__all__ = ["check", "drop_of", "edge", "orifice", "relief", "section", "throttle"]

_LAMINAR = 5e3  # Pa: below it an edge is laminar, as ``laws`` has it
_LEAST = 1e-9  # m3/s


def edge(
    at: Sheet,
    id_: str,
    stream: str,
    area: Term,
    discharge: float,
    *,
    cracking: float | None = None,
    full: float = 1e5,
    laminar: float = _LAMINAR,
    passage: float = 0.0,
    leak: float = 0.0,
    title: str = "",
) -> Iterator[Working]:
    """Yield flow, drop and heat of an edge with its ``area``; nothing where it is shut.

    ``cracking`` [Pa] and ``full`` where a check stands in its way, ``leak`` [m3/s Pa] where it never shuts quite,
    ``passage`` [Pa s/m3] where the oil comes through narrow ones.
    """
    now = at.now
    start, end = now.network.models[id_].streams[stream]
    passes = now["passes", id_, stream]
    if abs(passes) < _LEAST:
        return
    title = title or stream
    if passes < 0:
        start, end, title = end, start, f"{title}, backwards"
    drop = at.drop(id_, start, end)
    if drop.value <= 0 or area.value <= 0:
        return
    wide = discharge * area.value * math.sqrt(2 / at.oil.density)
    shape = float(edge_flow(drop.value, wide, laminar, passage)) / (wide * math.sqrt(drop.value))
    coefficient = at.term(
        "Cd", discharge * shape, "ratio", "of the edge, less where flow is laminar or passages narrow", (), PLAIN
    )
    flow = at.flow_at(id_, start, abs(passes), source=title)
    terms: tuple[Term, ...] = (coefficient, area)
    factor, over = "", ""
    if cracking is not None:
        lift = float(ramp((drop.value - cracking) / full))
        if lift < 1.0:
            terms, factor = (*terms, at.term("y", lift, "ratio", "its check is part open", (), PLAIN)), " · y"
    if leak * drop.value > 1e-5 * abs(passes):  # else nobody would see it
        lost = at.term("ql", leak * drop.value, "flow", "leaks besides", drop.refers_to)
        terms, over = (*terms, lost), " + ql"
    terms = (*terms, drop, at.density(), at.gravity())
    yield Working(
        id_, f"Flow {title}", flow, terms,
        (f"q = 26.83 · Cd · A{factor} · √( Δp / ρ ){over}", f"q = 37.98 · Cd · A{factor} · √( Δp / SG ){over}"),
    )  # fmt: skip
    net = "( q − ql )" if over else "q"
    turned = tuple(term for term in terms if term is not drop)
    yield Working(
        id_, f"Drop {title}", drop, (flow, *turned),
        (f"Δp = ( {net} / ( 26.83 · Cd · A{factor} ) )² · ρ", f"Δp = ( {net} / ( 37.98 · Cd · A{factor} ) )² · SG"),
    )  # fmt: skip
    yield heat(at, id_, stream, f"Heat {title}")


def heat(at: Sheet, id_: str, stream: str, name: str) -> Working:
    """Return the heat of a stream: its drop, less what its height takes, times its flow."""
    model = at.now.network.models[id_]
    start, end = model.streams[stream]
    passes = at.now["passes", id_, stream]
    drop = at.drop(id_, start, end)
    through = at.mean(id_, start, end, passes, "q", f"{stream}, as it passes")
    if passes < 0:
        drop, through = at.drop(id_, end, start), replace(through, value=-through.value)
    if "height" in model.supplies:
        rubbed = abs(at.now.value(id_, "drop"))
        drop = replace(drop, letter="Δpf", value=rubbed, source=f"friction and fittings of {at.called(id_)}")
    return at.hydraulic(id_, name, at.now["heat", id_, stream], drop, through)


def drop_of(at: Sheet, id_: str, stream: str, letter: str) -> Term:
    """Return the drop over a part as oil passes it, whichever way."""
    start, end = at.now.network.models[id_].streams[stream]
    if at.now["passes", id_, stream] < 0:
        start, end = end, start
    return at.drop(id_, start, end, letter, f"over {at.called(id_)}: {stream}")


def _leak(at: Sheet, id_: str, stream: str, rate: float) -> Iterator[Working]:
    now = at.now
    start, end = now.network.models[id_].streams[stream]
    drop = at.drop(id_, start, end)
    passes = now["passes", id_, stream]
    if rate <= 0 or drop.value < 1e5:
        return
    k = at.term("k", rate * at.oil.viscosity / 0.035, "leakage", "gap of the spool, with oil of 35 mPa·s", (), LEAK)
    result = at.term("ql", passes, "flow", stream, drop.refers_to, TRICKLE)
    yield Working(
        id_, f"{stream[:1].upper()}{stream[1:]}", result, (k, drop, at.viscosity()), ("ql = k · Δp · 35 / μ",) * 2
    )


def section(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield the edges of a section, its leaks, its port valves, and how far its spool has gone."""
    id_, now = fitted.id, at.now
    areas = {"P to A": "P-A", "P to B": "P-B", "A to T": "A-T", "B to T": "B-T", "past the spool": "bypass"}
    discharge = now.parameter(id_, "discharge")
    size = now.parameter(id_, "rated_flow") / (40e-3 / 60)
    thick = at.oil.viscosity / 0.035
    passage = now.parameter(id_, "passages") / now.parameter(id_, "rated_flow") * thick
    lands = now.parameter(id_, "leakage") * size / thick
    ways = sorted(areas, key=lambda way: (way == "past the spool", -abs(now["passes", id_, way])))
    for way in ways:
        area = at.term("A", now.value(id_, f"{areas[way]} area"), "area", "opening of the edge", (), EDGE)
        cracking = now.parameter(id_, "load_check") if way.startswith("P") else None
        past = way == "past the spool"
        laminar = edge_laminar(area.value, at.oil, discharge, LAND if past else NOTCH)
        yield from edge(
            at, id_, way, area, discharge, cracking=cracking, laminar=laminar,
            passage=0.0 if past else passage, leak=lands if past else 0.0,
        )  # fmt: skip
    place = now.state(id_, "spool")
    fine = pair("mm", 2, "in", 3)
    if abs(place) > 1e-4:
        share = at.term("s", abs(place), "ratio", "of the lever, as far as the spool has followed", (), PERCENT)
        way = "in" if place > 0 else "out"
        travelled = at.term("y", abs(place) * now.parameter(id_, "travel"), "length", f"spool, {way}", (), fine)
        yield Working(
            id_, "Travel of the spool", travelled, (share, at.number("L", id_, "travel", "whole travel", fine)),
            ("y = s · L / 100",) * 2,
        )  # fmt: skip
        band = at.number("yd", id_, "dead_band", "dead band", fine)
        if travelled.value > band.value:
            opened = at.term("x", travelled.value - band.value, "length", "open by", (), fine)
            yield Working(id_, "Travel beyond the dead band", opened, (travelled, band), ("x = y − yd",) * 2)
    for port in ("A", "B"):
        over, fill = f"{port} port relief", f"{port} anti-cavitation"
        if over in now.network.models[id_].streams:
            setting = now.parameter(id_, "port_setting")
            yield from _override(at, id_, over, 0.9 * setting, setting, now.parameter(id_, "rated_flow"))
            hole = at.term("A", 20e-6 * size, "area", "its anti-cavitation check", (), EDGE)
            yield from edge(at, id_, fill, hole, discharge, cracking=2e4)
    for port in ("P", "A", "B"):
        yield from _leak(at, id_, f"leak at {port}", lands)


def _at_end(at: Sheet, start: str, id_: str) -> list[str]:
    """Return the cylinders at an end of their stroke that the pressure before a valve holds there."""
    pressure, found = at.now.pressure(at.line(id_, start)), []
    for other, role in at.rig.having(Actuator).items():
        if role.stroke:
            share = at.now.place(at.line(other, role.output)) / at.now.parameter(other, role.stroke)
            port = role.chambers[0] if share > 0.99 else role.chambers[1] if share < 0.01 else ""
            if port and at.now.pressure(at.line(other, port)) > 0.8 * pressure:
                found.append(other)
    return found


def _override(at: Sheet, id_: str, stream: str, cracking: float, full: float, rated: float) -> Iterator[Working]:
    """Yield flow, override and heat of a relief, or what is left until it opens."""
    now = at.now
    start, end = now.network.models[id_].streams[stream]
    drop = at.drop(id_, start, end)
    usual = None if at.fine else pair("bar", 1, "psi", 0)
    drop = at.term("Δp", drop.value, "pressure", drop.source, drop.refers_to, usual)
    cracks = at.term("pc", cracking, "pressure", "opens at")
    flow = now["passes", id_, stream]
    if flow < _LEAST:
        left = at.term("pl", cracking - drop.value, "pressure", "until it opens", drop.refers_to)
        if drop.value >= 0:
            valve = "the relief" if stream == "over the relief" else f"the {stream}"
            name = f"Pressure left until {valve} opens"
            yield Working(id_, name, left, (cracks, drop), ("pl = pc − Δp",) * 2)
        return
    through = at.flow_at(id_, start, flow, source=stream)
    wide = at.term("pf", full, "pressure", "passes its rated flow")
    most = at.term("qr", rated, "flow", "rated flow")
    corner = min(2e4, cracking / 2, (full - cracking) / 4)
    tail = "· √( Δp / pf )"
    if drop.value - cracking > corner:
        words = f"q = qr · ( Δp − pc ) / ( pf − pc ) {tail}"
        terms: tuple[Term, ...] = (most, drop, cracks, wide)
    else:
        lift = flow / rated / math.sqrt(drop.value / full)
        words = f"q = qr · h {tail}"
        terms = (most, at.term("h", lift, "ratio", "lift of its poppet: it just cracks", (), pair(
            "", 4, "", 4)), drop, wide)  # fmt: skip
    ends = [f"the {part_words(at.rig, other)} stands at the end of its stroke" for other in _at_end(at, start, id_)]
    note = f"{capital(' and '.join(ends))}: the oil goes over the relief." if ends else ""
    yield Working(id_, f"Flow {stream}", through, terms, (words, words), note)
    risen = at.term("po", drop.value - cracking, "pressure", "above cracking", drop.refers_to)
    if risen.value > 0:
        yield Working(id_, f"Override: {stream}", risen, (drop, cracks), ("po = Δp − pc",) * 2)
    yield heat(at, id_, stream, f"Heat {stream}")


def relief(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield flow, override, heat, warming and cracking pressure of a relief valve."""
    id_, now = fitted.id, at.now
    cracking, full = now.value(id_, "cracking"), now.value(id_, "full")
    yield from _override(at, id_, "over the relief", cracking, full, now.parameter(id_, "rated_flow"))
    cracks = at.term("pc", cracking, "pressure", "opens at")
    if fitted.choice("given_by") == "setting":
        share = at.number("o", id_, "override", "override, of the setting", PERCENT)
        setting = at.term("ps", full, "pressure", "setting: passes its rated flow")
        yield Working(id_, "Cracking pressure", cracks, (setting, share), ("pc = ps · ( 1 − o / 100 )",) * 2)
        return
    spring = pair("N/mm", 1, "lbf/in", 0)
    fine, small = pair("mm", 2, "in", 4), pair("cm2", 3, "in2", 4)
    terms = (
        at.number("c", id_, "spring", "spring rate", spring), at.number("y", id_, "preload", "preload", fine),
        at.number("A", id_, "area", "poppet", small),
    )  # fmt: skip
    yield Working(id_, "Cracking pressure", cracks, terms, ("pc = c · y / ( 10 · A )", "pc = c · y / A"))
    lift = at.number("h", id_, "lift", "lift at rated flow", fine)
    yield Working(
        id_, "Pressure at rated flow", at.term("pf", full, "pressure", "passes its rated flow"), (*terms, lift),
        ("pf = c · ( y + h ) / ( 10 · A )", "pf = c · ( y + h ) / A"),
    )  # fmt: skip


def check(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield flow, drop and heat of a check valve, or what holds it shut."""
    id_, now = fitted.id, at.now
    cracking = now.parameter(id_, "cracking")
    area = at.number("A", id_, "area", "fully open", EDGE)
    drop = at.drop(id_, "1", "2")
    if drop.value > cracking:
        yield from edge(
            at, id_, "through", area, now.parameter(id_, "discharge"),
            cracking=cracking, full=now.parameter(id_, "full"), leak=now.parameter(id_, "leakage"),
        )  # fmt: skip
        return
    cracks = at.term("pc", cracking, "drop", "opens")
    left = at.term("pl", cracking - drop.value, "drop", "holds it shut", drop.refers_to)
    one, other = at.at_port(id_, "1", "p1"), at.at_port(id_, "2", "p2")
    yield Working(id_, "What holds it shut", left, (cracks, one, other), ("pl = pc − p1 + p2",) * 2)


def orifice(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield flow, drop, heat and area of an orifice."""
    id_, now = fitted.id, at.now
    hole = now.parameter(id_, "diameter")
    area = at.term("A", math.pi * hole**2 / 4, "area", "hole", (), EDGE)
    laminar = now.parameter(id_, "transition")
    yield from edge(at, id_, "through", area, now.parameter(id_, "discharge"), laminar=laminar)
    diameter = at.number("d", id_, "diameter", "of the hole", pair("mm", 2, "in", 4))
    yield Working(id_, "Area of the hole", area, (diameter,), ("A = 0.7854 · d²",) * 2)


def throttle(at: Sheet, fitted: Fitted) -> Iterator[Working]:
    """Yield flow, drop, heat and area of a throttle."""
    id_, now = fitted.id, at.now
    opened = min(max(now.control(id_, "opening"), 0.0), 1.0)
    area = at.term("A", now.parameter(id_, "area") * opened, "area", "opening", (), EDGE)
    leak, discharge = now.parameter(id_, "leakage"), now.parameter(id_, "discharge")
    laminar = edge_laminar(area.value, at.oil, discharge, SCREW)
    yield from edge(at, id_, "through", area, discharge, laminar=laminar, leak=leak)
    share = at.term("s", opened, "ratio", "opened by", (), PERCENT)
    whole = at.number("Ao", id_, "area", "fully open", EDGE)
    yield Working(id_, "Opening of the throttle", area, (share, whole), ("A = s · Ao / 100",) * 2)
