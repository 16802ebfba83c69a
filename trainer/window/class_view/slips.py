"""Wrong options of a class question: what somebody would read who thinks so, and what that number really is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from trainer.drawing.doings import moved_by
from trainer.language import tr
from trainer.parts.roles import Actuator, DirectionalValve, PressureLimiter, Pump
from trainer.rig.live import Live
from trainer.rig.names import lever_label, part_label, the_line
from trainer.rig.rig import Rig

__all__ = ["Option", "of_first", "of_highest", "of_time", "pump_line", "slips"]

_RESTS = 1e-7  # m3/s: less is no flow


@dataclass(frozen=True, slots=True)
class Option:
    """One of the answers: its value [SI] or its words, the belief behind it, what the answer is in truth."""

    value: float
    belief: str
    why: str
    right: bool = False
    words: str = ""


def pump_line(rig: Rig) -> str:
    """Return the line at the first pump's outlet, "" without a pump."""
    return next((rig.line_of(id_, role.outlet).name for id_, role in rig.having(Pump).items()), "")


def slips(
    rig: Rig, quantity: str, before: float, control: str, then: Live, reliefs: Sequence[str] = ()
) -> Iterator[Option]:
    """Yield what may be thought of a reading, the likeliest first; ``before`` is what it was [SI].

    ``control`` is the lever that is moved, "" for none; ``then`` the instant that is asked about;
    ``reliefs`` let oil go then and make the reading.
    """
    if quantity == "pressure":
        yield from _of_pressure(rig, before, control, then, reliefs)
    elif quantity == "flow":
        yield from _of_flow(rig, before)
    elif quantity in ("speed", "shaft speed"):
        yield from _of_speed(rig, quantity, before, control, then)
    elif before:
        yield Option(before, tr("as it was"), tr("That is the reading before. Look for what the run has changed."))


def _moved(rig: Rig, control: str) -> Iterator[tuple[str, Actuator]]:
    for id_ in moved_by(rig, control.partition(".")[0]) if control else ():
        role = rig.parts[id_].part.role
        if isinstance(role, Actuator):
            yield id_, role


def _of_pressure(rig: Rig, before: float, control: str, then: Live, reliefs: Sequence[str]) -> Iterator[Option]:
    for id_, role in _moved(rig, control):
        if not role.linear:
            continue
        cap, *ring = (then.value(id_, area) for area in role.areas)
        force = abs(then.value(id_, role.push))
        for area in ring:
            yield Option(
                force / area,
                tr("the load over the rod side"),
                tr("That is the load on the ring alone. Going out, the oil pushes on the whole piston."),
            )
        yield Option(
            force / cap,
            tr("what the load alone needs"),
            tr("That is load over piston. A gauge at another place reads what its own line needs."),
        )
    for id_ in _reliefs(rig)[:1]:
        if not reliefs:
            why = tr(
                "That is the most the relief lets through. Nothing has to ask for so much: load and passages decide."
            )
        elif id_ in reliefs:
            why = tr("That is its setting alone. How much oil it lets go decides what stands ahead of it.")
        else:
            why = tr("That relief stays shut here: another one lets the oil go before.")
        yield Option(then.parameter(id_, "setting"), tr("what the relief is set to"), why)
    yield Option(
        before,
        tr("as before the lever moved"),
        tr("That was the reading before. The lever has opened another way, with another load behind it."),
    )
    yield Option(
        0.0,
        tr("no oil gets that far"),
        tr("Nothing would stand there only if the line were open to the tank and no oil passed."),
    )
    if line := pump_line(rig):
        yield Option(
            then.pressure(line),
            tr("the same as at the pump"),
            tr("That is the pump's line. What lies between takes its share, or shuts it off."),
        )
    for section, _ in rig.having(DirectionalValve).items():
        for id_, role in _moved(rig, section):
            if f"{section}.lever" != control:
                name = lever_label(rig, f"{section}.lever")
                yield Option(
                    max(then.pressure(rig.line_of(id_, port).name) for port in role.chambers),
                    tr("what the {name} holds").format(name=name),
                    tr("That stands at the {name}, behind its shut spool. This line does not see it.").format(
                        name=name
                    ),
                )


def _reliefs(rig: Rig) -> list[str]:
    """Return what limits pressures at a setting, the pump's first."""
    at_pump = {id_ for id_, _, _ in rig.at_ports(pump_line(rig), PressureLimiter)}
    found = [id_ for id_ in rig.having(PressureLimiter) if "setting" in rig.parts[id_].values]
    return sorted(found, key=lambda id_: id_ not in at_pump)


def _of_flow(rig: Rig, before: float) -> Iterator[Option]:
    full = rig.delivery
    yield Option(before, tr("as before"), tr("That was the flow before. See which ways are open now."))
    yield Option(0.0, tr("no oil passes"), tr("A turning pump moves oil. It has to go somewhere, if only home."))
    yield Option(full, tr("all that the pump brings"), tr("That is the whole pump's flow. A part goes another way."))
    yield Option(full / 2, tr("half of it"), tr("An equal share. Opening and pressure decide how oil is shared."))


def _of_speed(rig: Rig, quantity: str, before: float, control: str, then: Live) -> Iterator[Option]:
    yield Option(before, tr("as before"), tr("That was the speed before the lever moved."))
    yield Option(0.0, tr("it stands"), tr("The pump brings oil and the spool lets it in: something moves."))
    for id_, role in _moved(rig, control):
        if quantity == "speed" and role.linear:
            cap, *ring = (then.value(id_, area) for area in role.areas)
            yield Option(
                rig.delivery / cap,
                tr("all the pump's oil, over the piston"),
                tr("All the pump's oil over the piston's area. A part still goes past the spool, or it moves in."),
            )
            for area in ring:
                yield Option(
                    rig.delivery / area,
                    tr("all the pump's oil, over the ring"),
                    tr("The pump's oil over the ring's area. Look which side is fed, and how much goes past."),
                )


def of_time(rig: Rig, part: str, took: float, way: float, then: Live) -> Iterator[Option]:
    """Yield what may be thought of the time [s] that a cylinder takes over its ``way`` [m], out where positive."""
    role = rig.parts[part].part.role
    assert isinstance(role, Actuator)
    areas = [then.value(part, area) for area in role.areas]
    fed, other = (areas[0], areas[-1]) if way > 0 else (areas[-1], areas[0])
    if rig.delivery and (way > 0 or len(areas) > 1):
        yield Option(
            abs(way) * fed / rig.delivery,
            tr("all the pump's oil gets in"),
            tr("So long it would take with all of the pump's oil. A part of it goes another way."),
        )
    if other != fed:
        yield Option(
            took * other / fed,
            tr("the other side is filled"),
            tr("That counts the area of the other side. Look which one the oil comes to on this way."),
        )
    yield Option(
        took / 2, tr("the load helps"), tr("So fast it would be with twice the oil. The pump brings no more.")
    )
    yield Option(took * 2, tr("half the oil goes home"), tr("So slow it would be with half the oil; more gets in."))


def of_first(
    rig: Rig, moved: Mapping[str, Sequence[str]], began: Mapping[str, float], then: Live
) -> Iterator[tuple[str, str, str, str]]:
    """Yield (lever, name, belief, why) of each of several levers; ``began`` is when it moved [s], if it did."""
    push, asks = {}, {}
    for control, (part, *_) in moved.items():
        role = rig.parts[part].part.role
        assert isinstance(role, Actuator)
        push[control] = abs(then.value(part, role.push)) if role.linear else math.inf
        asks[control] = max(then.pressure(rig.line_of(part, port).name) for port in role.chambers)
    lightest, heaviest = min(push, key=lambda c: push[c]), max(push, key=lambda c: push[c])
    soonest = min(began, key=lambda c: began[c])
    for k, control in enumerate(moved):
        if control == soonest:
            belief = tr("it needs the least pressure")
        elif control == lightest:
            belief = tr("it has the least to push")
        elif k == 0:
            belief = tr("it is nearest the pump")
        elif control == heaviest:
            belief = tr("it is the strongest")
        else:
            belief = tr("its way is the shortest")
        name = lever_label(rig, control)
        if control not in began:
            why = tr("The {name} had hardly moved by then: the oil found ways that ask less pressure.").format(
                name=name
            )
        else:
            why = tr("The {name} began after {seconds:.1f} s. Pressure rises until the easiest moves first.").format(
                name=name, seconds=began[control]
            )
        yield control, name, belief, why


def of_highest(rig: Rig, pressures: Mapping[str, float], highest: str) -> Iterator[tuple[str, str, str]]:
    """Yield (line, belief, why) of each of some lines with their pressures [Pa]."""
    pump = pump_line(rig)
    for name in pressures:
        at = [(id_, port) for id_, port, _ in rig.at_ports(name, Actuator)]
        if name == pump:
            belief = tr("pressure is made at the pump")
        elif at:
            belief = tr("the load stands on the {name}").format(name=part_label(rig, at[0][0]))
        else:
            belief = tr("all the oil comes through here")
        if name == highest:
            yield name, belief, ""
        elif name == pump:
            yield name, belief, tr("The pump pushes oil out; what stands behind a shut way may be pressed harder.")
        else:
            why = tr("Less stands in {line}: it is open to where less is asked, or lies past what takes its share.")
            yield name, belief, why.format(line=the_line(rig, name))
