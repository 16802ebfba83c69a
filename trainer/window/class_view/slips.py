"""Wrong options of a class question: what somebody would read who thinks so, and what that number really is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from trainer.drawing.doings import moved_by
from trainer.language import tr
from trainer.parts.roles import Actuator, DirectionalValve, PressureLimiter, Pump
from trainer.rig.live import Live
from trainer.rig.names import lever_label
from trainer.rig.rig import Rig

__all__ = ["Slip", "pump_line", "slips"]

_RESTS = 1e-7  # m3/s: less is no flow


@dataclass(frozen=True, slots=True)
class Slip:
    """A wrong value [SI], the belief that gives it, and what it is in truth."""

    value: float
    belief: str
    why: str


def pump_line(rig: Rig) -> str:
    """Return the line at the first pump's outlet, "" without a pump."""
    return next((rig.line_of(id_, role.outlet).name for id_, role in rig.having(Pump).items()), "")


def slips(rig: Rig, quantity: str, before: float, control: str, then: Live) -> Iterator[Slip]:
    """Yield what may be thought of a reading, the likeliest first; ``before`` is what it was [SI].

    ``control`` is the lever that is moved, "" for none; ``then`` the instant that is asked about.
    """
    if quantity == "pressure":
        yield from _of_pressure(rig, before, control, then)
    elif quantity == "flow":
        yield from _of_flow(rig, before)
    elif quantity in ("speed", "shaft speed"):
        yield from _of_speed(rig, quantity, before, control, then)
    elif before:
        yield Slip(before, tr("as it was"), tr("That is the reading before. Look for what the run has changed."))


def _moved(rig: Rig, control: str) -> Iterator[tuple[str, Actuator]]:
    for id_ in moved_by(rig, control.partition(".")[0]) if control else ():
        role = rig.parts[id_].part.role
        if isinstance(role, Actuator):
            yield id_, role


def _of_pressure(rig: Rig, before: float, control: str, then: Live) -> Iterator[Slip]:
    for id_, role in _moved(rig, control):
        if not role.linear:
            continue
        cap, ring = (then.value(id_, area) for area in role.areas[:2])
        force = abs(then.value(id_, role.push))
        yield Slip(
            force / ring,
            tr("the load over the rod side"),
            tr("That is the load on the ring alone. Going out, the oil pushes on the whole piston."),
        )
        yield Slip(
            force / cap,
            tr("what the load alone needs"),
            tr("That is load over piston. A gauge at another place reads what its own line needs."),
        )
    limits = [then.parameter(id_, "setting") for id_ in rig.having(PressureLimiter) if _has_setting(rig, id_)]
    if limits:
        yield Slip(
            max(limits),
            tr("what the relief is set to"),
            tr("That is the most the relief lets through. Nothing has to ask for so much: load and passages decide."),
        )
    yield Slip(
        before,
        tr("as before the lever moved"),
        tr("That was the reading before. The lever has opened another way, with another load behind it."),
    )
    yield Slip(
        0.0,
        tr("no oil gets that far"),
        tr("Nothing would stand there only if the line were open to the tank and no oil passed."),
    )
    if line := pump_line(rig):
        yield Slip(
            then.pressure(line),
            tr("the same as at the pump"),
            tr("That is the pump's line. What lies between takes its share, or shuts it off."),
        )
    for section, _ in rig.having(DirectionalValve).items():
        for id_, role in _moved(rig, section):
            if f"{section}.lever" != control:
                name = lever_label(rig, f"{section}.lever")
                yield Slip(
                    max(then.pressure(rig.line_of(id_, port).name) for port in role.chambers),
                    tr("what the {name} holds").format(name=name),
                    tr("That stands at the {name}, behind its shut spool. This line does not see it.").format(
                        name=name
                    ),
                )


def _has_setting(rig: Rig, id_: str) -> bool:
    return "setting" in rig.parts[id_].values


def _of_flow(rig: Rig, before: float) -> Iterator[Slip]:
    full = rig.delivery
    yield Slip(before, tr("as before"), tr("That was the flow before. See which ways are open now."))
    yield Slip(0.0, tr("no oil passes"), tr("A turning pump moves oil. It has to go somewhere, if only home."))
    yield Slip(full, tr("all that the pump brings"), tr("That is the whole pump's flow. A part goes another way."))
    yield Slip(full / 2, tr("half of it"), tr("An equal share. Opening and pressure decide how oil is shared."))


def _of_speed(rig: Rig, quantity: str, before: float, control: str, then: Live) -> Iterator[Slip]:
    yield Slip(before, tr("as before"), tr("That was the speed before the lever moved."))
    yield Slip(0.0, tr("it stands"), tr("The pump brings oil and the spool lets it in: something moves."))
    for id_, role in _moved(rig, control):
        if quantity == "speed" and role.linear:
            cap, ring = (then.value(id_, area) for area in role.areas[:2])
            yield Slip(
                rig.delivery / cap,
                tr("all the pump's oil, over the piston"),
                tr("All the pump's oil over the piston's area. A part still goes past the spool, or it moves in."),
            )
            yield Slip(
                rig.delivery / ring,
                tr("all the pump's oil, over the ring"),
                tr("The pump's oil over the ring's area. Look which side is fed, and how much goes past."),
            )
