"""What can be wrong with a rig: each written in one line, and made of a rig that is as it should be.

=====================================  ==========================================================================
``0P1.slip = failed``                  wear of a part, by a degree or a number; behind it may stand when it shows
``0V1.held_open = marginal for 8 s every 60 s, seed 3``
``1W1.mass = marginal``                more load than it is made for, by a degree or a number
``P1.state = bent``, ``P1.gain = mild``  an instrument that tells something else
``1V1.A <> 1V1.B``                     hoses put back on each other's ports
``0V1 <> 1V3``                         cartridges, or settings, put back in each other's places
=====================================  ==========================================================================

Air that was left in and oil of another grade are wear of the tank. What the operator notices stands with each.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import Any

from trainer.errors import nearest
from trainer.language import mark, tr
from trainer.parts.part import Kind, Parameter, Wear
from trainer.parts.roles import DirectionalValve, PressureLimiter
from trainer.rig.file import read_wear
from trainer.rig.instrument_faults import ERRORS, NOTICES, STATES, read_error
from trainer.rig.names import part_title
from trainer.rig.rig import Fitted, Instrument, Rig
from trainer.rig.tables import number
from trainer.rig.text import Faults, quoted

__all__ = ["Defect", "defects", "with_defects"]

_SET = re.compile(r"\s*(\w+)\.(\w+)\s*=\s*(\S.*?)\s*")
_SWAPPED = re.compile(r"\s*(\w+)(?:\.(\w+))?\s*<>\s*(\w+)(?:\.(\w+))?\s*")
_LONGEST = 160
_MORE_LOAD = {"mild": 1.25, "marginal": 1.6, "failed": 2.5}  # times as much; common practice, no source
_LOADED = ("mass", "force")
_OVERLOAD = mark("it does not lift what it should, though it lifts less as well as ever")
_HOSES = mark("since the hoses were off it goes the wrong way")
_CARTRIDGES = mark("since the valves were out one thing is weak, and another stops far too hard")


@dataclass(frozen=True, slots=True)
class Defect:
    """What can be wrong at one place. ``key`` is what is written for it, ``words`` say what it is to a mechanic.

    ``notice``: what the operator complains of. ``degrees``: by the words that stand behind the "=" [SI], or the words
    alone; none of what is swapped.
    """

    key: str
    words: str
    notice: str
    degrees: Mapping[str, float | str] = field(default_factory=dict)


def defects(rig: Rig) -> Iterator[Defect]:
    """Yield all that can be wrong with a rig, in its order."""
    for id_, fitted in rig.parts.items():
        title = part_title(rig, id_)
        for name, parameter in fitted.part.declared(Parameter).items():
            if isinstance(parameter, Wear):
                degrees = parameter.degrees(fitted.healthy(name))
                del degrees["healthy"]
                yield Defect(f"{id_}.{name}", f"{title}: {parameter.meaning}", parameter.notice, degrees)
            elif parameter.load and parameter.quantity in _LOADED:
                more = _more(parameter, fitted.value(name))
                yield Defect(f"{id_}.{name}", f"{title}: {parameter.meaning}", tr(_OVERLOAD), more)
    for name, instrument in rig.instruments.items():
        for state, notice in NOTICES.items():
            if instrument.kind in STATES[state]:
                yield Defect(f"{name}.state", name, tr(notice), {state: state})
        for key, error in ERRORS.items():
            if instrument.kind in error.kinds:
                degrees = error.degrees(instrument.range_)
                yield Defect(f"{name}.{key}", f"{name}: {error.meaning}", error.notice, degrees)
    for one, other in _swaps(rig):
        hoses = "." in one
        yield Defect(f"{one} <> {other}", tr("put back the wrong way round"), tr(_HOSES if hoses else _CARTRIDGES))


def _more(parameter: Parameter, value: float) -> dict[str, float]:
    return {word: min(times * value, parameter.high) for word, times in _MORE_LOAD.items()}


def _swaps(rig: Rig) -> Iterator[tuple[str, str]]:
    """Yield what is easily put back in the wrong place: the hoses of a valve, cartridges that are set otherwise."""
    for id_, role in rig.having(DirectionalValve).items():
        one, other = role.work
        if rig.line_of(id_, one) is not rig.line_of(id_, other):
            yield f"{id_}.{one}", f"{id_}.{other}"
    for one, other in combinations(rig.parts, 2):
        if _exchanged(rig.parts[one], rig.parts[other]):
            yield one, other


def _exchanged(one: Fitted, other: Fitted) -> list[str]:
    """Return the settings that two valves of a kind would have from each other; none where that changes nothing."""
    if one.part is not other.part or one.choices != other.choices:
        return []
    if isinstance(one.part.role, PressureLimiter):
        names = [name for name, own in one.part.declared(Parameter).items() if not own.at_rest and not own.follows]
    else:
        names = [*one.part.screws(one.choice)] if isinstance(one.part.role, DirectionalValve) else []
    return names if any(one.value(name) != other.value(name) for name in names) else []


def with_defects(rig: Rig, lines: Iterable[str]) -> Rig:
    """Return a rig with all that is written wrong with it. Raises RigError with every line that cannot be used."""
    faults, sound = Faults(rig.source), rig
    for k, line in enumerate(lines):
        where = tr("fault {number}").format(number=k + 1)
        if len(line) <= _LONGEST and (match := _SET.fullmatch(line)):
            rig = _set(rig, sound, (match[1], match[2], match[3]), where, faults)
        elif len(line) <= _LONGEST and (match := _SWAPPED.fullmatch(line)):
            rig = _swapped(rig, (match[1], match[2]), (match[3], match[4]), where, faults)
        else:
            faults.add(
                "bad fault", where, tr("{line} says nothing that can be wrong.").format(line=quoted(line)),
                tr('Write "0P1.slip = failed", or "1V1.A <> 1V1.B".'),
            )  # fmt: skip
    faults.stop()
    return rig.checked()


def _set(rig: Rig, sound: Rig, said: tuple[str, str, str], where: str, faults: Faults) -> Rig:
    """Return a rig with a number or a word of one of its parts or instruments; ``sound`` is as it was before all."""
    owner, name, written = said
    if owner in rig.instruments:
        changed = _instrument(rig.instruments[owner], name, written, where, faults)
        return rig if changed is None else replace(rig, instruments={**rig.instruments, owner: changed})
    fitted = rig.parts.get(owner)
    if fitted is None:
        _unknown(owner, [*rig.parts, *rig.instruments], where, faults)
        return rig
    known = {n: p for n, p in fitted.part.declared(Parameter).items() if isinstance(p, Wear) or p.load}
    parameter = known.get(name)
    if parameter is None:
        _unknown(f"{owner}.{name}", [f"{owner}.{own}" for own in known], where, faults)
        return rig
    shows = {own: one for own, one in fitted.shows.items() if own != name}
    if isinstance(parameter, Wear):
        healthy = sound.parts[owner].healthy(name)
        value, showing = read_wear(written, parameter, healthy, where, faults)
        if showing is not None:
            shows[name] = showing if healthy == fitted.new(name) else replace(showing, other=healthy)
    else:
        more = _more(parameter, sound.value(owner, name)) if parameter.quantity in _LOADED else {}
        low, high = parameter.range_written
        value = number(written, parameter.quantity, low, high, where, faults, more)
    if value is None:
        return rig
    changed_part = replace(fitted, values={**fitted.values, name: value}, shows=shows)
    return replace(rig, parts={**rig.parts, owner: changed_part})


def _instrument(instrument: Instrument, name: str, written: str, where: str, faults: Faults) -> Instrument | None:
    """Return an instrument in another state or with an error; None where that cannot be."""
    if name == "state":
        states = [state for state, kinds in STATES.items() if instrument.kind in kinds]
        if written in states:
            return replace(instrument, state=written)
        faults.add(
            "unknown word", where, tr("{written} is no state of this instrument.").format(written=quoted(written)),
            nearest(written, states) or tr("Write one of {states}.").format(states=", ".join(states)),
        )  # fmt: skip
        return None
    if name not in ERRORS:
        known = ["state", *(own for own, error in ERRORS.items() if instrument.kind in error.kinds)]
        _unknown(f"{instrument.name}.{name}", [f"{instrument.name}.{own}" for own in known], where, faults)
        return None
    error = read_error(name, written, instrument.kind, instrument.range_, where, faults)
    changed: dict[str, Any] = {name: error}
    return None if error is None else replace(instrument, **changed)


def _unknown(key: str, known: Iterable[str], where: str, faults: Faults) -> None:
    known = list(known)
    faults.add(
        "unknown fault", where, tr("nothing can be wrong at {key} here.").format(key=quoted(key)),
        nearest(key, known) or tr("Known here: {known}.").format(known=", ".join(known[:20])),
    )  # fmt: skip


def _swapped(rig: Rig, one: tuple[str, str | None], other: tuple[str, str | None], where: str, faults: Faults) -> Rig:
    for id_, port in (one, other):
        if id_ not in rig.parts:
            _unknown(id_, rig.parts, where, faults)
            return rig
        ports = rig.parts[id_].part.ports
        if port is not None and ports.get(port) is not Kind.OIL:
            oil = [f"{id_}.{name}" for name, kind in ports.items() if kind is Kind.OIL]
            _unknown(f"{id_}.{port}", oil, where, faults)
            return rig
    (id_, port), (id2, port2) = one, other
    if port is not None and port2 is not None:
        return _hoses(rig, (id_, port), (id2, port2))
    names = [] if port or port2 else _exchanged(rig.parts[id_], rig.parts[id2])
    if not names:
        faults.add(
            "bad fault", where, tr("{one} and {other} cannot be taken for each other.").format(one=id_, other=id2),
            tr("Name two valves of one kind that are set otherwise, or two ports."),
        )  # fmt: skip
        return rig
    left, right = rig.parts[id_], rig.parts[id2]
    swapped = {
        id_: replace(left, values={**left.values, **{name: right.value(name) for name in names}}),
        id2: replace(right, values={**right.values, **{name: left.value(name) for name in names}}),
    }
    return replace(rig, parts={**rig.parts, **swapped})


def _hoses(rig: Rig, one: tuple[str, str], other: tuple[str, str]) -> Rig:
    """Return a rig in which two ports are on each other's lines; these lines are drawn by no way of the author's."""
    to = {one: other, other: one}
    moved = {
        name: replace(line, joins=tuple(to.get(pair, pair) for pair in line.joins))
        for name, line in rig.lines.items()
        if not to.keys().isdisjoint(line.joins)
    }
    drawing = dict(rig.drawing)
    if "routes" in drawing:
        drawing["routes"] = {name: way for name, way in drawing["routes"].items() if name not in moved}
    return replace(rig, lines={**rig.lines, **moved}, drawing=drawing)
