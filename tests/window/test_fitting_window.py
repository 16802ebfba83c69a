"""Fitting where there is no test point: the hazard, steps that the rig or a hand ticks, then the fit."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from board_moves import MakeBoard, pass_time
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from trainer.measuring.fitting import DEAD, Fitting, FittingStep
from trainer.measuring.instruments import new_instrument
from trainer.rig.rig import Instrument, Rig
from trainer.units import System
from trainer.window.dials.fitting_pane import short_label
from trainer.window.dials.fitting_progress import FittingProgress, moving
from trainer.window.dials.fitting_steps import FitStepsPane
from trainer.window.dials.presenter import DialsPresenter
from trainer.window.painting import fonts
from trainer.window.shell.window import BoardWindow

LEVER, CRANK = "1V1.lever", "0M1.speed_asked"
BAR = 1e5


@pytest.fixture
def closed(bench: Rig) -> Rig:
    """The bench without any test point."""
    return replace(bench, lines={name: replace(line, test_point=False) for name, line in bench.lines.items()})


def asked_for_a_gauge(window: BoardWindow, on: str = "A1") -> FitStepsPane:
    """Ask for a gauge on a line by the pane, and return the steps that open."""
    presenter = window.presenter(DialsPresenter)
    presenter.open_fit()
    presenter.pane.choose_kind("gauge", on)
    presenter.pane.asked.emit()
    return presenter.steps


def halt(window: BoardWindow) -> None:
    """Take the hands off the crank."""
    window.rack.speeds[CRANK].motion.take(0.0)
    window.session.set_control(CRANK, 0.0)


def keys(pane: FitStepsPane) -> list[str]:
    return [row.state.step.key for row in pane.rows]


def row_of(pane: FitStepsPane, key: str) -> int:
    return keys(pane).index(key)


def until_it_waits_for(window: BoardWindow, pane: FitStepsPane, step: int) -> None:
    """Move the lever to and fro, twenty seconds at most, until a step is waited for."""
    for k in range(20):
        window.rack.levers[LEVER].motion.set_exactly(1.0 if k % 2 else -1.0)
        pass_time(window, 1.0)
        if pane.waits == step:
            break
    window.rack.levers[LEVER].motion.set_exactly(0.0)
    pass_time(window, 0.2)


def press(qtbot: QtBot, pane: FitStepsPane, key: str) -> None:
    qtbot.mouseClick(pane.rows[row_of(pane, key)], Qt.MouseButton.LeftButton)


# -- on the window ---------------------------------------------------------------------------------------------------


@pytest.mark.soak
def test_the_program_waits_for_what_a_mechanic_does_first(make_board: MakeBoard, closed: Rig, qtbot: QtBot) -> None:
    """The weight is lifted, lowered and the crank let go with the real levers; the program sees it by itself."""
    window = make_board(closed)
    window.run()
    window.rack.levers[LEVER].motion.set_exactly(0.8)
    pass_time(window, 2.0)
    window.rack.levers[LEVER].motion.set_exactly(0.0)
    pass_time(window, 0.5)
    steps = asked_for_a_gauge(window)
    assert steps.isVisible()
    assert keys(steps) == ["lower", "stop", "release", "open", "fit", "leaks"]
    assert "7 bar" in steps.hazard.text()  # a jet pierces skin from about 7 bar (safety bulletins, from memory)
    assert not steps.fit_button.isEnabled()
    assert steps._waiting() == "waits for step 1"
    steps.fit_asked.emit()
    assert "P2" not in window.session.rig.instruments

    halt(window)
    until_it_waits_for(window, steps, 4)
    live = window.session.readings
    assert max(live.pressure("A1"), live.pressure("B1")) < DEAD
    assert [row.state.done for row in steps.rows] == [True, True, True, False, False, False]
    assert not steps.fit_button.isEnabled()
    press(qtbot, steps, "open")
    pass_time(window, 0.2)
    assert steps.fit_button.isEnabled()
    qtbot.mouseClick(steps.fit_button, Qt.MouseButton.LeftButton)
    assert window.session.rig.instruments["P2"].on == "A1"
    assert steps.isVisible()
    assert "P2 reads lift cylinder, cap end" in window.notice.words
    press(qtbot, steps, "leaks")
    assert not steps.isVisible()
    pass_time(window, 0.3)
    assert window.snapshot()["instruments"]["P2"] is not None


@pytest.mark.soak
def test_an_open_joint_counts_only_while_the_line_is_dead(make_board: MakeBoard, closed: Rig, qtbot: QtBot) -> None:
    window = make_board(closed)
    window.run()
    halt(window)
    steps = asked_for_a_gauge(window)
    until_it_waits_for(window, steps, 4)
    press(qtbot, steps, "open")
    pass_time(window, 0.3)
    assert steps.fit_button.isEnabled()
    window.rack.speeds[CRANK].motion.take(6.28)
    window.session.set_control(CRANK, 6.28)  # somebody cranks
    window.rack.levers[LEVER].motion.set_exactly(1.0)
    pass_time(window, 2.0)
    assert window.session.readings.pressure("A1") > DEAD
    assert not steps.fit_button.isEnabled()
    halt(window)
    until_it_waits_for(window, steps, 4)
    assert window.session.readings.pressure("A1") < DEAD
    states = {row.state.step.key: row.state.done for row in steps.rows}
    assert not states["open"]  # it has to be said again


def test_closing_and_going_back_change_nothing(make_board: MakeBoard, closed: Rig, qtbot: QtBot) -> None:
    window = make_board(closed)
    steps = asked_for_a_gauge(window)
    presenter = window.presenter(DialsPresenter)
    qtbot.mouseClick(steps.back, Qt.MouseButton.LeftButton)
    assert presenter.pane.isVisible()
    assert presenter.pane.on == "A1"
    qtbot.keyClick(presenter.pane, Qt.Key.Key_Escape)
    assert not presenter.pane.isVisible()
    assert window.drawing.state.lit == set()
    assert set(window.session.rig.instruments) == set(closed.instruments)


@pytest.mark.soak
def test_a_test_point_needs_no_steps(make_board: MakeBoard, bench: Rig) -> None:
    lines = {**bench.lines, "B1": replace(bench.lines["B1"], test_point=True)}
    window = make_board(replace(bench, lines=lines))
    steps = asked_for_a_gauge(window, "B1")
    assert not steps.isVisible()
    assert window.session.rig.instruments["P2"].on == "B1"


@pytest.mark.soak
def test_a_flow_meter_comes_off_by_steps(make_board: MakeBoard, closed: Rig, qtbot: QtBot) -> None:
    window = make_board(closed)
    window.run()
    view = window.dials.dial("Q1")
    assert view is not None
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_Delete)
    presenter = window.presenter(DialsPresenter)
    assert presenter.steps.isVisible()
    assert presenter.steps.title == "Taking Q1 off"
    assert presenter.steps.fit_button.text() == "Take off"
    halt(window)
    pass_time(window, 6.0)
    press(qtbot, presenter.steps, "open")
    pass_time(window, 0.2)
    qtbot.mouseClick(presenter.steps.fit_button, Qt.MouseButton.LeftButton)
    assert "Q1" not in window.session.rig.instruments
    assert window.dials.dial("Q1") is None


def test_what_the_instructor_hides_does_not_show(make_board: MakeBoard, bench: Rig, qtbot: QtBot) -> None:
    lines = {**bench.lines, "A1": replace(bench.lines["A1"], test_point=True)}
    window = make_board(replace(bench, lines=lines))
    window.run()
    presenter = window.presenter(DialsPresenter)
    presenter.open_fit()
    pane = presenter.pane
    pane.choose_kind("gauge", "A1")
    assert not pane.state.isVisible()
    qtbot.mouseClick(pane.hidden, Qt.MouseButton.LeftButton)
    assert pane.state.isVisible()
    qtbot.keyClick(pane.state, Qt.Key.Key_Right)
    assert pane.state.value == "bent"
    for choice, steps, value in ((pane.gain, 2, "+10 %"), (pane.snubber, 1, "3 s")):
        for _ in range(steps):
            qtbot.keyClick(choice, Qt.Key.Key_Right)
        assert choice.value == value
    qtbot.mouseClick(pane.button, Qt.MouseButton.LeftButton)
    made = window.session.rig.instruments["P2"]
    assert (made.state, made.gain, made.snubber) == ("bent", 0.1, 3.0)
    pass_time(window, 0.5)
    view = window.dials.dial("P2")
    assert view is not None
    told = f"{view.toolTip()} {view.accessibleName()} {window.notice.words} {made.label}".lower()
    assert "bent" not in told
    presenter.open_fit()
    assert (pane.state.value, pane.gain.value, pane.snubber.value) == ("sound", "0 %", "0 s")
    assert not pane.hidden.isChecked()
    qtbot.mouseClick(pane.hidden, Qt.MouseButton.LeftButton)
    for kind, spring, snubber in (("gauge", True, True), ("flow meter", True, False), ("tachometer", False, False)):
        pane.choose_kind(kind)
        assert (pane.gain.isVisible(), pane.snubber.isVisible()) == (spring, snubber), kind


def test_range_class_and_damping_are_taken(make_board: MakeBoard, bench: Rig, qtbot: QtBot) -> None:
    lines = {**bench.lines, "A1": replace(bench.lines["A1"], test_point=True)}
    window = make_board(replace(bench, lines=lines), system=System.US)
    presenter = window.presenter(DialsPresenter)
    presenter.open_fit()
    pane = presenter.pane
    pane.choose_kind("gauge", "A1", 100 * BAR)
    assert (
        pane.range_.value == "1500 psi"
    )  # 100 bar = 1450 psi (NIST SP 811); the scale ends at the next round number
    qtbot.keyClick(pane.range_, Qt.Key.Key_Right)
    qtbot.keyClick(pane.class_, Qt.Key.Key_Right)
    qtbot.keyClick(pane.damping, Qt.Key.Key_Right)
    qtbot.mouseClick(pane.button, Qt.MouseButton.LeftButton)
    made = window.session.rig.instruments["P2"]
    assert (made.range_, made.accuracy, made.damping) == (160 * BAR, 0.025, 0.3)


def test_panes_follow_units_and_theme(board: BoardWindow) -> None:
    presenter = board.presenter(DialsPresenter)
    presenter.open_fit()
    board.change_theme()
    board.change_system()
    assert presenter.pane.range_.value.endswith("psi")
    assert presenter.pane.rows.palette().base().color() == board.look.inks.colour("paper")


# -- the progress by itself ----------------------------------------------------------------------------------------


def _now(pressure: float) -> Any:
    """Return a rig of one number."""
    return SimpleNamespace(bar=pressure)


def _is_dead(live: Any) -> bool:
    return bool(live.bar < 1)


def _progress(*more: FittingStep) -> FittingProgress:
    dead = FittingStep("release", "Let the pressure off.", _is_dead)
    hand = FittingStep("open", "Open it.")
    return FittingProgress(
        Fitting((dead, hand, *more, FittingStep("fit", "Fit it."), FittingStep("leaks", "Look.")), "Care!")
    )


def test_steps_come_one_after_the_other() -> None:
    progress, under, dead = _progress(), _now(50.0), _now(0.0)
    assert progress.waits_for(under) == 1
    progress.say("open", under)
    assert progress.waits_for(dead) == 2
    progress.say("open", dead)
    assert progress.waits_for(dead) is None
    assert progress.waits_for(under) == 1
    assert progress.waits_for(dead) == 2
    progress.say("open", dead)
    progress.fitted = True
    assert [state.done for state in progress.states(under)] == [True, True, True, False]
    progress.say("leaks", under)
    assert progress.over(under)


def test_moving_takes_off_first_and_says_nothing_twice() -> None:
    stop = FittingStep("stop", "Stop the engine.", lambda live: True)
    off = Fitting(
        (
            stop,
            FittingStep("open", "Open A."),
            FittingStep("fit", "Take it out of A."),
            FittingStep("leaks", "Look."),
        ),
        "off",
    )
    on = Fitting(
        (stop, FittingStep("open", "Open B."), FittingStep("fit", "Fit it into B."), FittingStep("leaks", "Look.")),
        "on, longer",
    )
    both = moving(off, on)
    assert [step.words for step in both.steps] == [
        "Stop the engine.",
        "Open A.",
        "Take it out of A.",
        "Open B.",
        "Fit it into B.",
        "Look.",
    ]
    assert [step.key for step in both.steps].count("fit") == 1
    assert both.hazard == "on, longer"
    assert moving(Fitting((), ""), on) is on
    only_off = moving(off, Fitting((), ""))
    assert [step.key for step in only_off.steps] == ["off stop", "off open", "fit", "leaks"]


def test_labels_of_dials_are_short(loader: Rig) -> None:
    told = [
        ("gauge", "A3"),
        ("gauge", "G3"),
        ("flow meter", "3A1.B"),
        ("tachometer", "motor"),
        ("thermometer", "0Z1"),
    ]
    labels = [short_label(loader, kind, on) for kind, on in told]
    assert labels == ["boom cap end", "slew to boom", "boom rod end", "slew motor shaft", "tank 0Z1"]
    assert all(len(label) <= 18 for label in labels)


def test_words_are_wrapped_at_the_width(board: BoardWindow) -> None:
    lines = fonts.wrapped("one two three four five six seven", 14, 90.0)
    assert " ".join(lines) == "one two three four five six seven"
    assert len(lines) > 2


def test_names_are_free(loader: Rig) -> None:
    crowded = replace(loader, instruments={"P2": Instrument("P2", "gauge", "A3", BAR), **loader.instruments})
    assert new_instrument(crowded, "gauge", "A4", BAR).name == "P3"
