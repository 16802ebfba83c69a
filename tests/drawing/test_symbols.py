"""Symbols: ports on the grid, the letters of the parts, turning and mirroring, one drawn sheet."""

from __future__ import annotations

import math
import re

import pytest

from trainer.drawing.shapes import Path, Words
from trainer.drawing.svg import svg
from trainer.drawing.symbols import SYMBOLS, M
from trainer.drawing.symbols.notation import sketch
from trainer.drawing.theme import THEMES
from trainer.parts import CATALOGUE
from trainer.parts.part import Part


@pytest.mark.parametrize("name", SYMBOLS)
def test_ports_are_on_the_grid_and_apart(name: str) -> None:
    places = [(a.x, a.y) for a in SYMBOLS[name].anchors.values()]
    assert len(set(places)) == len(places)
    assert all(x % M == 0 and y % M == 0 for x, y in places)
    assert SYMBOLS[name].title


@pytest.mark.parametrize("part", CATALOGUE.values())
def test_symbol_has_the_letters_of_the_part(part: type[Part]) -> None:
    assert set(part.ports) <= set(SYMBOLS[part.symbol].anchors)  # the symbol exists and has every letter


def test_pipe_ends_on_the_outline() -> None:
    # the pump's circle is 3 M in radius, the relief's square 4 M wide (sizes of the symbol sheet)
    assert SYMBOLS["pump_fixed"].anchors["P"].inner == (0.0, -30.0)
    assert SYMBOLS["relief"].anchors["P"].inner == (0.0, 20.0)
    assert SYMBOLS["orifice"].through
    assert not SYMBOLS["pump_fixed"].through


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
@pytest.mark.parametrize("mirror", [False, True])
def test_turned_ports_leave_outwards(turn: int, mirror: bool) -> None:
    placed = SYMBOLS["relief"].placed(100.0, 200.0, turn, mirror)
    for anchor in placed.anchors.values():
        away = math.degrees(math.atan2(200.0 - anchor.y, anchor.x - 100.0)) % 360
        assert anchor.direction == round(away)


def test_four_quarter_turns_and_two_mirrorings_change_nothing() -> None:
    for symbol in SYMBOLS.values():
        assert symbol.placed(mirror=True).placed(mirror=True).anchors == symbol.anchors
        four = symbol.placed(turn=90).placed(turn=90).placed(turn=180)
        for letter, anchor in four.anchors.items():
            assert (anchor.x, anchor.y) == (symbol.anchors[letter].x, symbol.anchors[letter].y)


def test_text_and_the_sloping_arrow_stay_upright() -> None:
    motor = SYMBOLS["e_motor"].placed(turn=90, mirror=True)
    assert [shape.text for _, shape in motor.upright if isinstance(shape, Words)] == ["M"]
    for turn in (0, 90, 180):
        slope = SYMBOLS["pump_var"].placed(turn=turn, mirror=True).upright[0][1]
        assert isinstance(slope, Path)
        (x0, y0), (x1, y1) = slope.points
        assert x1 > x0  # ISO 1219-1: the arrow of adjustability points up to the right
        assert y1 < y0


def test_notation_names_the_stroke_it_cannot_read() -> None:
    with pytest.raises(ValueError, match="lime"):
        sketch("x", "x", "line(0,0 1,1); lime(0,0 1,1)")


def test_a_pump_points_out_and_a_motor_in() -> None:
    # the triangle of energy points the way it goes (DOE-HDBK-1016/1-93): out of a pump, into a motor
    def tip_and_base(name: str) -> tuple[float, float]:
        solid = next(s for s in SYMBOLS[name].shapes if isinstance(s, Path) and s.fill == "ink")
        return solid.points[0][1], solid.points[1][1]

    tip, base = tip_and_base("pump_fixed")
    assert tip < base < 0
    tip, base = tip_and_base("motor_uni")
    assert base < tip < 0


def test_sheet_of_all_symbols_is_stable_text() -> None:
    shapes = [s for symbol in SYMBOLS.values() for s in symbol.drawn()]
    text = svg(shapes, (100.0, 100.0), THEMES["light"], "sheet")
    assert text == svg(list(shapes), (100.0, 100.0), THEMES["light"], "sheet")
    numbers = re.findall(r"(?<![\w#-])-?\d[\w.+-]*", re.sub(r'="#\w+"|<\?.*\?>|http\S+', "", text))
    assert len(numbers) > 2000
    assert all(re.fullmatch(r"-?\d+(\.\d{1,2})?", number) for number in numbers)
    assert "-0" not in numbers


def test_a_check_valve_as_text() -> None:
    # ball of 1 M on a seat of 90 degrees, the feed ending at its vertex, 0.707 M from the centre of the ball
    lines = svg(SYMBOLS["check"].drawn(), (10.0, 10.0), THEMES["print"], "check").splitlines()[4:-1]
    assert lines == [
        '<polyline points="0,30 0,7.07" fill="none" stroke="#000000" stroke-width="2"/>',
        '<circle cx="0" cy="0" r="5" fill="#FFFFFF" stroke="#000000" stroke-width="2"/>',
        '<polyline points="-8.5,-1.43 0,7.07 8.5,-1.43" fill="none" stroke="#000000" stroke-width="2"/>',
        '<polyline points="0,-5 0,-30" fill="none" stroke="#000000" stroke-width="2"/>',
    ]
