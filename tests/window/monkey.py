"""A monkey at the real window: random keys, clicks, drags, wheels, menus, sizes, instants, numbers, instruments.

What it does follows from its seed alone: the window is moved by seconds of its own; no dialog of the system opens.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable
from pathlib import Path
from random import Random

from board_moves import FRAME, Clock, opening_of, there
from ledgers import flow_ledger, open_by, power_ledger
from PySide6.QtCore import QKeyCombination, QPoint, QPointF, Qt
from PySide6.QtGui import QContextMenuEvent, QKeySequence, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QWidget

from trainer import resources
from trainer.measuring.instruments import RANGES, places
from trainer.window.controls.keys import KEYS
from trainer.window.dials.presenter import DialsPresenter
from trainer.window.offers.presenter import OfferPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow

__all__ = ["Monkey"]

_SIZES = ((960, 540), (1280, 720), (1366, 768), (1024, 900), (1600, 900))
_PLAIN = [
    *(getattr(Qt.Key, f"Key_{name}") for name in "ADEFGHLMPQRSTW049"),
    *(getattr(Qt.Key, f"Key_{name}") for name in (
        "Up", "Down", "Left", "Right", "Home", "End", "PageUp", "PageDown", "Return", "Escape", "Tab", "Backtab",
        "Space", "Delete", "Backspace", "Minus", "Plus", "Period", "Comma",
    )),
]  # fmt: skip
_WRITTEN = ("-40", "40", "100", "0", "1e9", "−", "12,5", "abc", "5 bar", " ", "160", "0.001")
_LEFT, _SHIFT, _NONE = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.NoModifier
_LAST = 15  # actions that are told after a failure


def _first(keys: str) -> QKeyCombination:
    """Return the first key of a sequence."""
    combination: QKeyCombination = QKeySequence(keys)[0]  # type: ignore[index]  # its types do not know that
    return combination


class Monkey:
    """Acts on one window. ``warnings`` returns what Qt has complained of so far.

    Raises AssertionError with the seed and the last actions where something failed.
    """

    def __init__(self, window: BoardWindow, seed: int, folder: Path, warnings: Callable[[], list[str]]) -> None:
        self.window, self.seed, self.folder, self.warnings = window, seed, folder, warnings
        assert isinstance(window.clock, Clock)
        self.clock = window.clock
        self.dice = Random(seed)
        self.done: deque[str] = deque(maxlen=_LAST)
        self.count = 0
        self.held: list[tuple[QWidget, Qt.Key]] = []
        self.worst = 0.0  # of the identity of the whole network
        bad = folder / "bad.toml"
        bad.write_text("[parts]\n0P1 = { is = 'FixdPump' }\n", "utf-8")
        self.files = [
            resources.path("rigs/one-spool-bench.toml"),
            resources.path("rigs/timber-trailer-loader.toml"),
            bad,
        ]
        self.sequences = [key.keys for key in KEYS if _first(key.keys).key() != Qt.Key.Key_unknown]
        self.ways: list[tuple[int, Callable[[], str]]] = [
            (16, self._key), (8, self._sequence), (6, self._hold), (6, self._let_go), (3, self._focus),
            (4, self._write), (16, self._click), (5, self._double_click), (8, self._drag), (6, self._wheel),
            (6, self._menu), (2, self._size), (4, self._rewind), (8, self._number), (3, self._answer), (4, self._fit),
            (3, self._take_off), (4, self._lever), (1, self._open), (2, self._look), (2, self._run), (1, self._close),
        ]  # fmt: skip

    # -- what a file dialog answers ------------------------------------------------------------------------------

    def asked_to_open(self, *_: object) -> tuple[str, str]:
        """Answer the dialog that opens files: nothing, mostly."""
        return (str(self.dice.choice(self.files)) if self.dice.random() < 0.2 else ""), ""

    def asked_to_save(self, _parent: object, title: str, *_: object) -> tuple[str, str]:
        """Answer a dialog that saves: nothing, a place that is not there, or a file."""
        ending = {"Save the rig": "toml", "Save the drawing": "png"}.get(
            title, self.dice.choice(("csv", "svg", "png"))
        )
        place = self.dice.choice(
            ("", str(self.folder / f"own.{ending}"), str(self.folder / "none" / f"own.{ending}"))
        )
        return place, ""

    # -- going on ------------------------------------------------------------------------------------------------

    def go(self, actions: int) -> None:
        """Act some times, and look after each whether all is well."""
        for _ in range(actions):
            self.count += 1
            try:
                (way,) = self.dice.choices([way for _, way in self.ways], [weight for weight, _ in self.ways])
                self.done.append(way.__name__.strip("_"))
                self.done[-1] = f"{self.done[-1]} {way()}"
                self._pass_time()
                self._look_round()
            except Exception as error:
                raise AssertionError(self._told(f"{type(error).__name__}: {error}")) from error

    def _told(self, what: str) -> str:
        last = "\n  ".join(self.done)
        return f"seed {self.seed}, action {self.count}: {what}\nthe last actions:\n  {last}"

    def _pass_time(self) -> None:
        for _ in range(self.dice.choice((1, 1, 2, 6))):
            self.clock.now += FRAME
            self.window.tick(FRAME)
        QApplication.processEvents()

    def _look_round(self) -> None:
        window = self.window
        assert not window.troubles.seen, window.troubles.seen
        complaints = self.warnings()
        assert not complaints, complaints
        assert window.isVisible(), "the window is gone"
        if self.count % 10 == 0:
            session = window.session
            residual, size = (float(value) for value in session.network.balance(session.x, session.pu))
            self.worst = max(self.worst, abs(residual) / size)
            assert self.worst <= 1e-9, f"the balance is open by {self.worst:.1e}"
            for ledger in (flow_ledger(session), power_ledger(session)):
                assert open_by(ledger) <= 1e-9, ledger
        self._put_away()

    def _put_away(self) -> None:
        """Close dialogs and menus that have come up: each is a thing that the user reads, and closes."""
        window = self.window
        menu = window.presenter(OfferPresenter).menu
        if menu is not None:
            menu.close()
        for dialog in window.findChildren(QDialog):
            if dialog.isVisible():
                dialog.reject()

    def leave(self) -> None:
        """Close the window for good, whatever is not saved."""
        self._put_away()
        self.window.close()
        self.window.close()

    # -- hands ---------------------------------------------------------------------------------------------------

    def _views(self) -> list[QWidget]:
        page = there(self.window.pages.currentWidget())
        return [
            page,
            *(view for view in page.findChildren(QWidget) if view.isVisible() and not view.size().isEmpty()),
        ]

    def _some(self) -> tuple[QWidget, QPoint]:
        """Return a view and a place in it; what lies on top there, as a mouse would find it."""
        window = self.window
        view = self.dice.choice(self._views())
        place = QPoint(self.dice.randrange(view.width()), self.dice.randrange(view.height()))
        top = window.childAt(view.mapTo(window, place))
        if top is None:
            return view, place
        return top, top.mapFrom(window, view.mapTo(window, place))

    def _keyboard(self) -> QWidget:
        return self.window.focusWidget() or self.window

    def _modifier(self) -> Qt.KeyboardModifier:
        return self.dice.choice((_NONE, _NONE, _NONE, _SHIFT, Qt.KeyboardModifier.ControlModifier))

    def _key(self) -> str:
        key, modifier, view = self.dice.choice(_PLAIN), self._modifier(), self._keyboard()
        told = f"{modifier.name} {key.name} on {_name(view)}"  # what is done may be the view's last
        QTest.keyClick(view, key, modifier)
        return told

    def _sequence(self) -> str:
        keys = self.dice.choice(self.sequences)
        view, combination = self._keyboard(), _first(keys)
        told = f"{keys} on {_name(view)}"
        QTest.keyClick(view, combination.key(), combination.keyboardModifiers())
        return told

    def _hold(self) -> str:
        view, key = self._keyboard(), self.dice.choice((Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Q, Qt.Key.Key_D))
        told = f"{key.name} on {_name(view)}"
        QTest.keyPress(view, key)
        self.held.append((view, key))
        return told

    def _let_go(self) -> str:
        held, self.held = self.held, []
        for _, key in held:
            QTest.keyRelease(self._keyboard(), key)
        return ", ".join(key.name for _, key in held)

    def _focus(self) -> str:
        able = [view for view in self._views() if view.focusPolicy() and view.isEnabled()]
        if not able:
            return "nothing"
        view = self.dice.choice(able)
        told = _name(view)
        view.setFocus(self.dice.choice((Qt.FocusReason.TabFocusReason, Qt.FocusReason.MouseFocusReason)))
        return told

    def _write(self) -> str:
        words, view = self.dice.choice(_WRITTEN), self._keyboard()
        told = f"{words!r} on {_name(view)}"
        for letter in words.replace("−", "-"):
            QTest.keyClicks(self._keyboard(), letter)
        if self.dice.random() < 0.7:
            QTest.keyClick(self._keyboard(), Qt.Key.Key_Return)
        return told

    def _click(self) -> str:
        view, place = self._some()
        button = self.dice.choice((_LEFT, _LEFT, _LEFT, Qt.MouseButton.RightButton, Qt.MouseButton.MiddleButton))
        told = f"{button.name} on {_name(view)} at {place.toTuple()}"
        QTest.mouseClick(view, button, self._modifier(), place)
        return told

    def _double_click(self) -> str:
        view, place = self._some()
        told = f"{_name(view)} at {place.toTuple()}"
        QTest.mouseDClick(view, _LEFT, _NONE, place)
        return told

    def _drag(self) -> str:
        view, place = self._some()
        other, end = self._some()
        told = f"{_name(view)} at {place.toTuple()} to {_name(other)} at {end.toTuple()}"
        target = view.mapFromGlobal(other.mapToGlobal(end))
        QTest.mousePress(view, _LEFT, _NONE, place)
        for share in (0.1, 0.5, 1.0):
            QTest.mouseMove(view, place + (target - place) * share)
            if self.dice.random() < 0.3:
                self._pass_time()
        QTest.mouseRelease(view, _LEFT, _NONE, target)
        return told

    def _wheel(self) -> str:
        view, place = self._some()
        notches, modifier = self.dice.choice((-3, -1, 1, 3)), self._modifier()
        turn = QWheelEvent(QPointF(place), QPointF(view.mapToGlobal(place)), QPoint(), QPoint(0, 120 * notches),
                           Qt.MouseButton.NoButton, modifier, Qt.ScrollPhase.NoScrollPhase, False)  # fmt: skip
        told = f"{notches} {modifier.name} on {_name(view)}"
        QApplication.sendEvent(view, turn)
        return told

    def _menu(self) -> str:
        view, place = self._some()
        told = f"{_name(view)} at {place.toTuple()}"
        QApplication.sendEvent(
            view, QContextMenuEvent(QContextMenuEvent.Reason.Mouse, place, view.mapToGlobal(place))
        )
        menu = self.window.presenter(OfferPresenter).menu
        if menu is None:
            return told
        able = [action for action in menu.actions() if action.isEnabled() and not action.isSeparator()]
        if not able:  # all that it offers is refused now, with the reason
            menu.close()
            return told
        action = self.dice.choice(able)
        told = f"{told}: {action.text()!r}"
        menu.close()
        action.trigger()
        return told

    # -- what can be asked ---------------------------------------------------------------------------------------

    def _size(self) -> str:
        size = self.dice.choice(_SIZES)
        self.window.resize(*size)
        return f"{size}"

    def _rewind(self) -> str:
        time = self.dice.random() * self.window.session.history.end
        self.window.rewind(time)
        return f"{time!r}"

    def _number(self) -> str:
        presenter = self.window.presenter(RigPresenter)
        about = presenter.changes.known[self.dice.choice([*presenter.changes.known])]
        if about.options:
            value: float | str = self.dice.choice(about.options)
        elif self.dice.random() < 0.8:  # near what it is
            now = float(presenter.changes.value(about.name))
            value = min(max(now * self.dice.uniform(0.8, 1.25), about.low), about.high)
        else:
            value = self.dice.choice((about.low, about.high, about.high * 2, math.inf))
        presenter.ask(about.name, value)
        return f"{about.name} to {value!r}"

    def _answer(self) -> str:
        question = self.window.presenter(RigPresenter).pane.question
        if not question.isVisible():
            return "nothing"
        yes = self.dice.random() < 0.5
        question.answered.emit(yes)
        return f"{yes}"

    def _fit(self) -> str:
        kind = self.dice.choice([*RANGES])
        found = [place.on for place in places(self.window.session.rig, kind)]
        if not found:
            return "nowhere"
        on = self.dice.choice(found)
        self.window.presenter(DialsPresenter).fit_at(kind, on)
        return f"{kind} on {on}"

    def _take_off(self) -> str:
        fitted = [*self.window.session.rig.instruments]
        if not fitted:
            return "nothing"
        name = self.dice.choice(fitted)
        self.window.presenter(DialsPresenter).take_off(name)
        return name

    def _lever(self) -> str:
        if not self.window.rack.levers:
            return "none"
        view = self.dice.choice([*self.window.rack.levers.values()])
        value = self.dice.choice((-1.0, -0.3, 0.0, 0.5, 1.0))
        view.motion.set_exactly(value)
        return f"{view.control_name} to {value}"

    def _open(self) -> str:
        path = self.dice.choice(self.files)
        opening_of(self.window).open_rig(path)
        return path.name

    def _look(self) -> str:
        change = self.dice.choice(("theme", "units", "marks", "projector"))
        self.window.stage.actions[change].trigger()
        return change

    def _run(self) -> str:
        self.window.run()
        return ""

    def _close(self) -> str:
        """Ask to close; the question that comes is answered with Stay by what puts dialogs away."""
        if not self.window.closing.words()[0] or self.window.closing.dialog is not None:
            return "not asked"
        self.window.close()
        return ""


def _name(view: QWidget) -> str:
    return view.objectName() or view.accessibleName() or type(view).__name__
