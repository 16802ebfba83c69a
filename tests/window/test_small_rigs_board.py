"""The small shipped rigs on the board: at rest and working nothing overlaps, is cut or goes missing."""

from __future__ import annotations

from itertools import cycle

import pytest
from board_moves import MakeBoard, pass_time
from cases import first
from room_measures import check
from test_room import faults

from trainer import resources
from trainer.rig import file as rig_file
from trainer.units import System

SIZES = ((1280, 720), (1920, 1080))
SMALL = [name for name in resources.rigs() if name not in ("one-spool-bench", "timber-trailer-loader")]
FIRST = ["three-throttles", *(name for name in SMALL if name != "three-throttles")]


@pytest.mark.parametrize(("name", "system"), first(1, zip(FIRST, cycle((System.US, System.METRIC)), strict=False)))
def test_it_is_drawn_without_overlaps_at_rest_and_working(make_board: MakeBoard, name: str, system: System) -> None:
    rig = rig_file.load(resources.rigs()[name])
    theme = "dark" if system is System.US else "light"
    window = make_board(rig, theme=theme, system=system)
    window.run()
    pass_time(window, 0.3)
    assert not faults(window, SIZES), "at rest"
    for size in SIZES:
        window.resize(*size)
        pass_time(window, 0.1)
        window.grab()
        assert any(words.text.startswith("Pressure") for words in window.drawing.words.shown), "the colours are told"
    for lever in window.rack.levers.values():
        lever.motion.set_exactly(1.0)
    pass_time(window, 1.2)
    assert not faults(window, SIZES), "working"
    for size in SIZES:
        window.resize(*size)
        pass_time(window, 0.2)
        check(window.board, 12)


def test_a_rig_without_a_lever_gives_the_keyboard_to_its_first_control(make_board: MakeBoard) -> None:
    """Else the window gives it to the rig's name, whose ring then stands on the words."""
    window = make_board(rig_file.load(resources.rigs()["hand-pump-cab"]))
    assert window.focusWidget() is next(iter(window.rack.handles.values()))
