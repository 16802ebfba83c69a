"""What spool sections of open and of closed centre have alike: their spool, its wear, port valves, leaks."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.formula import Working
from trainer.language import tr
from trainer.parts.laws import check, clip, opened, relief, sqrt_flow
from trainer.parts.part import At, Control, Expr, Loss, Parameter, State, Stream, Wear
from trainer.parts.roles import NOTCH
from trainer.parts.sheet import EDGE, PERCENT, Sheet
from trainer.parts.workings import edge, gap, override
from trainer.units import pair

__all__ = [
    "LAID_OUT",
    "NOTCHES",
    "SPOOL_WORDS",
    "Levered",
    "Spool",
    "asked",
    "land_workings",
    "lands",
    "load_check",
    "port_valves",
    "through_check",
    "travel_workings",
]

LAID_OUT = 40e-3 / 60  # flow for which edges and checks are laid out [m3/s]
NOTCHES = 100.0  # laminar number of metering notches
_CRACKS = 0.9  # of their setting: where the port reliefs begin to open
_FILLING, _FILLS = 20e-6, 2e4  # anti-cavitation check at 40 L/min: area [m2], and the drop that opens it [Pa]

SPOOL_WORDS = {
    "P_to_A": "P to A", "P_to_B": "P to B", "A_to_T": "A to T", "B_to_T": "B to T", "leak_at_P": "leak at P",
    "leak_at_A": "leak at A", "leak_at_B": "leak at B", "A_port_relief": "A port relief",
    "B_port_relief": "B port relief", "A_anti_cavitation": "A anti-cavitation",
    "B_anti_cavitation": "B anti-cavitation", "A_past_dirt": "past dirt in the A port relief",
    "B_past_dirt": "past dirt in the B port relief",
}  # fmt: skip


class Spool:
    """A section's spool, load check and port valves, and their wear.

    Dirt and a tired spring sit in one port's relief. Leaks of new and worn spools and all
    degrees are common practice, no source.
    """

    called = "section"
    rated_flow = Parameter("40 L/min", low="0.2 L/min", high="400 L/min", meaning="flow it is made for", at_rest=True)
    travel = Parameter("7 mm", low="3 mm", high="15 mm", meaning="spool travel each way", at_rest=True)
    dead_band = Parameter("1.2 mm", low="0.2 mm", high="3 mm", meaning="travel before a work port opens")
    return_share = Parameter(
        "100 %",
        low="10 %",
        high="200 %",
        meaning="area of the edges to T against those from P: less holds a load back",
    )
    neutral_return = Parameter(
        "0 mm2",
        low="0 mm2",
        high="60 mm2",
        meaning="opening from A and from B to T in neutral: none holds, some lets go",
    )
    discharge = Parameter("0.65", low="0.5", high="0.9", meaning="discharge coefficient of the edges")
    load_check = Parameter("1.5 bar", low="0.1 bar", high="10 bar", meaning="cracking pressure of the load check")
    port_setting = Parameter("200 bar", low="10 bar", high="450 bar", meaning="setting of the port reliefs")
    lag = Parameter("30 ms", low="5 ms", high="300 ms", meaning="time by which the spool trails the lever")
    gallery = Parameter("25 cm3", low="2 cm3", high="500 cm3", meaning="oil in each gallery", at_rest=True)
    spool = State("0", nominal="0.1")
    leakage = Wear(
        "3e-14 m3/s/Pa",
        mild=4,
        marginal=15,
        failed=50,
        notice="the load sinks with the lever at rest, and more so when it is hot",
        meaning="leak of each shut land at 35 mPa s and 40 L/min size",
    )
    off_centre = Wear(
        "0 %",
        mild="10 %",
        marginal="25 %",
        failed="60 %",
        notice="it moves with nobody at the lever, and the machine runs hot doing nothing",
        meaning="share of its travel by which the spool stands off its middle, towards A",
    )
    short_travel = Wear(
        "0 %",
        mild="25 %",
        marginal="40 %",
        failed="65 %",
        notice="this one is slow both ways with the lever right over; the others go as ever",
        meaning="share of its travel that linkage or spool no longer make",
    )
    check_held_open = Wear(
        "0 %",
        mild="3 %",
        marginal="15 %",
        failed="100 %",
        notice="the load dips before it lifts",
        meaning="share of the load check that dirt holds open",
    )
    check_seizing = Wear(
        "0 bar",
        mild="10 bar",
        marginal="60 bar",
        failed="400 bar",
        notice="it lifts late or not at all, and the engine labours",
        meaning="what more it takes to open a load check that sticks",
    )
    port_held_open = Wear(
        "0 mm2",
        mild="0.05 mm2",
        marginal="0.3 mm2",
        failed="3 mm2",
        notice="one way it is weak, or sinks; the other way it is as ever",
        meaning="opening that dirt leaves in a port's valves, those of A where both ports have them",
    )
    port_fatigue = Wear(
        "0 %",
        mild="15 %",
        marginal="35 %",
        failed="75 %",
        notice="one way it stops pushing early; the other way it is as strong as ever",
        meaning="share of a port relief's spring that is lost, that of A where both ports have one",
    )
    filling_seizing = Wear(
        "0 %",
        mild="60 %",
        marginal="90 %",
        failed="100 %",
        notice="after it has come down quickly it does nothing for a moment, then it knocks",
        meaning="share of the anti-cavitation checks that stays shut",
    )


class Levered:
    """The lever of a section, with its stroke limiters and detents."""

    lever = Control("0", low="-1", high="1", meaning="lever; + feeds A, - feeds B", ends=("lower", "lift"))
    most_A = Parameter("100 %", low="40 %", high="100 %", meaning="stroke limiter towards A, of the travel")
    most_B = Parameter("100 %", low="40 %", high="100 %", meaning="stroke limiter towards B, of the travel")
    detent = Parameter("110 %", low="50 %", high="110 %", meaning=NOTCH, at_rest=True)


def asked(at: At, lever: Expr, most_a: Expr = 1.0, most_b: Expr = 1.0) -> Expr:
    """Return where the spool goes for a lever, of its travel, within its limiters."""
    reach = 1 - clip(at.short_travel, 0, 1)
    return clip(lever + at.off_centre, -most_b * reach, most_a * reach)


def load_check(at: At) -> Expr:
    """Return the drop [Pa] at which the load check begins to open."""
    return at.load_check + at.check_seizing


def through_check(at: At, drop: Expr) -> Expr:
    """Return how far the load check is open at a drop [Pa], 0 … 1."""
    open_ = opened(drop, load_check(at))
    return open_ + (1 - open_) * clip(at.check_held_open, 0, 1)


def _dirty_port(words: str) -> str:
    """Return the port whose valves wear, by which ports have some; "" for none."""
    return {"none": "", "B": "B"}.get(words, "A")


def lands(at: At, leak: Expr) -> dict[str, Stream]:
    """Return what the lands of a spool let by from P, A and B to T, each ``leak`` [m3/s/Pa]."""
    p = at.p
    return {f"leak_at_{port}": Stream(port, "T", leak * (p[port] - p["T"]), Loss.LEAKAGE) for port in ("P", "A", "B")}


def port_valves(at: At, k: Expr, size: Expr) -> tuple[dict[str, Stream], dict[str, tuple[Expr, str]]]:
    """Return streams and readings of the reliefs and anti-cavitation checks of the ports that have some.

    ``k``: what a metering edge passes [m3/s] per area and root of drop; ``size``: of the section against 40 L/min.
    """
    p = at.p
    filling = _FILLING * size * (1 - clip(at.filling_seizing, 0, 1))
    dirty, spring = _dirty_port(at.port_reliefs), 1 - clip(at.port_fatigue, 0, 0.95)
    streams: dict[str, Stream] = {}
    for port in ("A", "B"):
        if at.port_reliefs in (port, "both"):
            setting = at.port_setting * spring if port == dirty else at.port_setting
            over = relief(p[port] - p["T"], _CRACKS * setting, setting, at.rated_flow)
            fill = filling * k * check(p["T"] - p[port], _FILLS, 1e5)
            streams[f"{port}_port_relief"] = Stream(port, "T", over, Loss.RELIEF)
            streams[f"{port}_anti_cavitation"] = Stream("T", port, fill, Loss.METERING)
    if dirty:
        dirt = k * at.port_held_open * sqrt_flow(p[dirty] - p["T"])
        streams[f"{dirty}_past_dirt"] = Stream(dirty, "T", dirt, Loss.RELIEF)
    return streams, {"filling_area": (filling, "area"), "port_spring": (spring, "ratio")}


def travel_workings(at: Sheet) -> Iterator[Working]:
    """Yield how far the spool has gone, and how far beyond its dead band."""
    fine = pair("mm", 2, "in", 3)
    place = at.state("spool")
    if abs(place) <= 1e-4:
        return
    share = at.term("s", abs(place), "ratio", tr("of the lever, as far as the spool has followed"), (), PERCENT)
    way = tr("spool, in") if place > 0 else tr("spool, out")
    travelled = at.term("y", abs(place) * at.parameter("travel"), "length", way, (), fine)
    whole = at.number("L", "travel", tr("whole travel"), fine)
    yield Working(at.part, tr("Travel of the spool"), travelled, (share, whole), ("y = s · L / 100",) * 2)
    band = at.number("yd", "dead_band", tr("dead band"), fine)
    if travelled.value > band.value:
        beyond = at.term("x", travelled.value - band.value, "length", tr("open by"), (), fine)
        yield Working(at.part, tr("Travel beyond the dead band"), beyond, (travelled, band), ("x = y − yd",) * 2)


def land_workings(at: Sheet) -> Iterator[Working]:
    """Yield the workings of its port valves, and of what its lands let by."""
    discharge = at.parameter("discharge")
    for port in ("A", "B"):
        over = f"{port}_port_relief"
        if over in at.streams:
            weak = at.value("port_spring") if port == _dirty_port(at.choice("port_reliefs")) else 1.0
            setting, rated = at.parameter("port_setting") * weak, at.parameter("rated_flow")
            yield from override(at, over, _CRACKS * setting, setting, rated)
            hole = at.reading("A", "filling_area", tr("its anti-cavitation check"), (), EDGE)
            yield from edge(at, f"{port}_anti_cavitation", hole, discharge, cracking=_FILLS)
        if f"{port}_past_dirt" in at.streams:
            slit = at.number("A", "port_held_open", tr("held open by dirt"), EDGE)
            yield from edge(at, f"{port}_past_dirt", slit, discharge)
    for port in ("P", "A", "B"):
        yield from gap(at, f"leak_at_{port}")
