"""What is written beside the symbols: ids, names and the data that ISO 1219-2 asks for, in either system."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import partial

from trainer import units
from trainer.drawing.functions import function_of, twins
from trainer.drawing.layout import lay_out
from trainer.drawing.placed import Layout, Placed, circuit, reach
from trainer.drawing.shapes import Words
from trainer.drawing.symbols.manner import LabelPlace
from trainer.drawing.theme import Theme
from trainer.drawing.type_widths import text_width
from trainer.language import tr
from trainer.parts.part import Parameter
from trainer.parts.roles import (
    Actuator,
    Conduit,
    DirectionalValve,
    Load,
    PrimeMover,
    Pump,
    Tank,
    Transmission,
)
from trainer.rig.live import Number
from trainer.rig.names import kind_words
from trainer.rig.rig import Fitted, Rig
from trainer.units import System

__all__ = ["figure", "label_lines", "labels", "laid_out", "oil_block", "pressure_place", "return_place"]

Value = Callable[[str], float]
_NUMBER = re.compile(r"\{(\w+)(\.?)\}")  # of a plate: a number with its unit, or {name.} without
_MARGIN = 4.0  # between a label and the edge of the sheet [px]
_NAME = 22.5  # the largest name that fits between two columns [px]


def figure(value: float, quantity: str, system: System, decimals: int | None = None) -> str:
    """Return a value with its unit in one system, such as "50 bar"."""
    return " ".join(units.text(value, quantity, system, decimals))


def _short(value: float, quantity: str, system: System) -> str:
    """Return a value with as few decimals as it needs (a setting, a size)."""
    for decimals in range(4):
        text, unit = units.text(value, quantity, system, decimals)
        exact = units.shown_unit(quantity, system)
        shown = round(exact.number(value), decimals)
        if abs(exact.value(shown) - value) <= 4e-3 * abs(value) + 1e-15:
            break
    return f"{text} {unit}"


def _data(placed: Placed, rig: Rig, value: Value, system: System) -> list[str]:
    """Return what a part's plate says, its numbers in the units of the system."""
    part = placed.fitted.part
    known = part.declared(Parameter)

    def number(match: re.Match[str]) -> str:
        shown = _short(value(match[1]), known[match[1]].quantity, system)
        return shown.split()[0] if match[2] else shown

    found = [_NUMBER.sub(number, line) for line in part.plate]
    if found and isinstance(part.role, Tank) and not oil_block(rig):
        found[0] += f"  {rig.oil.grade}"
    return found


def oil_block(rig: Rig) -> bool:
    """Return whether the oil is told in a corner of the drawing: where a bank is drawn and no thermometer is."""
    return len(rig.having(DirectionalValve)) > 1 and all(
        instrument.kind != "thermometer" for instrument in rig.instruments.values()
    )


def label_lines(placed: Placed, rig: Rig, value: Value, system: System) -> list[tuple[str, bool]]:
    """Return the lines of a part's label and whether each is set as a name."""
    fitted = placed.fitted
    data = [(line, False) for line in _data(placed, rig, value, system)]
    first = [(fitted.label, True), (fitted.id, False)] if fitted.label else [(fitted.id, False)]
    match placed.role:
        case Load() if not data:
            return []
        case Tank():
            return [(f"{fitted.id}  {data[0][0]}" if data else fitted.id, False)]
        case DirectionalValve():
            return [(fitted.id, False)]
        case Actuator():
            return _actuator_lines(fitted, rig, data)
        case PrimeMover() | Conduit(hose=False) | Transmission(geared=False):
            words = fitted.label.lower() or kind_words(fitted.part).removesuffix(f" {tr('engine')}")
            first = [(f"{fitted.id}  {words}", False)]
    return [*first, *data]


def _actuator_lines(fitted: Fitted, rig: Rig, data: list[tuple[str, bool]]) -> list[tuple[str, bool]]:
    """Return function, ids and sizes of an actuator; twins are told once, with the first of them."""
    pairs = twins(rig)
    ids = pairs.get(fitted.id, (fitted.id,))
    if any(fitted.id in others[1:] for others in pairs.values()):
        return []
    if len(ids) > 1 and data:
        data = [(f"{len(ids)} × {data[0][0]}", False), *data[1:]]
    function = function_of(rig, fitted.id)
    return [(function, True), (", ".join(ids), False), *data] if function else [(", ".join(ids), True), *data]


def driven_by_engine(placed: Placed, rig: Rig) -> bool:
    """Return whether a combustion engine sits on the shaft of a pump, at its left."""
    role = placed.role
    if not isinstance(role, Pump) or not role.shaft or placed.symbol.anchors[role.shaft].x >= placed.x:
        return False
    shaft = rig.line_of(placed.fitted.id, role.shaft)
    return any(mover.burns for _, _, mover in rig.at_ports(shaft.name, PrimeMover))


def _label_place(placed: Placed, rig: Rig) -> LabelPlace | None:
    """Return the place that the symbol gives to its label, if any."""
    own, places = circuit(placed.fitted.id), placed.symbol.manner.labels
    kinds = ["upright" if placed.upright else "level", ""]
    if "banked" in places and any(circuit(id_) == own for id_ in rig.having(DirectionalValve)):
        kinds.insert(0, "banked")
    if "driven" in places and driven_by_engine(placed, rig):
        kinds.insert(0, "driven")
    return next((places[kind] for kind in kinds if kind in places), None)


def _anchor(placed: Placed, rig: Rig, theme: Theme, count: int) -> tuple[float, float, str]:
    """Return where a label's first line goes and how it is set."""
    x, y = placed.x, placed.y
    left, top, right, bottom = placed.box
    size = theme.label
    place = _label_place(placed, rig)
    if place is not None:
        across = {"left": left, "right": right}.get(place.beside, x) + place.across
        down = {"top": top, "bottom": bottom}.get(place.below, y) + place.down
        return across, down + (place.rows - (count - 1) * place.lifted) * size, place.align
    if right - left > 1.6 * (bottom - top):
        return (left + right) / 2, top - 17 - (count - 1) * 1.15 * size, "centre"
    return right + 10, y + 0.35 * size, "left"


def _meets(part: Placed, placed: Mapping[str, Placed], x: float, y: float, wide: float) -> bool:
    """Return whether a label to the right of its part would lie on another part."""
    for other in placed.values():
        left, top, right, bottom = reach(other)
        if other is not part and left < x + wide and right > x and top < y + 10 and bottom > y - 14:
            return True
    return False


def line_gap(theme: Theme, named: bool) -> float:
    """Return the distance from a label's line to the one before it [px]."""
    return 1.12 * (theme.name_size if named else theme.label)


def labels(
    placed: Mapping[str, Placed], rig: Rig, theme: Theme, system: System, number: Number | None = None
) -> list[Words]:
    """Return the labels of all parts but vessels, with the rig's numbers or the present ones."""

    def value(part: str, name: str) -> float:
        return number(part, name) if number is not None else rig.parts[part].value(name)

    shapes: list[Words] = []
    for id_, part in placed.items():
        if part.vessel is not None or part.elsewhere:
            continue
        lines = label_lines(part, rig, partial(value, id_), system)
        if not lines:
            continue
        x, y, align = _anchor(part, rig, theme, len(lines))
        wide = 0.5 * theme.label * max(len(text) for text, _ in lines)
        other_side = part.box[0] - 10
        crowded = align == "left" and _meets(part, placed, x, y, wide)
        if crowded and not _meets(part, placed, other_side - wide, y, wide):
            x, align = other_side, "right"
        for k, (text, named) in enumerate(lines):
            size = min(theme.name_size, _NAME) if named else theme.label
            if k:
                y += line_gap(theme, named)
            shapes.append(Words(x, y, text, size, "ink" if named else "ink2", 600 if named else 400, align))
    return shapes


def laid_out(rig: Rig, theme: Theme, system: System) -> tuple[Layout, list[Words]]:
    """Return where every part is drawn, no label left of or above the sheet, and the labels. Raises RigError."""
    layout = lay_out(rig)
    written = labels(layout.placed, rig, theme, system)
    left = top = _MARGIN
    for words in written:
        wide = text_width(words.text, words.size, words.weight)
        left = min(left, words.x - wide * {"left": 0.0, "centre": 0.5, "right": 1.0}[words.align])
        top = min(top, words.y - words.size)
    if min(left, top) < _MARGIN:
        layout = lay_out(rig, (_MARGIN - left, _MARGIN - top))
        written = labels(layout.placed, rig, theme, system)
    return layout, written


def pressure_place(part: Placed, rig: Rig, theme: Theme, system: System) -> tuple[float, float, str]:
    """Return where the first of an actuator's port pressures stands: below it, else below its label."""
    x, y = part.x, part.y
    if isinstance(part.role, Actuator) and not part.role.linear:
        return x, y + 72 + theme.label, "centre"
    if part.upright:
        if part.fitted.id in twins(rig):
            return x + 24, y + 47 + theme.label, "right"
        if part.symbol.manner.body == "through":  # beside the rod that leaves there
            return x - 12, y + 47 + theme.label, "right"
        return x, y + 47 + theme.label, "centre"
    lines = label_lines(part, rig, part.fitted.value, system)
    x, y, align = _anchor(part, rig, theme, len(lines))
    if isinstance(part.role, Actuator):
        return part.x, part.box[3] + 30 + theme.label, "centre"
    below = sum(line_gap(theme, named) for _, named in lines[1:])
    return x, y + below + 1.35 * theme.label, align


def return_place(part: Placed, theme: Theme) -> tuple[float, float, str]:
    """Return where the flow through a return filter stands: under its label."""
    if part.turn % 180 == 0:
        return part.x + 18, part.y + 50 + 1.15 * theme.label, "left"
    return part.box[2] + 8, part.y + 1.5 * theme.label, "left"
