"""Controllers before the window: from the stick to the picture, lost ones, what leads nothing, the page of hands."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from board_moves import FRAME, MakeBoard, pass_time, there
from cases import first, shipped
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLabel, QWidget
from pytestqt.qtbot import QtBot
from virtual_pads import VirtualPad, plugged_in

from trainer.drawing.shapes import Words
from trainer.operating.hands_kept import kept_hands
from trainer.operating.patterns import Lead
from trainer.operating.sdl import ExtraMissing
from trainer.rig.rig import Rig
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.choice import ValueChoice
from trainer.window.hands.presenter import HandsPresenter
from trainer.window.hands.screen import HandsScreen
from trainer.window.shell.window import BoardWindow

LEFT, RIGHT = "1V1.lever", "2V1.lever"


@pytest.fixture
def plug_in() -> Iterator[Any]:
    with plugged_in() as plug:
        yield plug


@pytest.fixture
def lifts(make_board: MakeBoard, qtbot: QtBot, tmp_path: Path) -> BoardWindow:
    """The small rig with two levers; controllers are read."""
    window = make_board(shipped("bank-parallel"))
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    hands = window.presenter(HandsPresenter)
    assert hands.keep_in(tmp_path) == ""
    hands.begin()
    window.run()
    pass_time(window, 0.1)
    return window


def notice(window: BoardWindow) -> str:
    return str(window.snapshot()["notice"])


def test_from_the_stick_to_the_picture_it_takes_three_frames_at_most(lifts: BoardWindow, plug_in: Any) -> None:
    """Wherever in a frame it is moved, and whether time passes or not: 50 ms are three frames of 1/60 s.

    A picture is the lever painted where the stick is, with an instant that was solved with it.
    """
    pad: VirtualPad = plug_in()
    pass_time(lifts, 0.1)
    lever, frames = lifts.rack.levers[LEFT], []
    shown: list[float] = []
    lifts.controller.instant.connect(lambda live, *_: shown.append(live.control("1V1", "lever")))
    for k in range(100):
        share = (k % 7 - 3.5) / 4
        pad.put("left along", share)
        wanted = pytest.approx((abs(share) - 0.08) / 0.92, abs=2e-3)
        shown.clear()
        count = 0
        while count < 9 and (not shown or abs(shown[-1]) != wanted):
            lifts.tick(FRAME)
            count += 1
        frames.append(count)
        assert abs(lever.motion.value) == wanted
    assert sorted(frames)[98] <= 3
    lifts.run(False)
    pad.put("left along", 1.0)
    lifts.tick(FRAME)
    assert abs(lever.value()) == 100  # set, though the clock stands
    assert lever.stands is not None


def test_with_few_pictures_a_stick_still_comes_at_once(lifts: BoardWindow, plug_in: Any) -> None:
    """A slow computer that shows ten a second: the one in which a hand begins to move does not wait."""
    pad: VirtualPad = plug_in()
    pass_time(lifts, 0.1)
    shown: list[float] = []
    lifts.controller.instant.connect(lambda live, *_: shown.append(live.control("1V1", "lever")))
    lifts.controller.pace._at = 4
    pass_time(lifts, 0.5)
    shown.clear()
    pad.put("left along", -0.5)
    pass_time(lifts, 3 * FRAME)
    assert shown
    assert shown[0] != 0.0


def test_a_lost_controller_freezes_the_clock_and_lets_the_levers_spring_back(
    lifts: BoardWindow, plug_in: Any
) -> None:
    pad: VirtualPad = plug_in()
    pass_time(lifts, 0.1)
    assert "moves the levers. Ctrl+H shows how." in notice(lifts)
    pad.put("left along", 1.0)
    pass_time(lifts, 0.2)
    assert abs(lifts.session.control(LEFT)) == 1.0
    assert lifts.controller.operator.levers[LEFT].mover == "stick"
    pad.pull_out()
    pass_time(lifts, 0.3)
    assert not lifts.session.running
    assert "Controller lost: keys and mouse work. The clock is frozen." in notice(lifts)
    assert lifts.presenter(HandsPresenter).says == "Controller lost: keys and mouse work."
    assert lifts.rack.levers[LEFT].motion.value == 0.0
    lifts.run()
    lifts.rack.levers[LEFT].motion.press(1)
    pass_time(lifts, 0.2)
    assert lifts.session.control(LEFT) > 0.3  # keys work
    assert lifts.presenter(HandsPresenter).says == ""
    lifts.rack.levers[LEFT].motion.release(1)
    plug_in()
    pass_time(lifts, 0.3)
    assert lifts.session.running


def test_a_stick_off_its_centre_is_to_be_let_go_first(lifts: BoardWindow, plug_in: Any) -> None:
    pad: VirtualPad = plug_in()
    pad.put("left along", 0.7)
    pass_time(lifts, 0.2)
    assert notice(lifts) == "Let go of the sticks." == lifts.presenter(HandsPresenter).says
    assert lifts.session.control(LEFT) == 0.0
    pad.put("left along", 0.0)
    pass_time(lifts, 0.1)
    pad.put("left along", 0.7)
    pass_time(lifts, 0.1)
    assert abs(lifts.session.control(LEFT)) > 0.6


def test_after_a_reset_sticks_are_to_be_let_go_first(lifts: BoardWindow, plug_in: Any) -> None:
    pad: VirtualPad = plug_in()
    pass_time(lifts, 0.1)
    pad.put("left along", -1.0)
    pass_time(lifts, 0.2)
    lifts.reset()
    lifts.run()
    pass_time(lifts, 0.2)
    assert lifts.session.control(LEFT) == 0.0
    assert notice(lifts) == "Let go of the sticks."


def test_sticks_lead_nothing_behind_another_window_and_while_nothing_may_move(
    lifts: BoardWindow, plug_in: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    pad: VirtualPad = plug_in()
    pass_time(lifts, 0.1)
    pad.put("left along", 1.0)
    with monkeypatch.context() as patch:
        patch.setattr(lifts, "isActiveWindow", lambda: False)
        pass_time(lifts, 0.1)
        assert lifts.session.control(LEFT) == 0.0
    pass_time(lifts, 0.1)
    assert lifts.session.control(LEFT) == 0.0  # it was not let go yet
    pad.put("left along", 0.0)
    pass_time(lifts, 0.1)
    lifts.controller.covers.put(lifts.controller.covers.cover, led="The lesson moves the levers")
    pad.put("left along", 1.0)
    pass_time(lifts, 0.1)
    assert lifts.session.control(LEFT) == 0.0
    lifts.controller.covers.lift()


def test_a_stick_wakes_a_board_that_rests(lifts: BoardWindow, plug_in: Any) -> None:
    pad: VirtualPad = plug_in()
    hands = lifts.presenter(HandsPresenter)
    pass_time(lifts, 0.1)
    lifts.run(False)
    lifts.controller._sleep()
    hands._look()
    hands._look()
    assert lifts.controller.asleep
    pad.put("left along", 0.5)
    hands._look()
    assert not lifts.controller.asleep
    lifts.controller.stop()
    lifts.controller._sleep()
    hands._look()
    pad.pull_out()
    hands._look()
    assert not lifts.controller.asleep
    lifts.controller.stop()


def test_without_the_extra_the_board_is_as_ever(lifts: BoardWindow) -> None:
    hands = lifts.presenter(HandsPresenter)
    hands.close()

    def missing() -> Any:
        raise ExtraMissing("This needs one more package.")

    hands.begin(missing)
    pass_time(lifts, 0.1)
    assert page_of(lifts).there.text() == "This needs one more package."


class _Monkey:
    """Hands that do whatever there is to do, in whatever order."""

    def __init__(self, window: BoardWindow, plug_in: Any, seed: int) -> None:
        self.window, self.plug_in, self.chance = window, plug_in, random.Random(seed)
        self.hands = window.presenter(HandsPresenter)
        self.levers = window.controller.operator.levers
        self.pads: list[VirtualPad] = [plug_in(), plug_in(both=False)]
        self.down: set[tuple[str, int]] = set()

    def push(self) -> None:
        pad = self.chance.choice(self.pads)
        names = ("left across", "left along", "right across", "right along") if pad.both else ("across", "along")
        pad.put(self.chance.choice(names), self.chance.choice((0.0, 0.0, self.chance.uniform(-1.0, 1.0))))

    def key(self) -> None:
        name, way = key = (self.chance.choice((LEFT, RIGHT)), self.chance.choice((-1, 1)))
        (self.levers[name].release if key in self.down else self.levers[name].press)(way)
        self.down ^= {key}

    def come_or_go(self) -> None:
        if len(self.pads) < 2 or self.chance.random() < 0.5:
            self.pads.append(self.plug_in(self.chance.random() < 0.5))
        else:
            self.pads.pop(self.chance.randrange(len(self.pads))).pull_out()

    def set_up(self) -> None:
        screen = self.hands.screen
        if screen is not None and self.window.stage.screen is screen:
            screen.list.choose(self.chance.choice((LEFT, RIGHT)))
            self.chance.choice((screen._find, screen._back, screen._swap, self.hands.setup.add))()

    def time(self) -> None:
        window = self.window
        back = self.chance.uniform(0.0, window.session.time)
        self.chance.choice((window.run, window.run, lambda: window.run(False), lambda: window.rewind(back)))()

    def do(self) -> None:
        deeds = (self.push, self.key, self.come_or_go, self.hands.change_screen, self.set_up, self.time,
                 self.window.reset, self.window.rack.let_go)  # fmt: skip
        self.chance.choices(deeds, (50, 20, 5, 4, 6, 12, 1, 2))[0]()

    def let_go(self) -> None:
        for name, way in self.down:
            self.levers[name].release(way)
        for pad in self.pads:
            pad.pull_out()
        if self.window.stage.screen is not None:
            self.hands.change_screen()


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(4))
def test_whatever_hands_do_in_whatever_order_no_lever_stays_out(lifts: BoardWindow, plug_in: Any, seed: int) -> None:
    """But one that stands where it stood at an instant that was gone back to: there it is held."""
    monkey = _Monkey(lifts, plug_in, seed)
    for _ in range(1500):
        monkey.do()
        lifts.tick(FRAME)
        assert all(-1.0 <= lever.value <= 1.0 for lever in monkey.levers.values())
    monkey.let_go()
    pass_time(lifts, 0.1)
    for lever in monkey.levers.values():
        lever.held = False
    lifts.run()
    pass_time(lifts, 0.5)
    assert [lifts.session.control(name) for name in (LEFT, RIGHT)] == [0.0, 0.0]


# -- the page of hands -------------------------------------------------------------------------------------------


def page_of(window: BoardWindow) -> HandsScreen:
    hands = window.presenter(HandsPresenter)
    hands.show_screen()
    pass_time(window, 2 * FRAME)
    return there(hands.screen)


def test_a_stick_that_is_pushed_leads_the_lever_that_was_asked_for(
    lifts: BoardWindow, plug_in: Any, qtbot: QtBot, tmp_path: Path
) -> None:
    pad: VirtualPad = plug_in()
    pass_time(lifts, 0.1)
    screen = page_of(lifts)
    screen.list.choose(RIGHT)
    qtbot.keyClick(screen.list, Qt.Key.Key_Return)
    pass_time(lifts, 0.1)
    assert "push a stick the way that is to be “up”" in screen.hint.text()
    pad.put("right across", -1.0)
    pass_time(lifts, 0.1)
    assert screen.setup.pattern.leads[RIGHT] == Lead("right across", True)
    assert screen.hint.text() == ""
    words = [shape.text for shape in screen._picture() if isinstance(shape, Words)]
    assert words.count("Tilt") == 2
    assert lifts.session.control(RIGHT) == 0.0  # on this page sticks move no lever
    pad.put("right across", 0.0)
    pass_time(lifts, 0.1)
    qtbot.keyClick(screen, Qt.Key.Key_Escape)
    assert lifts.stage.screen is None
    pass_time(lifts, 0.1)
    pad.put("right across", -1.0)
    pass_time(lifts, 0.1)
    assert lifts.session.control(RIGHT) == 1.0
    kept, _ = kept_hands(tmp_path / "hands.json")
    assert kept.rigs[lifts.session.rig.title].patterns[0].leads[RIGHT] == Lead("right across", True)


def test_without_a_controller_a_pattern_is_copied_by_the_keyboard_alone(
    lifts: BoardWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    screen = page_of(lifts)
    assert screen.list.hasFocus()
    assert "No controller is plugged in" in screen.there.text()
    first = dict(screen.setup.pattern.leads)
    for button in (screen.add, screen.rename):
        button.setFocus()
        qtbot.keyClick(button, Qt.Key.Key_Return)
    screen.line.clear()
    qtbot.keyClicks(screen.line, "Red forwarder 2")
    qtbot.keyClick(screen.line, Qt.Key.Key_Return)
    assert not screen.line.isVisible()
    screen.list.choose(LEFT)
    screen.slot.setFocus()
    while screen.slot.value != "left stick, left and right":
        place = screen.slot.place
        qtbot.keyClick(screen.slot, Qt.Key.Key_Left)
        assert screen.slot.place < place
    screen.way.setFocus()
    qtbot.keyClick(screen.way, Qt.Key.Key_Right)
    assert screen.setup.pattern.leads[LEFT].slot == "left across"
    kept, _ = kept_hands(tmp_path / "hands.json")
    hands = kept.rigs[lifts.session.rig.title]
    assert [one.name for one in hands.patterns] == ["First pattern", "Red forwarder 2"]
    assert hands.chosen == 1
    assert hands.patterns[0].leads == first
    screen.pattern.setFocus()
    qtbot.keyClick(screen.pattern, Qt.Key.Key_Left)
    assert screen.setup.pattern.leads == first
    qtbot.keyClick(screen.pattern, Qt.Key.Key_Right)
    screen.remove.click()
    assert [one.name for one in screen.setup.hands.patterns] == ["First pattern"]
    assert not screen.remove.isEnabled()
    qtbot.keyClick(screen, Qt.Key.Key_H, Qt.KeyboardModifier.ControlModifier)
    assert lifts.stage.screen is None


def test_centres_and_ends_are_found_and_how_an_axis_is_felt_is_set(
    lifts: BoardWindow, plug_in: Any, qtbot: QtBot
) -> None:
    pad: VirtualPad = plug_in()
    pass_time(lifts, 0.1)
    screen = page_of(lifts)
    pad.put("left along", 0.1)  # worn: it rests there
    pad.put("right along", 0.0)
    pass_time(lifts, 0.1)
    screen.seek.click()
    assert "Let go of all sticks" in screen.hint.text()
    pass_time(lifts, 0.1)
    screen.seek.click()
    for share in (0.8, -0.7, 0.1):
        pad.put("left along", share)
        pass_time(lifts, 2 * FRAME)
    assert "1 of 5 axes" in screen.hint.text()
    screen.seek.click()
    assert screen.hint.text() == "1 axis was found. 4 did not go to both ends: as before."
    screen.list.choose(LEFT)
    screen.dead.step(1)
    screen.curve.step(2)
    screen.axis.step(1)
    (shown,) = screen.sticks.pads
    travel = screen.sticks.travel(shown, "left along")
    assert (travel.low, travel.high) == pytest.approx((-0.7, 0.8), abs=1e-3)
    assert travel.centre == pytest.approx(0.1, abs=1e-3)
    assert (travel.dead, travel.curve, travel.turned) == (0.12, 0.6, True)
    screen.alike.click()
    other = screen.sticks.travel(shown, "right along")
    assert (other.dead, other.curve, other.turned) == (0.12, 0.6, False)
    screen.seek.click()
    qtbot.keyClick(screen, Qt.Key.Key_Escape)  # gives it up, and stays
    assert screen.setup.calibrating is None
    assert lifts.stage.screen is screen


@pytest.mark.parametrize("both", first(1, (True, False)))
def test_nothing_on_the_page_is_cut_or_lies_on_another(
    make_board: MakeBoard, loader: Rig, plug_in: Any, both: bool
) -> None:
    window = make_board(loader)
    window.presenter(HandsPresenter).begin()
    plug_in(both)
    plug_in(both)
    screen = page_of(window)
    screen.setup.name("W" * 40)
    for size in ((1280, 720), (1920, 1080), (960, 540)):
        window.resize(*size)
        QApplication.processEvents()
        assert window.size().toTuple() == size
        for calibrating in (False, True):
            screen._find() if calibrating else screen.setup.give_up()
            screen.list.choose("2V1.lever")
            screen.fill()
            screen.page.column.activate()
            QApplication.processEvents()
            shown = [
                child for child in screen.page.children()
                if isinstance(child, QWidget) and child.isVisible()
                and not (isinstance(child, QLabel) and not child.text())
            ]  # fmt: skip
            assert len(shown) > 12
            for child in shown:
                assert screen.page.rect().contains(child.geometry()), (size, child)
                if isinstance(child, (ValueChoice, WordButton)):
                    assert child.width() >= child.sizeHint().width(), (size, child)
            for one, other in itertools.combinations(shown, 2):
                assert not one.geometry().intersects(other.geometry()), (size, one, other)


def test_single_sticks_change_hands_on_the_page(lifts: BoardWindow, plug_in: Any) -> None:
    plug_in(both=False)
    pass_time(lifts, 0.1)
    screen = page_of(lifts)
    assert screen.swap.isVisible()
    assert "(right hand)" in screen.there.text()
    screen.swap.click()
    pass_time(lifts, 2 * FRAME)
    assert "(left hand)" in screen.there.text()
