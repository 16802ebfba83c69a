"""What a task sets, in rows of words: what drives the pump, load, oil, where it begins."""

from __future__ import annotations

from trainer import units
from trainer.engine.session import Session
from trainer.language import tr
from trainer.parts.roles import PrimeMover
from trainer.practice.task import Lap, Task
from trainer.rig.names import part_label
from trainer.units import System

__all__ = ["conditions_words", "fixed_rows"]


def fixed_rows(session: Session, task: Task, lap: Lap, system: System, load_covered: bool) -> list[tuple[str, str]]:
    """Return (name, value with unit) of what a task sets for a lap; without a name it belongs to the row above."""

    def told(value: float, quantity: str) -> str:
        figures, unit = units.text(value, quantity, system, 0 if quantity != "length" else None)
        return f"{figures}{unit}" if unit == "°" else f"{figures} {unit}"

    rig = session.rig
    rows: list[tuple[str, str]] = []
    for id_, role in rig.having(PrimeMover).items():
        name = f"{id_}.speed_asked"
        if name in rig.controls():
            asked = session.asked(name)
            speed, called = told(asked, "shaft speed"), tr("engine") if role.burns else part_label(rig, id_)
            if role.droop:  # what is read on an engine that has nothing to do is more than what is set
                free = asked * (1 + session.readings.parameter(id_, role.droop))
                rows.append((called, tr("{speed} at full load").format(speed=speed)))
                rows.append(("", tr("{speed} unloaded").format(speed=told(free, "shaft speed"))))
            else:
                rows.append((called, speed))
            break
    logs, load = _logs(session, task), _load(session)
    if logs:  # what is lifted is not what hangs from the start
        carried = ", ".join(told(log, "mass") for log in logs)
        rows.append((tr("log"), tr("covered") if load_covered else carried))
    elif load is not None:
        rows.append((tr("load"), tr("covered") if load_covered else told(load, "mass")))
    rows.append((tr("oil"), told(session.temperature, "temperature")))
    boom = next((name for name in session.rig.states() if name.endswith(".boom")), "")
    if boom:
        value = lap.run.start.get(boom, rig.start.get(boom))
        if value is not None:
            rows.append((tr("boom"), tr("from {angle}").format(angle=told(value, "angle"))))
    return rows


def _load(session: Session) -> float | None:
    """Return what is carried [kg]: a control of the rig's, else a number of its weight."""
    for name, control in session.rig.controls().items():
        if control.quantity == "mass":
            return session.asked(name)
    for name in session.rig.loads():
        if name.endswith(".mass"):
            return session.asked(name)
    return None


def _logs(session: Session, task: Task) -> list[float]:
    """Return the masses of the logs whose places a task reads [kg], each once."""
    found = {}
    for reading in task.readings.values():
        part, _, own = reading.removeprefix("own ").partition(".")
        log, at, _ = own.partition("_at_")
        if at and f"{part}.{log}_mass" in session.machine:
            found[part, log] = session.asked(f"{part}.{log}_mass")
    return [*found.values()]


def conditions_words(rows: list[tuple[str, str]]) -> str:
    """Return in one line under which conditions a task is done."""
    return " · ".join(f"{name} {value}" for name, value in rows if name)
