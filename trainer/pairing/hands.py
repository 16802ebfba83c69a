"""One set of levers for two rigs: what is moved in one is moved in the other, by its function and not by its id."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from trainer.operating.operator import Operated
from trainer.parts.part import Control
from trainer.parts.roles import PrimeMover
from trainer.rig.names import lever_moves, part_label
from trainer.rig.rig import Rig

__all__ = ["Shared", "SharedHands", "alike", "shared"]

SECOND = "second:"  # before the name of what only the second rig has


@dataclass(frozen=True, slots=True)
class Shared:
    """One thing that hands move: its control in the first rig and in the second, "" where a rig has none.

    ``turned``: the ends of the second's lever lie the other way round.
    """

    first: str
    second: str
    turned: bool = False

    @property
    def name(self) -> str:
        """By which it is moved: the first rig's control, or the second's, marked as such."""
        return self.first or f"{SECOND}{self.second}"


def shared(first: Rig, second: Rig) -> tuple[Shared, ...]:
    """Return what hands move of two rigs, paired by function: those of the first in order, then the second's own.

    Levers are alike that move what is called alike ("boom"), speeds of prime movers are, and so is what is called
    alike otherwise. Where one of a kind is left in each, these two are a pair; so are, in their order, as many levers
    of which no two are called alike.
    """
    rigs = first, second
    mine, other = ({name: _function(rig, name, control) for name, control in rig.controls().items()} for rig in rigs)
    pairs: dict[str, str] = {}
    if first.parts.keys() == second.parts.keys() and mine == other:  # the same rig
        pairs = {name: name for name in mine}
    free = [name for name in other if name not in pairs.values()]
    for name, function in mine.items():
        found = next((one for one in free if other[one] == function), "")
        if found and name not in pairs:
            pairs[name] = found
            free.remove(found)
    for kind in dict.fromkeys(kind for kind, _ in mine.values()):
        alone = [name for name in mine if name not in pairs and mine[name][0] == kind]
        over = [name for name in free if other[name][0] == kind]
        strange = not any(mine[name][0] == kind for name in pairs)
        if len(alone) == len(over) and (len(alone) == 1 or strange):
            pairs |= zip(alone, over, strict=True)
            free = [name for name in free if name not in over]
    ends = [rig.controls() for rig in rigs]
    rows = [Shared(name, pairs.get(name, ""), _turned(ends, name, pairs.get(name, ""))) for name in mine]
    return (*rows, *(Shared("", name) for name in free))


_Function = tuple[str, str]  # its kind, and what it is called


def _function(rig: Rig, name: str, control: Control) -> _Function:
    part, _, own = name.partition(".")
    if own == "lever":
        return "lever", lever_moves(rig, name).casefold()
    if isinstance(rig.parts[part].part.role, PrimeMover):
        return f"mover {control.quantity}", ""
    kind = f"{own} {control.quantity}"
    return kind, (lever_moves(rig, name) if own == "floating" else part_label(rig, name)).casefold()


def _turned(controls: Sequence[Mapping[str, Control]], first: str, second: str) -> bool:
    if not (first and second):
        return False
    ends = controls[0][first].ends, controls[1][second].ends
    return ends[0] != ends[1] and ends[0] == ends[1][::-1]


def alike(first: Rig, second: Rig, now: Callable[[str], float], temperature: float) -> Rig:
    """Return the second rig so that it starts as the first one: hands as ``now`` tells, its oil as warm.

    Only the start is another one: no number of the machine is.
    """
    start, limits = dict(second.start), second.controls()
    for row in shared(first, second):
        if row.first and row.second:
            control = limits[row.second]
            value = -now(row.first) if row.turned else now(row.first)
            value = min(max(value, control.low), control.high)
            if start.get(row.second, control.start) != value:
                start[row.second] = value
    return replace(second, start=start, oil=replace(second.oil, temperature=temperature))


class SharedHands:
    """What an operator moves in two machines at once, by the names of ``rows``."""

    def __init__(self, rows: Sequence[Shared], first: Operated, second: Operated) -> None:
        self.rows = {row.name: row for row in rows}
        self.first, self.second = first, second

    def _each(self, name: str) -> Iterator[tuple[Operated, str, float]]:
        """Yield machine, control and sign of what a name stands for."""
        row = self.rows[name]
        if row.first:
            yield self.first, row.first, 1.0
        if row.second:
            yield self.second, row.second, -1.0 if row.turned else 1.0

    def control(self, name: str) -> float:
        """Return a control as it is set now, of the first machine that has it. Raises KeyError."""
        machine, own, sign = next(self._each(name))
        return sign * machine.control(own)

    def asked(self, name: str) -> float:
        """Return what a control is set to, or on its way to. Raises KeyError."""
        machine, own, sign = next(self._each(name))
        return sign * machine.asked(own)

    def set_control(self, name: str, value: float) -> None:
        """Set a control in each machine that has it. Raises KeyError, ValueError."""
        for machine, own, sign in self._each(name):
            machine.set_control(own, sign * value)

    def bring(self, name: str, value: float) -> None:
        """Bring a control of each machine that has it to a value as gently as it needs. Raises KeyError."""
        for machine, own, sign in self._each(name):
            machine.bring(own, sign * value)
