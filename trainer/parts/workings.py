"""Workings that several parts have: of edges, poppets, gaps, bores and shafts."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from trainer.formula import Term, Working
from trainer.language import tr
from trainer.parts.laws import LAMINAR, RATED_VISCOSITY, edge_flow, opened, relief_corner
from trainer.parts.sheet import EDGE, LEAK, PERCENT, TRICKLE, VELOCITY, Sheet, Terms
from trainer.units import PLAIN, pair

__all__ = [
    "BORE",
    "drive",
    "edge",
    "gap",
    "heat",
    "lost",
    "override",
    "part_open",
    "pump_efficiency",
    "pump_powers",
    "velocity",
    "worn",
]

BORE = pair("mm", 1, "in", 3)
_LEAST = 1e-9  # m3/s
_LIFT = pair("", 4, "", 4)


def edge(
    at: Sheet,
    stream: str,
    area: Term,
    discharge: float,
    *,
    cracking: float | None = None,
    held: float = 0.0,
    full: float = 1e5,
    laminar: float = LAMINAR,
    passage: float = 0.0,
    leak: float = 0.0,
    title: str = "",
) -> Iterator[Working]:
    """Yield flow, drop and heat of an edge with its ``area``; nothing where it is shut.

    ``cracking`` [Pa] and ``full`` where a check stands in its way, a share ``held`` of it open by dirt; ``leak``
    [m3/s Pa] where it never shuts quite,
    ``passage`` [Pa s/m3] where the oil comes through narrow ones.
    """
    start, end = at.ends(stream)
    passes = at.passes(stream)
    if abs(passes) < _LEAST:
        return
    named, title = "" if title else stream, title or at.word(stream)
    if passes < 0:
        start, end, named, title = end, start, "", tr("{title}, backwards").format(title=title)
    drop = at.drop(start, end)
    if drop.value <= 0 or area.value <= 0:
        return
    wide = discharge * area.value * math.sqrt(2 / at.oil.density)
    shape = float(edge_flow(drop.value, wide, laminar, passage)) / (wide * math.sqrt(drop.value))
    coefficient = at.term(
        "Cd", discharge * shape, "ratio", tr("of the edge, less where flow is laminar or passages narrow"), (), PLAIN
    )
    flow = at.flow_at(start, abs(passes), source=title)
    terms: tuple[Term, ...] = (coefficient, area)
    factor, over = "", ""
    if cracking is not None:
        lift = float(opened(drop.value if passes > 0 else -drop.value, cracking, full))
        lift += (1 - lift) * min(held, 1.0)
        if lift < 1.0:
            terms, factor = (*terms, at.term("y", lift, "ratio", tr("its check is part open"), (), PLAIN)), " · y"
    if leak * drop.value > 1e-5 * abs(passes):  # else nobody would see it
        lost = at.term("ql", leak * drop.value, "flow", tr("leaks besides"), drop.refers_to)
        terms, over = (*terms, lost), " + ql"
    terms = (*terms, drop, at.density(), at.gravity())
    yield Working(
        at.part, tr("Flow {title}").format(title=title), flow, terms,
        (f"q = 26.83 · Cd · A{factor} · √( Δp / ρ ){over}", f"q = 37.98 · Cd · A{factor} · √( Δp / SG ){over}"),
        stream=named,
    )  # fmt: skip
    net = "( q − ql )" if over else "q"
    turned = tuple(term for term in terms if term is not drop)
    yield Working(
        at.part, tr("Drop {title}").format(title=title), drop, (flow, *turned),
        (f"Δp = ( {net} / ( 26.83 · Cd · A{factor} ) )² · ρ", f"Δp = ( {net} / ( 37.98 · Cd · A{factor} ) )² · SG"),
        drop_of=named,
    )  # fmt: skip
    yield heat(at, stream, tr("Heat {title}").format(title=title))


def heat(at: Sheet, stream: str, name: str) -> Working:
    """Return the heat of a stream: its drop, less what its height takes, times its flow."""
    start, end = at.ends(stream)
    passes = at.passes(stream)
    drop = at.drop(start, end)
    through = at.mean(start, end, passes, "q", tr("{word}, as it passes").format(word=at.word(stream)))
    if passes < 0:
        drop, through = at.drop(end, start), replace(through, value=-through.value)
    if "height" in at.supplies:
        rubbed = abs(at.value("drop"))
        drop = replace(
            drop, letter="Δpf", value=rubbed, source=tr("friction and fittings of {label}").format(label=at.label())
        )
    return at.hydraulic(name, at.heat(stream), drop, through)


def gap(at: Sheet, stream: str) -> Iterator[Working]:
    """Yield the leak of a stream through a narrow gap, by what it leaks with oil of 35 mPa s."""
    drop, passes = at.drop(*at.ends(stream)), at.passes(stream)
    if passes <= 0 or drop.value < 1e5:
        return
    k = at.term(
        "k",
        passes / drop.value * at.oil.viscosity / RATED_VISCOSITY,
        "leakage",
        tr("gap of the spool, with oil of 35 mPa·s"),
        (),
        LEAK,
    )
    called = at.word(stream)
    result = at.term("ql", passes, "flow", called, drop.refers_to, TRICKLE)
    yield Working(
        at.part, f"{called[:1].upper()}{called[1:]}", result, (k, drop, at.viscosity()),
        ("ql = k · Δp · 35 / μ",) * 2,
    )  # fmt: skip


def lost(at: Sheet, pressure: Term, hole: str) -> Iterator[Working]:
    """Yield the oil that a pressure drives out of the machine through a hole, a parameter."""
    flow, p = at.value("spilt"), pressure.letter
    if flow < _LEAST or pressure.value <= 0:
        return
    area = at.number("A", hole, tr("hole"), EDGE)
    wide = area.value * math.sqrt(2 * pressure.value / at.oil.density)
    number = at.term("Cd", flow / wide, "ratio", tr("of the hole, less where there is hardly pressure"), (), PLAIN)
    yield Working(
        at.part, tr("Oil that is lost"), at.term("ql", flow, "flow", tr("out of the machine"), pressure.refers_to),
        (number, area, pressure, at.density(), at.gravity()),
        (f"ql = 26.83 · Cd · A · √( {p} / ρ )", f"ql = 37.98 · Cd · A · √( {p} / SG )"),
    )  # fmt: skip


def override(at: Sheet, stream: str, cracking: float, full: float, rated: float) -> Iterator[Working]:
    """Yield flow, override and heat of a relief, or what is left until it opens; pressures [Pa], flow [m3/s]."""
    start, end = at.ends(stream)
    drop = at.drop(start, end)
    usual = None if at.fine else pair("bar", 1, "psi", 0)
    drop = at.term("Δp", drop.value, "pressure", drop.source, drop.refers_to, usual)
    cracks = at.term("pc", cracking, "pressure", tr("opens at"))
    flow, called = at.passes(stream), at.word(stream)
    if flow < _LEAST:
        left = at.term("pl", cracking - drop.value, "pressure", tr("until it opens"), drop.refers_to)
        if drop.value >= 0:
            valve = tr("the relief") if stream == "over_relief" else tr("the {called}").format(called=called)
            name = tr("Pressure left until {valve} opens").format(valve=valve)
            yield Working(at.part, name, left, (cracks, drop), ("pl = pc − Δp",) * 2)
        return
    through = at.flow_at(start, flow, source=called)
    wide = at.term("pf", full, "pressure", tr("passes its rated flow"))
    most = at.term("qr", rated, "flow", tr("rated flow"))
    tail = "· √( Δp / pf )"
    if drop.value - cracking > float(relief_corner(cracking, full)):
        words = f"q = qr · ( Δp − pc ) / ( pf − pc ) {tail}"
        terms: tuple[Term, ...] = (most, drop, cracks, wide)
    else:
        lift = flow / rated / math.sqrt(drop.value / full)
        words = f"q = qr · h {tail}"
        terms = (most, at.term("h", lift, "ratio", tr("lift of its poppet: it just cracks"), (), _LIFT), drop, wide)
    ends = at.held(start)
    note = tr("{ends}: the oil goes over the relief.").format(ends=ends) if ends else ""
    yield Working(at.part, tr("Flow {called}").format(called=called), through, terms, (words, words), note, stream)
    risen = at.term("po", drop.value - cracking, "pressure", tr("above cracking"), drop.refers_to)
    if risen.value > 0:
        yield Working(
            at.part, tr("Override: {called}").format(called=called), risen, (drop, cracks), ("po = Δp − pc",) * 2
        )
    yield heat(at, stream, tr("Heat {called}").format(called=called))


def part_open(at: Sheet, reading: str, whole: str) -> Iterator[Working]:
    """Yield an area as the share "opening" of its whole, a parameter."""
    area = at.reading("A", reading, tr("opening"), (), EDGE)
    if area.value > 0:
        share = at.reading("s", "opening", tr("opened by"), (), PERCENT)
        full = at.number("Ao", whole, tr("wide open"), EDGE)
        yield Working(at.part, tr("Opening"), area, (share, full), ("A = s · Ao / 100",) * 2)


def worn(at: Sheet, letter: str, name: str, wear: str, left: str, source: str = "") -> Term:
    """Return a number, or what its ``wear`` has left of it, the reading ``left``."""
    if not at.parameter(wear):
        return at.number(letter, name, source)
    return at.reading(letter, left, source or tr("what is left of it"))


def velocity(at: Terms, where: str, flow: Term, bore: float, note: str = "") -> Working:
    """Return the oil's mean velocity in a bore [m] of ``where``, a part or a line."""
    size = at.term("d", bore, "length", tr("bore"), (), BORE)
    found = flow.value / (math.pi * bore**2 / 4)
    result = at.term("v", found, "speed", tr("of the oil"), flow.refers_to, VELOCITY)
    words = ("v = 21.22 · q / d²", "v = 0.4085 · q / d²")
    return Working(where, tr("Velocity of the oil"), result, (flow, size), words, note)


def drive(at: Sheet, name: str = "") -> tuple[Term, Term, Working]:
    """Return torque and speed of a prime mover, and its power."""
    way = -1 if at.speed_at("shaft") < 0 else 1
    torque = at.term("T", way * at.value("torque"), "torque", tr("on its shaft"))
    speed = at.turns("shaft")
    return torque, speed, at.turning(name or tr("Power on the shaft"), at.value("power"), torque, speed)


def pump_powers(at: Sheet, delivery: Term, torque: Term, turning: Term) -> tuple[Working, Working]:
    """Return the power of the oil that a pump delivers at P, and that on its shaft."""
    pressure = at.at_port("P")
    oil = at.hydraulic(tr("Power of the oil"), pressure.value * delivery.value, pressure, delivery)
    turned = replace(torque, value=-torque.value if at.speed_at("shaft") < 0 else torque.value)
    return oil, at.turning(tr("Power on the shaft"), at.value("power"), turned, turning)


def pump_efficiency(at: Sheet, oil: Working, shaft: Working, drop: Term) -> Iterator[Working]:
    """Yield what share of the shaft's power the oil has, where a pump takes and gives some."""
    paid, oils = shaft.result.value, oil.result.value
    if paid > 1e-3 and oils > 1e-3:
        terms = (
            at.power("Ph", oils, tr("of the oil"), oil.result.refers_to),
            at.power("P", paid, tr("on the shaft"), drop.refers_to),
        )
        result = at.term("η", oils / paid, "ratio", tr("of what the shaft gives"), oil.result.refers_to, PERCENT)
        yield Working(at.part, tr("Efficiency of the pump"), result, terms, ("η = Ph · 100 / P",) * 2)
