"""The question for the class: commit, then see."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from board_moves import MakeBoard, pass_time
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.class_view.question import (
    Case,
    find_case,
    read_entry,
    verdict,
)
from trainer.window.shell.window import BoardWindow
from trainer.window.time.presenter import TimePresenter

# m g / A of the bench's weight on its piston: 255 kg x 9.80665 m/s2 / (pi/4 x (40 mm)^2)
NEEDED = 255 * 9.80665 / (math.pi / 4 * 0.04**2)


@pytest.fixture
def asked(board: BoardWindow) -> BoardWindow:
    """The bench with its weight rising, and the question put."""
    board.rack.levers["1V1.lever"].motion.set_exactly(0.8)
    pass_time(board, 1.5)
    board.change_projector()
    pass_time(board, 0.1)
    return board


def written(window: BoardWindow) -> list[str]:
    projector = window.projector
    return [text for canvas in (projector.canvas, projector.drawing.canvas) for text, _, _ in canvas.texts()]


def test_the_clock_stays_frozen_until_the_class_commits(asked: BoardWindow) -> None:
    at = asked.session.time
    asked.change_running()
    asked.presenter(TimePresenter).step()
    pass_time(asked, 0.5)
    assert asked.session.time == at
    assert "Frozen until the class commits." in written(asked)
    question = asked.snapshot()["question"]
    assert question["waiting"] is True
    assert question["read"] is None


def test_nothing_tells_the_pressure_before(asked: BoardWindow) -> None:
    assert "The weight is rising." in written(asked)
    assert "What does P1 read?" in written(asked)
    live = asked.session.readings
    for line in ("P1", "A1"):
        secret = f"{live.pressure(line) / 1e5:.1f}"
        assert not [text for text in written(asked) if secret in text]
    assert not [text for text in written(asked) if f"{NEEDED / 1e5:.1f}" in text]


def test_commit_uncovers_and_shows_the_difference(asked: BoardWindow, qtbot: QtBot) -> None:
    qtbot.keyClicks(asked.projector.entry, "20")
    qtbot.keyClick(asked.projector.entry, Qt.Key.Key_Return)
    question = asked.snapshot()["question"]
    assert question["said"] == pytest.approx(20e5)
    assert question["cover"] == 1.0
    pass_time(asked, 0.15)
    assert 0.3 < asked.snapshot()["question"]["cover"] < 0.7
    pass_time(asked, 1.5)
    question = asked.snapshot()["question"]
    assert question["cover"] == 0.0
    reading = asked.board.needles.figure("P1", System.METRIC)  # what the gauge shows, not what the oil has
    assert question["read"] == reading
    assert question["verdict"] == (f"{(reading - 20e5) / 1e5:.1f} bar", "too low")
    assert asked.projector.needle == pytest.approx(reading, rel=0.01)
    texts = written(asked)
    assert f"{reading / 1e5:.1f}" in texts
    assert f"{NEEDED / 1e5:.1f} bar" in texts
    assert "2.5 kN" in texts
    assert "12.6 cm²" in texts
    asked.change_running()
    pass_time(asked, 0.3)
    assert asked.session.running


@pytest.mark.parametrize(("system", "numerals"), [(System.METRIC, "0 20 40 60"), (System.US, "0 500 750 1000")])
def test_the_dial_can_be_read_from_its_scale(make_board: MakeBoard, system: System, numerals: str) -> None:
    """Its numerals are as large as the least words before a class, and Freeze is written whole."""
    window = make_board(system=system, size=(1280, 720))
    window.run()
    window.change_projector()
    window.projector.entry.setText("20")
    window.projector.commit()
    window.run()
    pass_time(window, 0.6)
    texts = window.projector.canvas.texts()
    sizes = {words: pixels for words, _, pixels in texts}
    assert set(numerals.split()) <= set(sizes)
    assert all(sizes[words] >= round(32 * window.projector.look.scale) for words in numerals.split())
    on_dial = [(words, box) for words, box, _ in texts if words in numerals.split()]
    for k, (words, box) in enumerate(on_dial):
        assert not any(box.intersects(other) for _, other in on_dial[:k]), words
        assert box.right() < window.projector.entry.geometry().left(), words
    assert window.projector.run.text() == "Freeze"
    assert window.projector.run.width() >= window.projector.run.sizeHint().width()


def test_it_works_in_the_other_units(make_board: MakeBoard, qtbot: QtBot) -> None:
    window = make_board(system=System.US)
    window.run()
    window.rack.levers["1V1.lever"].motion.set_exactly(0.8)
    pass_time(window, 1.5)
    window.change_projector()
    window.projector.entry.setText("300 psi")
    window.projector.commit()
    pass_time(window, 0.5)
    question = window.snapshot()["question"]
    assert question["said"] == pytest.approx(300 * 6894.757, rel=1e-6)  # NIST SP 811
    assert question["verdict"][0].endswith(" psi")
    texts = written(window)
    assert f"{NEEDED / 6894.757:.0f} psi" in texts
    assert "562 lbf" in texts  # 255 kg weigh 562 lb
    assert not [text for text in texts if " bar" in text]


REFUSED = {
    "": "Write a reading in bar first",
    "about twenty": "not a number",
    "300 psi": "Write the number in bar",
    "-4": "reads from 0 to 60 bar",
    "1e3": "in bar",
    "61": "reads from 0 to 60 bar",
    "9" * 400: "in bar",
    "nan": "not a number",
    "²": "not a number",
}


def test_a_bad_entry_is_told_and_asked_again(asked: BoardWindow) -> None:
    asked.projector.entry.setMaxLength(500)
    for entry, told in REFUSED.items():
        asked.projector.entry.setText(entry)
        asked.projector.commit()
        question = asked.snapshot()["question"]
        assert told in question["message"], entry
        assert question["waiting"] is True, entry


@pytest.mark.parametrize("entry", ["20", " 20.0 ", "20,0", "20 bar", "20 BAR", "+20"])
def test_good_entries(bench: Rig, entry: str) -> None:
    case = find_case(bench)
    assert isinstance(case, Case)
    assert read_entry(entry, case, System.METRIC) == pytest.approx(20e5)
    assert verdict(20e5, 20.04e5, case, System.METRIC) == ("Exactly", "as read")
    assert verdict(21e5, 20e5, case, System.METRIC) == ("1.0 bar", "too high")


def test_a_new_question_covers_again(asked: BoardWindow, qtbot: QtBot) -> None:
    asked.projector.entry.setText("25")
    asked.projector.commit()
    asked.change_running()
    pass_time(asked, 0.5)
    qtbot.mouseClick(asked.projector.again, Qt.MouseButton.LeftButton)
    assert asked.snapshot()["question"]["waiting"] is True
    assert not asked.session.running
    assert asked.projector.entry.text() == ""
    assert asked.projector.drawing.state.covered == {"P1"}


def test_leaving_gives_the_board_back(asked: BoardWindow) -> None:
    asked.change_projector()
    assert asked.snapshot()["page"] == "board"
    assert asked.drawing.state.covered == set()
    asked.change_running()
    at = asked.session.time
    pass_time(asked, 0.2)
    assert asked.session.time > at


def test_sizes_for_the_back_row(asked: BoardWindow) -> None:
    """At 1080 lines what must be read has 46 px of type or more, nothing has less than 32."""
    asked.resize(1920, 1080)
    asked.projector.entry.setText("25")
    asked.projector.commit()
    pass_time(asked, 0.5)
    projector = asked.projector
    scale = projector.look.scale
    for canvas in (projector.canvas, projector.drawing.canvas):
        for text, _, pixels in canvas.texts():
            assert pixels >= 31.5 * scale, text
    large = {text: pixels for text, _, pixels in projector.canvas.texts()}
    for text in ("What does P1 read?", "2.5 kN", "12.6 cm²", projector.canvas.texts()[-1][0]):
        if text in large and text[0].isdigit():
            assert large[text] >= 45.5 * scale
    assert projector.entry.font().pixelSize() >= 45.5 * scale
    assert projector.commit_button.pixels >= 45.5 * scale


def test_what_is_missing_is_said(make_board: MakeBoard, bench: Rig) -> None:
    gauges = {name: i for name, i in bench.instruments.items() if i.kind != "gauge"}
    window = make_board(replace(bench, instruments=gauges))
    window.change_projector()
    pass_time(window, 0.1)
    assert "no pressure gauge" in str(window.snapshot()["question"]["missing"])
    assert "This rig has no pressure gauge." in " ".join(written(window))
    assert window.projector.entry.isHidden()
    window.change_running()
    assert window.session.running


def test_a_weight_that_stands_is_told_as_such(board: BoardWindow) -> None:
    board.change_projector()
    pass_time(board, 0.1)
    assert "The weight stands still." in written(board)
    assert [text for text in written(board) if "does not rise" in text]
