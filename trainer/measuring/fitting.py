"""What a mechanic does before an instrument goes on or comes off: steps that the rig shows to be done, and hazards.

Our own words for common practice; the maker's manual comes first. Facts on injection (a jet pierces skin from about
7 bar), trapped pressure and falling loads are those of safety bulletins, ISO 4413 and rules on lock-out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from trainer.language import mark, tr, trn
from trainer.measuring.instruments import places, true_reading
from trainer.parts.part import Kind
from trainer.parts.roles import Actuator, Conduit, DirectionalValve, Load, PrimeMover, Pump, Store, Tank
from trainer.rig.live import Live
from trainer.rig.names import lever_words, part_words, port_words, the_line
from trainer.rig.rig import Instrument, Rig, between

__all__ = [
    "DEAD", "HOT", "STANDSTILL", "Fitting", "FittingStep", "opened_at", "plan", "put_in", "running_allowed",
]  # fmt: skip

DEAD = 2e5  # pressure below which a line may be opened [Pa]: common practice, no source
STANDSTILL = 10 * 2 * math.pi / 60  # speed below which a shaft counts as stopped [rad/s]
_END = 0.01  # of the stroke: at its end
_TAPPED = ("gauge", "vacuum gauge", "differential gauge")  # what is joined to a line by a tee or a coupling
HOT = 60.0  # what burns when it is touched [C]: common practice, no source

_MANUAL = mark("The maker's manual comes before what is said here.")
_INJECTION = mark(
    "Oil from a pinhole goes through glove and skin from about 7 bar (100 psi) on; a wound like a sting is a case "
    "for a surgeon at once. Look for leaks with a card, never with a hand."
)
_TRAPPED = mark("A stopped engine does not mean a dead line: a load or a closed spool keeps its pressure.")
_LOAD = mark("Nobody stands under a load that only oil holds up; it comes down when its line is opened.")
_HOT_OIL = mark("The oil is hot enough to burn: let it cool first, or wear gloves and goggles.")
_COUPLING = mark(
    "This coupling may be used under pressure. Wipe both halves clean, take a hose rated for the pressure here, and "
    "keep hands away from its ends."
)
_SHAFT = mark("Keep sleeves, hair and cables away from the turning shaft, and stand to the side of it.")
_SKIN = mark("Hold the probe by its handle; what it touches may be hot.")
_HOT_SKIN = mark("What is measured here is hot enough to burn: touch it with the probe only.")
_LOADS = mark("Load it slowly, and never shut it where no relief valve stands before it.")
_TESTER = mark(
    "Put the flow tester in at the {port}, the arrow with the flow, with hoses rated for its pressure, its valve "
    "open, and tighten every joint."
)
_CUP = mark("Take the hose off the {port}, plug the hose, and lead the port by another one into the cup.")


@dataclass(frozen=True, slots=True)
class FittingStep:
    """One step: a lasting key, what to do, and whether it is done as the rig shows it.

    ``done`` is None where only a person can say so; with ``by_hand`` a person may say so as well.
    """

    key: str
    words: str
    done: Callable[[Live], bool] | None = None
    by_hand: bool = False


_LEAKS = mark("Wipe all dry, clear the machine, start it slowly, and look for leaks with a card.")


@dataclass(frozen=True, slots=True)
class Fitting:
    """The steps of fitting an instrument or taking it off, one after the other, and the hazard of it.

    The instrument is on, or off, once the step "fit" is done; without steps at once.
    """

    steps: tuple[FittingStep, ...]
    hazard: str


def running_allowed(rig: Rig, kind: str, on: str) -> bool:
    """Return whether an instrument can be fitted while the rig runs; ``rig`` as its file has it."""
    gauges = {item.on for item in rig.instruments.values() if item.on_line}
    if kind == "differential gauge":
        return all(
            rig.lines[line].test_point or line in gauges for line in between(rig.parts[on].part, on, rig.lines)
        )
    if kind not in _TAPPED:
        return kind != "flow meter"
    return rig.lines[on].test_point or on in gauges


def plan(rig: Rig, live: Live, kind: str, on: str, off: bool = False) -> Fitting:
    """Return what is to be done before an instrument of a kind is fitted at a place, or taken ``off``.

    ``rig`` is the rig as its file has it: where a gauge of its own sits, there is a coupling. Raises KeyError for a
    place that does not exist.
    """
    if all(on != place.on for place in places(rig, kind)):
        raise KeyError(on)
    if running_allowed(rig, kind, on):
        return Fitting((), f"{_caution(live, kind, on)} {tr(_MANUAL)}")
    return _steps(rig, live.temperature, kind, on, off)


def put_in(rig: Rig, temperature: float, on: str, cup: bool = False) -> Fitting:
    """Return what is to be done to put a flow tester in at a port, or a ``cup``; ``temperature``: of the oil [C]."""
    words = tr(_CUP if cup else _TESTER).format(port=port_words(rig, *on.split(".", 1)))
    return opened_at(rig, temperature, on, words, "" if cup else tr(_LOADS))


def opened_at(rig: Rig, temperature: float, on: str, words: str, hazard: str = "") -> Fitting:
    """Return what is to be done at a port whose line is opened: with ``words`` for that, and a ``hazard`` more.

    ``temperature`` is that of the oil [C].
    """
    asked = _steps(rig, temperature, "flow meter", on, False)
    steps = (replace(step, words=words) if step.key == "fit" else step for step in asked.steps)
    return Fitting(tuple(steps), f"{hazard} {asked.hazard}".strip())


def _steps(rig: Rig, temperature: float, kind: str, on: str, off: bool) -> Fitting:
    """Return what is to be done where a line is opened."""
    line = rig.line_of(*on.split(".", 1)).name if kind == "flow meter" else on
    if kind == "differential gauge":
        line = between(rig.parts[on].part, on, rig.lines)[0]
    lines = _released(rig, line)
    if kind == "differential gauge":
        other = between(rig.parts[on].part, on, rig.lines)[1]
        lines = list(dict.fromkeys([*lines, *_released(rig, other)]))
    steps = [
        *_lower(rig, lines),
        *_stop(rig),
        *_empty(rig),
        _release(rig, lines),
        _open(rig, line),
        _fit(rig, kind, line, off),
        FittingStep("leaks", tr(_LEAKS)),
    ]
    carried = [tr(_LOAD)] if steps[0].key == "lower" else []
    kept = [tr(role.hazard).format(part_words(rig, id_)) for id_, role in rig.having(Store).items()]
    hot = [tr(_HOT_OIL)] if temperature > HOT else []
    return Fitting(tuple(steps), " ".join([tr(_INJECTION), tr(_TRAPPED), *carried, *kept, *hot, tr(_MANUAL)]))


def _caution(live: Live, kind: str, on: str) -> str:
    if kind in _TAPPED:
        return f"{tr(_COUPLING)} {tr(_INJECTION)}"
    if kind == "tachometer":
        return tr(_SHAFT)
    return tr(_HOT_SKIN) if true_reading(Instrument("", kind, on, 1.0), live) > HOT else tr(_SKIN)


def _actuators(rig: Rig, lines: list[str]) -> list[str]:
    """Return the cylinders and motors on some lines; a case drain does not count."""
    found = [id_ for line in lines if not rig.at_tank(line) for id_, _, _ in rig.at_ports(line, Actuator)]
    return list(dict.fromkeys(found))


def _released(rig: Rig, line: str) -> list[str]:
    """Return the lines that have to be dead before one is opened: of an actuator both sides."""
    lines = [line]
    for id_ in _actuators(rig, [line]):
        for port, kind in rig.parts[id_].part.ports.items():
            other = rig.line_of(id_, port).name
            if kind is Kind.OIL and other not in lines and not rig.at_tank(other):
                lines.append(other)
    return lines


def _all_dead(lines: list[str]) -> Callable[[Live], bool]:
    return lambda live: all(live.pressure(line) < DEAD for line in lines)


def _listed(words: list[str]) -> str:
    return tr(" and ").join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else words[0]


def _lower(rig: Rig, lines: list[str]) -> Iterator[FittingStep]:
    actuators = _actuators(rig, lines)
    if not actuators:
        return
    names = _listed([tr("the {part}").format(part=part_words(rig, id_)) for id_ in actuators])
    if all(rig.role(id_, Actuator).linear for id_ in actuators):
        words = trn(
            "Let down what {names} carries until it rests on its stop or on the ground, or support it with the "
            "maker's struts.",
            "Let down what {names} carry until it rests on its stop or on the ground, or support it with the "
            "maker's struts.",
            len(actuators),
        )
    else:
        words = trn(
            "Bring to rest and block what {names} turns.",
            "Bring to rest and block what {names} turn.",
            len(actuators),
        )
    words = words.format(names=names)
    dead, rests = _all_dead(lines), [_rests(rig, id_) for id_ in actuators]
    yield FittingStep("lower", words, lambda live: dead(live) or all(rest(live) for rest in rests), by_hand=True)


def _rests(rig: Rig, id_: str) -> Callable[[Live], bool]:
    """Return whether a cylinder stands where its load brings it: with its oil gone it would not move."""
    role = rig.role(id_, Actuator)
    if not role.linear:
        return lambda _live: False
    rod = rig.line_of(id_, role.output).name
    lines = [rig.line_of(id_, port).name for port in role.chambers]
    loads = [(load, port == of.lifted, of.borne) for load, port, of in rig.at_ports(rod, Load)]

    def rests(live: Live) -> bool:
        place, stroke = live.place(rod), live.parameter(id_, role.stroke)
        areas = [live.value(id_, area) for area in role.areas]
        pushes = [live.pressure(line) * area for line, area in zip(lines, areas, strict=True)]
        push = pushes[0] - sum(pushes[1:])
        slack = DEAD * areas[0]
        for load, lifts, borne in loads:  # on the ground, and nothing of it on the oil
            down = push if lifts else abs(push)
            if down < slack and sum(live.value(load, name) for name in borne) > 0:
                return True
        return (place < _END * stroke and push < slack) or (place > (1 - _END) * stroke and push > -slack)

    return rests


def _stop(rig: Rig) -> Iterator[FittingStep]:
    shafts = [rig.line_of(id_, role.shaft) for id_, role in rig.having(Pump).items() if role.shaft]
    if not shafts:
        return
    movers = {id_: role for shaft in shafts for id_, _, role in rig.at_ports(shaft.name, PrimeMover)}
    words = [tr(role.halt).format(part_words(rig, id_)) for id_, role in movers.items()]
    names = [shaft.name for shaft in shafts]
    yield FittingStep(
        "stop",
        " ".join(words) or tr("Stop what turns the pump, and lock it."),
        lambda live: all(abs(live.speed(name)) < STANDSTILL for name in names),
    )


def _empty(rig: Rig) -> Iterator[FittingStep]:
    """Yield, for each store of a rig, that its oil is let out or shut off before any line is opened."""
    for id_, role in rig.having(Store).items():
        words = part_words(rig, id_)
        dead = _all_dead([rig.line_of(id_, role.port).name])
        yield FittingStep(f"empty {id_}", tr(role.release).format(words, words), dead, by_hand=True)


def _release(rig: Rig, lines: list[str]) -> FittingStep:
    sections = dict.fromkeys(
        id_
        for line in lines
        for id_, port, role in rig.at_ports(line, DirectionalValve)
        if port in (*role.work, role.feed)
    )
    names = _listed([the_line(rig, line) for line in lines])
    words = trn(
        "Wait until {names} is without pressure.", "Wait until {names} are without pressure.", len(lines)
    ).format(names=names)
    if sections:
        levers = _listed([tr("the {lever}").format(lever=lever_words(rig, id_)) for id_ in sections])
        words = trn(
            "Move {levers} to and fro until {names} is without pressure.",
            "Move {levers} to and fro until {names} are without pressure.",
            len(lines),
        ).format(levers=levers, names=names)
    return FittingStep("release", words, _all_dead(lines))


def _open(rig: Rig, line: str) -> FittingStep:
    where = the_line(rig, line)
    words = tr(
        "Put a tray below and open the joint of {where} a little at a time, face and hands away; cap open ends."
    ).format(where=where)
    if _stands_over(rig, line):
        words = tr(
            "Shut the tank off or plug it, for its oil stands above {where}; then open the joint over a tray."
        ).format(where=where)
    return FittingStep("open", words)


def _stands_over(rig: Rig, line: str) -> bool:
    """Return whether the oil of a tank stands over a line: it opens into one, or draws from it through conduits."""
    seen, ahead = {line}, [line]
    while ahead:
        name = ahead.pop()
        if any(port == role.suction for _, port, role in rig.at_ports(name, Tank)):
            return True
        ends = [(id_, end) for id_, _, role in rig.at_ports(name, Conduit) for end in role.ends]
        found = {rig.line_of(id_, end).name for id_, end in ends} - seen
        seen |= found
        ahead += found
    return rig.at_tank(line)


def _fit(rig: Rig, kind: str, line: str, off: bool) -> FittingStep:
    where = the_line(rig, line)
    if off:
        return FittingStep(
            "fit", tr("Take the {kind} out of {where}, and join the line again.").format(kind=tr(kind), where=where)
        )
    how = tr("a tee") if kind in _TAPPED else tr("hoses")
    return FittingStep(
        "fit",
        tr("Fit the {kind} into {where} with {how} rated for its pressure, and tighten every joint.").format(
            kind=tr(kind), where=where, how=how
        ),
    )
