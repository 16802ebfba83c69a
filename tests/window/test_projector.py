"""The question for the class: commit, then see."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from board_moves import MakeBoard, change_projector, opening_of, pass_time, question_of
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from trainer import resources
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.class_view.question import (
    Case,
    find_case,
    read_entry,
    verdict,
)
from trainer.window.session.screen import Screen
from trainer.window.shell.window import BoardWindow
from trainer.window.time.presenter import TimePresenter

# m g / A of the bench's weight on its piston: 255 kg x 9.80665 m/s2 / (pi/4 x (40 mm)^2)
NEEDED = 255 * 9.80665 / (math.pi / 4 * 0.04**2)


@pytest.fixture
def asked(board: BoardWindow) -> BoardWindow:
    """The bench with its weight rising, and the question put."""
    board.rack.levers["1V1.lever"].motion.set_exactly(0.8)
    pass_time(board, 1.5)
    change_projector(board)
    pass_time(board, 0.1)
    return board


def written(window: BoardWindow) -> list[str]:
    projector = question_of(window)
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
    qtbot.keyClicks(question_of(asked).entry, "20")
    qtbot.keyClick(question_of(asked).entry, Qt.Key.Key_Return)
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
    assert question_of(asked).needle == pytest.approx(reading, rel=0.01)
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
    change_projector(window)
    question_of(window).entry.setText("20")
    question_of(window).commit()
    window.run()
    pass_time(window, 0.6)
    texts = question_of(window).canvas.texts()
    sizes = {words: pixels for words, _, pixels in texts}
    assert set(numerals.split()) <= set(sizes)
    assert all(sizes[words] >= round(32 * question_of(window).look.scale) for words in numerals.split())
    on_dial = [(words, box) for words, box, _ in texts if words in numerals.split()]
    for k, (words, box) in enumerate(on_dial):
        assert not any(box.intersects(other) for _, other in on_dial[:k]), words
        assert box.right() < question_of(window).entry.geometry().left(), words
    assert question_of(window).run.text() == "Freeze"
    assert question_of(window).run.width() >= question_of(window).run.sizeHint().width()


def test_it_works_in_the_other_units(make_board: MakeBoard, qtbot: QtBot) -> None:
    window = make_board(system=System.US)
    window.run()
    window.rack.levers["1V1.lever"].motion.set_exactly(0.8)
    pass_time(window, 1.5)
    change_projector(window)
    question_of(window).entry.setText("300 psi")
    question_of(window).commit()
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
    question_of(asked).entry.setMaxLength(500)
    for entry, told in REFUSED.items():
        question_of(asked).entry.setText(entry)
        question_of(asked).commit()
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
    question_of(asked).entry.setText("25")
    question_of(asked).commit()
    asked.change_running()
    pass_time(asked, 0.5)
    qtbot.mouseClick(question_of(asked).again, Qt.MouseButton.LeftButton)
    assert asked.snapshot()["question"]["waiting"] is True
    assert not asked.session.running
    assert question_of(asked).entry.text() == ""
    assert question_of(asked).drawing.state.covered == {"P1"}


def test_leaving_gives_the_board_back(asked: BoardWindow) -> None:
    change_projector(asked)
    assert asked.snapshot()["page"] == "board"
    assert asked.drawing.state.covered == set()
    asked.change_running()
    at = asked.session.time
    pass_time(asked, 0.2)
    assert asked.session.time > at


def test_sizes_for_the_back_row(asked: BoardWindow) -> None:
    """At 1080 lines what must be read has 46 px of type or more, nothing has less than 32."""
    asked.resize(1920, 1080)
    question_of(asked).entry.setText("25")
    question_of(asked).commit()
    pass_time(asked, 0.5)
    projector = question_of(asked)
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
    change_projector(window)
    pass_time(window, 0.1)
    assert "no pressure gauge" in str(window.snapshot()["question"]["missing"])
    assert "This rig has no pressure gauge." in " ".join(written(window))
    assert question_of(window).entry.isHidden()
    window.change_running()
    assert window.session.running


def test_a_weight_that_stands_is_told_as_such(board: BoardWindow) -> None:
    change_projector(board)
    pass_time(board, 0.1)
    assert "The weight stands still." in written(board)
    assert [text for text in written(board) if "does not rise" in text]


def test_another_screen_gives_the_question_up(asked: BoardWindow) -> None:
    """The clock is kept for a question that is shown, and for no other."""
    other = Screen(asked.stage.room)
    asked.stage.show_screen(other)
    assert asked.stage.screen is other
    assert not question_of(asked).waiting
    asked.run()
    pass_time(asked, 0.2)
    assert asked.session.running
    asked.stage.show_screen(None)
    assert asked.stage.screen is None


def test_another_rig_ends_the_question_and_its_full_screen(asked: BoardWindow) -> None:
    """What is dropped on the window while a class is asked is opened on the board, in the window as it was."""
    assert asked.isFullScreen()
    old = question_of(asked)
    assert opening_of(asked).open_rig(resources.path("rigs/timber-trailer-loader.toml"))
    assert asked.stage.screen is None
    assert not asked.isFullScreen()
    assert asked.stage.actions["numbers"].isEnabled()
    pass_time(asked, 0.2)
    change_projector(asked)
    assert question_of(asked) is not old
    assert question_of(asked).session is asked.session
