"""What can be wrong with an instrument, declared as the wear of a part is: its degrees, and what an operator says.

Two kinds: what has degrees and may be a number of its own ("zero", "gain", "snubber"), and the one state that an
instrument is in. All degrees are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.language import mark, tr
from trainer.rig.tables import SCALES, difference, number
from trainer.rig.text import Faults, Where, shown

__all__ = ["ERRORS", "NOTICES", "PLUGGED", "STATES", "InstrumentError", "read_error"]

_SPRUNG = ("gauge", "differential gauge", "flow meter")  # by something that can stay bent
_PIPED = ("gauge", "vacuum gauge", "differential gauge")  # oil has to come to them through a narrow place


@dataclass(frozen=True, slots=True)
class InstrumentError:
    """A number by which an instrument tells something else, by its key in the instrument's table.

    ``quantity``: "" where it is one of the scale; its degrees are then shares of the range. Else its range is
    written. ``kinds``: which instruments can have it.
    """

    kinds: tuple[str, ...]
    shares: Mapping[str, float]
    _notice: str
    _meaning: str
    quantity: str = ""
    written: tuple[str, str] = ("", "")

    @property
    def notice(self) -> str:
        """What the operator notices of it."""
        return tr(self._notice)

    @property
    def meaning(self) -> str:
        """What it means to a mechanic."""
        return tr(self._meaning)

    def degrees(self, end: float) -> dict[str, float]:
        """Return its severities [SI] on an instrument whose scale ends there [SI]."""
        return {word: share if self.quantity else share * end for word, share in self.shares.items()}


ERRORS: Mapping[str, InstrumentError] = {
    "zero": InstrumentError(
        tuple(SCALES),
        {"mild": 0.03, "marginal": 0.08, "failed": 0.2},
        mark("the gauge shows something with the machine off"),
        mark("what it shows with nothing on it"),
    ),
    "gain": InstrumentError(
        (*_PIPED, "flow meter"),
        {"mild": 0.04, "marginal": 0.1, "failed": 0.25},
        mark("the gauge says more than it ever did, and the machine goes as well as ever"),
        mark("share by which it shows more than there is, all over its scale: a tired spring"),
        "ratio",
        ("-50 %", "50 %"),
    ),
    "snubber": InstrumentError(
        _PIPED,
        {"mild": 3.0, "marginal": 30.0, "failed": 300.0},
        mark("the needle comes late, and the machine goes as ever"),
        mark("time constant of what a plugged snubber, or a cock that is nearly shut, lets through to it"),
        "time",
        ("0 s", "600 s"),
    ),
}
PLUGGED = ERRORS["snubber"].shares["failed"]  # time constant of a needle that is behind a plugged snubber [s]
_STATES: Mapping[str, tuple[tuple[str, ...], str]] = {
    "sound": (tuple(SCALES), ""),
    "bent": (_SPRUNG, mark("the gauge never goes back to zero")),
    "plugged": (_PIPED, mark("the needle creeps, minutes behind the machine")),
    "seized": (tuple(SCALES), mark("the needle stands where it stands, whatever the machine does")),
}
STATES: Mapping[str, tuple[str, ...]] = {state: kinds for state, (kinds, _) in _STATES.items()}  # -> which kinds
NOTICES: Mapping[str, str] = {state: notice for state, (_, notice) in _STATES.items() if notice}  # by an operator


def read_error(
    key: str, written: str | float, kind: str, end: float | None, where: Where, faults: Faults
) -> float | None:
    """Return an error [SI] by a number or the word of a degree; None, with a fault noted, where it is none.

    ``end`` is that of the scale [SI], None where it is not known.
    """
    error = ERRORS[key]
    if kind not in error.kinds:
        problem = tr("a {kind} has no {key}.").format(kind=tr(kind), key=key)
        remedy = tr("Leave it out. One of these has it: {kinds}.").format(
            kinds=", ".join(tr(one) for one in error.kinds)
        )
        faults.add("unknown word", where, problem, remedy)
        return None
    if error.quantity:
        return number(written, error.quantity, *error.written, where, faults, error.degrees(0.0))
    word = written.strip().lower() if isinstance(written, str) else ""
    if word in error.shares:
        return error.degrees(end or 0.0)[word]
    value = difference(written, SCALES[kind][0], where, faults)
    if value is not None and end is not None and abs(value) > end:
        problem = tr("{shown} is more than its range.").format(shown=shown(written))
        faults.add("out of range", where, problem, tr("Write how far its needle is off at zero."))
        return None
    return value
