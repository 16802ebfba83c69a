"""A question for the class, made of what was clicked: what is asked, of which instant, with options."""

from __future__ import annotations

from dataclasses import dataclass, field

from trainer import units
from trainer.drawing.instruments import QUANTITIES, scale_of
from trainer.drawing.rack import percent
from trainer.engine.session import Session
from trainer.language import tr
from trainer.measuring.instruments import USUAL_ERROR, error_of, true_reading
from trainer.parts.part import Kind
from trainer.parts.roles import Actuator, PressureLimiter
from trainer.rig.live import Live
from trainer.rig.names import capital, lever_label, part_label, the_line
from trainer.rig.rig import Instrument, Rig
from trainer.units import System
from trainer.window.class_view.slips import pump_line, slips

__all__ = ["LETTERS", "Asked", "Option", "Question", "find_asked", "make"]

LETTERS = "ABCD"
LASTS = 2.0  # s that the run of a question takes
_FINE = 20.0  # shown numbers below it get one decimal


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for: a name for it, the question in words, its quantity, range and error as a share of it."""

    name: str
    words: str
    quantity: str
    range_: float
    error: float = USUAL_ERROR
    instrument: Instrument | None = None
    line: str = ""  # a line whose pressure it is, or the rod or shaft whose speed it is

    def read(self, live: Live) -> float:
        """Return the reading at an instant [SI]."""
        if self.instrument is not None:
            return true_reading(self.instrument, live)
        return live.pressure(self.line) if self.quantity == "pressure" else abs(live.speed(self.line))

    def shown(self, value: float, system: System) -> str:
        """Return a value with its unit, as the class reads it."""
        unit = units.shown_unit(self.quantity, system)
        end = scale_of(self.range_, self.quantity, system).end
        decimals = 0 if end >= 2 * _FINE else 1 if end >= 2.0 else 2
        return " ".join(units.text_in(value, unit, decimals))


@dataclass(frozen=True, slots=True)
class Option:
    """One of the answers: its value [SI], the belief behind it, what the value is in truth."""

    value: float
    belief: str
    why: str
    right: bool = False


@dataclass(frozen=True, slots=True)
class Question:
    """A question that is put. ``control`` goes to ``goal`` at ``begin`` [s], the run ends at ``end`` [s].

    ``before`` and ``then`` are the readings at both [SI]; ``working`` are rows (name, before, then) [SI] of one
    quantity.
    """

    asked: Asked
    control: str
    goal: float
    begin: float
    end: float
    situation: str
    options: tuple[Option, ...]
    before: float
    then: float
    working: tuple[tuple[str, float, float], ...] = field(default_factory=tuple)

    @property
    def right(self) -> int:
        """Which option is as read."""
        return next(k for k, option in enumerate(self.options) if option.right)

    @property
    def way(self) -> int:
        """What is to be seen: 0 it rose, 1 it fell, 2 it stayed."""
        least = self.asked.error * self.asked.range_
        change = self.then - self.before
        return 2 if abs(change) < least else 0 if change > 0 else 1


def find_asked(rig: Rig, kind: str, name: str) -> Asked | str:
    """Return what a click asks for: an instrument's reading, a line's pressure, an actuator's speed; or why not."""
    if kind == "instrument" and name in rig.instruments:
        item = rig.instruments[name]
        told = tr("What does {name} read?").format(name=name)
        return Asked(name, told, QUANTITIES[item.kind], item.range_, error_of(item), item)
    if kind == "line" and name in rig.lines and rig.lines[name] in rig.lines_of_kind(Kind.OIL):
        limits = [rig.parts[id_].values.get("setting", 0.0) for id_ in rig.having(PressureLimiter)]
        told = tr("Which pressure stands in {line}?").format(line=the_line(rig, name))
        return Asked(capital(the_line(rig, name)), told, "pressure", max([*limits, 20e5]), line=name)
    if kind == "part" and isinstance(role := rig.parts[name].part.role, Actuator):
        quantity = "speed" if role.linear else "shaft speed"
        label = part_label(rig, name)
        line = rig.line_of(name, role.output).name
        return Asked(
            capital(label), tr("How fast does the {name} move?").format(name=label), quantity, 0.0, line=line
        )
    return tr("Nothing is read there. Click a dial, a line or an actuator.")


def make(session: Session, asked: Asked, control: str = "", goal: float = 0.0) -> Question | str:
    """Return the question, or why it cannot be put; the run is gone through ahead, and nothing of it is shown.

    Without a ``control`` it is asked of the instant that is shown. Raises SolverError.
    """
    rig, ahead = session.rig, session.ahead()
    before, start = asked.read(session.readings), session.readings
    if control:
        ahead.set_control(control, goal)
        ahead.advance(LASTS)
    then = asked.read(ahead.readings)
    if not asked.range_:
        asked = Asked(asked.name, asked.words, asked.quantity, max(2.0 * then, 2.0 * before, 1e-3), line=asked.line)
    apart = 3 * asked.error * asked.range_
    options = [Option(then, tr("as it is read"), "", right=True)]
    for slip in slips(rig, asked.quantity, before, control, ahead.readings):
        near = any(abs(slip.value - other.value) < apart for other in options)
        if not near and len(options) < len(LETTERS) and slip.value <= 1.02 * asked.range_:
            options.append(Option(slip.value, slip.belief, slip.why))
    if len(options) < 3:
        return tr("Too few answers differ enough from the reading here. Ask for another place, or another lever.")
    options.sort(key=lambda option: -option.value)
    beliefs = [Option(o.value, _reason(asked, control), o.why, True) if o.right else o for o in options]
    name = capital(lever_label(rig, control)) if control else ""
    if control:
        situation = tr("The lever of {name} goes to {percent}.").format(name=name, percent=percent(goal))
    else:
        situation = tr("The machine stands frozen as you see it.")
    return Question(
        asked, control, goal, session.time, ahead.time, situation, tuple(beliefs), before, then,
        _working(rig, asked, start, ahead.readings),
    )  # fmt: skip


def _reason(asked: Asked, control: str) -> str:
    if asked.quantity == "pressure":
        return tr("what load and passages ask")
    if asked.quantity == "flow":
        return tr("what goes this way")
    return tr("by the oil that gets in") if control else tr("what is measured")


def _working(rig: Rig, asked: Asked, start: Live, end: Live) -> tuple[tuple[str, float, float], ...]:
    """Return what was asked beside the same at the pump, before and then."""
    rows = [(asked.name, asked.read(start), asked.read(end))]
    line = pump_line(rig)
    if asked.quantity == "pressure" and line:
        own = asked.instrument.on if asked.instrument is not None else asked.line
        if own != line:
            rows.append((tr("pump's line"), start.pressure(line), end.pressure(line)))
    return tuple(rows)
