"""A flow tester and a cup put into the rig on the board, and taken out again: by the mouse and by the keyboard."""

from __future__ import annotations

import pytest
from board_moves import MakeBoard, pass_time
from menu_moves import choose, offered, right_click
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from trainer.changing.put_in import takes_tester
from trainer.drawing.picking import Pick
from trainer.measuring.instruments import true_reading
from trainer.parts.testers import FlowTester, MeasuringCup
from trainer.rig.names import port_words
from trainer.rig.rig import Rig
from trainer.window.offers.presenter import OfferMenu, OfferPresenter
from trainer.window.opening.put_in import PutInPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow

CRANK = "0M1.speed_asked"
TESTER, CUP = "Put in a flow tester: ", "Catch what runs out in a cup: "


def at_port(window: BoardWindow, part: str, port: str) -> QPoint:
    """Return where a port stands on the drawing [px of its view]."""
    anchor = window.drawing.scene.layout.placed[part].symbol.anchors[port]
    return window.drawing.at(*anchor.inner).toPoint()


def entry(menu: OfferMenu, begin: str) -> str:
    """Return the entry that begins so."""
    return next(words for words in offered(menu) if words.startswith(begin))


def stopped(window: BoardWindow) -> None:
    """Take the hands off the crank and let the rig come to rest."""
    window.rack.speeds[CRANK].motion.take(0.0)
    window.session.set_control(CRANK, 0.0)
    window.run()
    pass_time(window, 2.0)


def go_through(window: BoardWindow, qtbot: QtBot, key: Qt.Key | None = None) -> None:
    """Tick what a hand must tick, by the mouse or by a key, and press the button."""
    steps = window.presenter(PutInPresenter).steps
    assert steps.isVisible()
    for row in steps.rows:
        if row.state.by_hand:
            if key is None:
                qtbot.mouseClick(row, Qt.MouseButton.LeftButton)
            else:
                qtbot.keyClick(row, key)
    pass_time(window, 0.2)
    assert steps.fit_button.isEnabled(), steps.told.text()
    if key is None:
        qtbot.mouseClick(steps.fit_button, Qt.MouseButton.LeftButton)
    else:
        qtbot.keyClick(steps.fit_button, key)


def go_through_loaded(window: BoardWindow, qtbot: QtBot) -> None:
    """Move the lever to and fro until its lines are dead, tick the rest."""
    steps = window.presenter(PutInPresenter).steps
    for k in range(20):
        window.rack.levers["1V1.lever"].motion.set_exactly(1.0 if k % 2 else -1.0)
        pass_time(window, 1.0)
        if steps.rows[2].state.done:
            break
    window.rack.levers["1V1.lever"].motion.set_exactly(0.0)
    pass_time(window, 0.2)
    go_through(window, qtbot, Qt.Key.Key_Return)


def by_menu_key(window: BoardWindow, qtbot: QtBot, thing: Pick) -> OfferMenu:
    """Open the menu of a thing with the ring by the menu key."""
    window.activateWindow()
    window.drawing.clearFocus()
    window.drawing.picks.last = thing
    window.drawing.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.keyClick(window.drawing, Qt.Key.Key_Menu)
    menu = window.presenter(OfferPresenter).menu
    assert menu is not None
    return menu


def test_a_tester_goes_in_behind_the_pump_and_comes_out_again(
    make_board: MakeBoard, bench: Rig, qtbot: QtBot
) -> None:
    """In by the mouse, out by the keyboard: what it reads is the pump's delivery, and the rig is then as before."""
    window = make_board(bench)
    rig = window.presenter(RigPresenter)
    rig.set("0V1.setting", 90e5)
    file = rig.file
    stopped(window)
    menu = right_click(window, window.drawing, at_port(window, "0P1", "P"))
    words = entry(menu, TESTER)
    choose(menu, words)
    assert "never shut it where no relief valve stands" in window.presenter(PutInPresenter).steps.hazard.text()
    go_through(window, qtbot)
    made, session = window.session.rig, window.session
    id_ = next(name for name, fitted in made.parts.items() if fitted.part is FlowTester)
    assert window.notice.words.startswith("The tester 0Z3 is in. The rig stands at its start, frozen.")
    assert (session.time, session.running) == (0.0, False)
    assert made.title == f"{bench.title}, with a flow tester"
    assert rig.file is None, "saved it is a file of its own"
    assert made.value("0V1", "setting") == 90e5
    assert [found.name for found in rig.changes.different()] == ["0V1.setting"]
    assert id_ in window.drawing.scene.boxes
    meter = next(item for item in made.instruments.values() if item.on == f"{id_}.1")
    assert len(window.dials.dials) == len(made.instruments) == len(bench.instruments) + 3
    window.run()
    pass_time(window, 1.0)
    assert true_reading(meter, session.readings) == pytest.approx(-session.readings.flow("0P1", "P"), rel=1e-3)
    stopped(window)
    menu = by_menu_key(window, qtbot, Pick("part", id_))
    choose(menu, "Take it out again")
    go_through(window, qtbot, Qt.Key.Key_Return)
    assert window.session.rig.lines == bench.lines
    assert window.session.rig.drawing == bench.drawing
    assert window.session.rig.instruments == bench.instruments
    assert window.session.rig.value("0V1", "setting") == 90e5
    assert rig.file == file
    rig.undo()
    assert window.session.asked("0V1.setting") == bench.value("0V1", "setting"), "what was done can still be undone"
    assert "Take it out again" not in offered(by_menu_key(window, qtbot, Pick("part", "0Z2")))


def test_a_cup_is_put_under_a_port_by_the_keyboard(make_board: MakeBoard, bench: Rig, qtbot: QtBot) -> None:
    """Offered where oil leaks past a seal, and not at a pump; the load comes down and the lines are dead before."""
    window = make_board(bench)
    stopped(window)
    menu = by_menu_key(window, qtbot, Pick("line", "P1"))
    assert not [words for words in offered(menu) if words.startswith(CUP)]
    menu.close()
    menu = by_menu_key(window, qtbot, Pick("part", "1A1"))
    choose(menu, f"{CUP}lift cylinder, rod end")
    steps = window.presenter(PutInPresenter).steps
    assert [row.state.step.key for row in steps.rows] == ["lower", "stop", "release", "open", "fit"]
    assert not steps.fit_button.isEnabled(), "a load hangs on it"
    assert "under a load" in steps.hazard.text()
    go_through_loaded(window, qtbot)
    made = window.session.rig
    cup = next(name for name, fitted in made.parts.items() if fitted.part is MeasuringCup)
    assert made.line_of(cup, "1").joins[0][0] == "1A1"
    assert window.presenter(PutInPresenter).can_take_out(cup)


def test_where_a_tester_does_harm_it_is_said(make_board: MakeBoard, bench: Rig) -> None:
    """Before a pump it starves it (common practice, no source); the tank's return has no hose to be taken off."""
    window = make_board(bench)
    put_in = window.presenter(PutInPresenter)
    put_in.put_tester("0P1", "S")
    assert window.notice.words.startswith("A flow tester never goes before a pump, at pump 0P1, port S")
    put_in.put_tester("0Z1", "T")
    assert "has no hose that could be taken off" in window.notice.words
    assert not put_in.steps.isVisible()
    assert window.session.rig.lines == bench.lines


def test_before_a_pump_a_tester_is_offered_behind_it(make_board: MakeBoard, bench: Rig) -> None:
    """At the suction it would be refused: what is offered there is the outlet."""
    window = make_board(bench)
    at_suction, at_outlet = (
        entry(right_click(window, window.drawing, at_port(window, "0P1", port)), TESTER) for port in "SP"
    )
    assert at_suction == f"{TESTER}{port_words(bench, '0P1', 'P')}"
    assert not takes_tester(bench, "0P1", "S")
    assert "suction" not in at_outlet.lower()
