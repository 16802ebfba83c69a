"""The question for the class, full screen: the drawing at the left, gauge, entry and working at the right."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from PySide6.QtCore import QPoint, QRect, Signal
from PySide6.QtGui import QPaintEvent, QPalette, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QWidget

from trainer import units
from trainer.drawing.instruments import Dial, dial_live, dial_still
from trainer.drawing.rack import percent
from trainer.drawing.scene import SceneState
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.drawing.theme import THEMES
from trainer.engine.readings import Readings
from trainer.engine.session import Session
from trainer.language import mark, tr
from trainer.measuring.needles import Needles
from trainer.rig.live import Live
from trainer.rig.names import capital, part_label
from trainer.rig.rig import Rig
from trainer.window.board.drawing_view import DrawingView
from trainer.window.class_view.panel import (
    LEFT,
    WIDE,
    panel_live,
    panel_still,
    shifted,
)
from trainer.window.class_view.question import (
    Case,
    find_case,
    read_entry,
    shown,
    verdict,
)
from trainer.window.controls.buttons import WordButton
from trainer.window.controls.own_keys import Line
from trainer.window.dials.dials import WIPE, relief_of
from trainer.window.painting import fonts
from trainer.window.painting.canvas import Canvas
from trainer.window.painting.look import Look
from trainer.window.session.screen import Screen

__all__ = ["ProjectorView"]


class ProjectorView(Screen):
    """One question at a time: covered, committed, uncovered. ``waiting`` until the class commits."""

    run_asked = Signal(bool)

    def __init__(self, look: Look, session: Session, needles: Needles, parent: QWidget) -> None:
        super().__init__(parent)
        self.board_look = look
        self.session = session
        self.needles = needles
        self.look = Look("projector", look.system)
        self.case = find_case(session.rig)
        self.waiting = False
        self.said: float | None = None
        self.read = 0.0
        self.cover = 1.0
        self.message = ""
        self._running = False
        self.canvas = Canvas(self, self.look, self._still, self._live)
        self.drawing = DrawingView(
            self.look, session.rig, session.readings, session.number, self, THEMES["projector"]
        )
        self.drawing.words_kept = self._says
        self.entry = Line(self)
        self.entry.setFrame(False)
        self.entry.setMaxLength(40)
        self.entry.setObjectName("reading")
        self.entry.setAccessibleName(tr("Your reading"))
        self.entry.returnPressed.connect(self.commit)
        self.commit_button = WordButton(
            self.look,
            tr("Commit"),
            mark("Commit the reading"),
            tr("Then the gauge is uncovered  (Enter)"),
            self,
            size=46.0,
            filled=True,
        )
        self.again = WordButton(
            self.look, tr("New question"), mark("New question"), tr("Freeze, cover and ask again"), self, size=32.0
        )
        self.run = WordButton(
            self.look,
            tr("Run"),
            mark("Run the clock"),
            tr("Let time pass  (Space)"),
            self,
            size=32.0,
            glyph="run",
            checkable=True,
        )
        self.back = WordButton(
            self.look, tr("Board"), mark("Back to the board"), tr("Back to the board  (F11 or Esc)"), self, size=32.0
        )
        self.commit_button.clicked.connect(self.commit)
        self.again.clicked.connect(self.ask_again)
        self.run.clicked.connect(self._run)
        self.back.clicked.connect(self.left)
        self.setAccessibleName(tr("Question for the class"))

    # -- the question ----------------------------------------------------------------------------------------

    def ask(self, board: SceneState) -> None:
        """Begin a question: cover the gauge and wait for the class."""
        self.refresh()
        self.drawing.state.phases = dict(board.phases)
        self.drawing.state.steps = dict(board.steps)
        self.ask_again()

    def ask_again(self) -> None:
        """Freeze, cover, and wait for a new reading."""
        self.run_asked.emit(False)
        self.said, self.message = None, ""
        self.cover = 1.0
        self.waiting = isinstance(self.case, Case)
        self.drawing.state.covered = {self.case.gauge.name} if isinstance(self.case, Case) else set()
        self.entry.clear()
        self.entry.setReadOnly(False)
        self.entry.setFocus()
        self.lay_out()

    def leave(self) -> None:
        """Give up the question."""
        self.waiting = False

    def remind(self) -> None:
        """Say why the clock does not run."""
        self.message = tr("Frozen until the class commits.")
        self.update()

    def commit(self) -> None:
        """Take the reading; a good one uncovers the gauge."""
        if not self.waiting or not isinstance(self.case, Case):
            return
        try:
            self.said = read_entry(self.entry.text(), self.case, self.look.system)
        except ValueError as error:
            self.message = str(error)
            self.entry.setFocus()
            self.entry.selectAll()
            self.update()
            return
        self.read = self._figure()
        self.message = ""
        self.waiting = False
        self.drawing.state.covered = set()
        self.entry.setReadOnly(True)
        self.lay_out()
        self.again.setFocus()

    @property
    def needle(self) -> float:
        """Where the needle of the gauge stands [SI]; 0 without one."""
        return self.needles[self.case.gauge.name].pointer.needle if isinstance(self.case, Case) else 0.0

    def _figure(self) -> float:
        """Return what is read off the gauge [SI]."""
        assert isinstance(self.case, Case)
        return self.needles.figure(self.case.gauge.name, self.look.system)

    def take_rig(self, rig: Rig) -> None:
        """Take the same rig with other instruments: a question asked of one that is gone is given up."""
        before, self.case = self.case, find_case(rig)
        self.drawing.take_rig(rig)
        if before != self.case:
            self.leave()
            self.said = None

    def _run(self) -> None:
        self.run_asked.emit(not self._running)

    # -- what it shows ---------------------------------------------------------------------------------------

    def show_state(self, running: bool) -> None:
        """Show whether the clock runs."""
        self._running = running
        word = tr("Freeze") if running else tr("Run")
        if word != self.run.text():
            self.run.setText(word)
            self.lay_out()
        self.run.glyph = "freeze" if running else "run"
        self.run.setChecked(running)
        self.run.update()

    def show_instant(self, live: Readings, seconds: float, passed: float) -> None:
        """Show one instant after some wall seconds, ``passed`` of simulated time."""
        if self.said is not None:
            self.cover = max(self.cover - seconds / WIPE, 0.0)
        if live is not self.drawing.readings or self.cover > 0:
            self.drawing.show_instant(live, passed)
        self.update()

    def refresh(self) -> None:
        """Take over the unit system of the board; a reading already written is shown in the new unit."""
        if self.look.system is not self.board_look.system:
            self.look.system = self.board_look.system
            if self.said is not None and isinstance(self.case, Case):
                self.entry.setText(self._in_unit(self.said))
        self.look.still_marks = self.board_look.still_marks
        self.lay_out()

    def _in_unit(self, pressure: float) -> str:
        return units.text(pressure, "pressure", self.look.system, self._dial().scale.decimals)[0]

    def _dial(self) -> Dial:
        assert isinstance(self.case, Case)
        return Dial(self.case.gauge, self.look.system, 149.0, self.drawing.scene.pressure_step, 0.0, 1)

    def _still(self) -> DrawList:
        shapes: list[Shape] = [
            Path(((LEFT - 36.0, 0.0), (LEFT - 36.0, self.height() / self.look.scale)), "hairline", 2.0)
        ]
        if isinstance(self.case, Case):
            shapes += panel_still(self.look.system)
            shapes += shifted(dial_still(self._dial(), titled=False))
        return shapes

    def _live(self) -> DrawList:
        live, rig = self.session.readings, self.session.rig
        shapes: list[Shape] = [Words(56.0, 82.0, rig.title, 46.0, weight=600)]
        shapes.append(Words(56.0, 130.0, self._setting(live), 32.0, "ink2"))
        case = self.case
        if not isinstance(case, Case):
            words = case.split(". ")
            shapes += [Words(LEFT, 90.0 + 50.0 * k, line, 32.0) for k, line in enumerate(_wrapped(words, 42))]
            return shapes
        relief = relief_of(rig, case.gauge)
        setting = live.parameter(relief, "setting") if relief else None
        pointer, value = self.needles[case.gauge.name].pointer, self._figure()
        shapes += shifted(dial_live(self._dial(), pointer.needle, value, self.cover, setting, pointer.tremble))
        shapes += panel_live(
            case,
            live,
            self.look.system,
            None if self.said is None else value,
            None if self.said is None else verdict(self.said, self.read, case, self.look.system),
            self._foot(),
        )
        if self.cover >= 1.0:
            shapes += shifted(
                [
                    Words(
                        self._dial().x,
                        self._dial().y + 7.0,
                        case.gauge.name,
                        22.0,
                        weight=600,
                        align="centre",
                    )
                ]
            )
        return shapes

    def _setting(self, live: Live) -> str:
        """Return what the operator has set, in words: "Hand crank 60 r/min, lever 60 %"."""
        told = []
        for name, control in self.session.rig.controls().items():
            part, _, own = name.partition(".")
            if control.quantity == "shaft speed":
                told.append(
                    f"{capital(part_label(self.session.rig, name))} "
                    f"{shown(live.control(part, own), 'shaft speed', self.look.system)}"
                )
            elif own == "lever" and abs(live.control(part, own)) > 1e-3:
                word = control.ends[live.control(part, own) > 0]
                told.append(
                    tr("lever {percent} {word}").format(percent=percent(live.control(part, own)), word=word).rstrip()
                )
        return ", ".join(told[:2])

    def _foot(self) -> str:
        if self.message:
            return self.message
        return tr("Frozen until the class commits") if self.waiting else ""

    # -- where it stands -------------------------------------------------------------------------------------

    def lay_out(self) -> None:
        """Place everything for the present size; the panel keeps its width, the drawing takes the rest.

        While it is hidden nothing is placed; it will be when it is shown.
        """
        if self.isHidden() or self.width() < 2 or self.height() < 2:
            return
        self.look.scale = scale = min(self.width() / 1920.0, self.height() / 1080.0)
        self.canvas.least = self.drawing.canvas.least = 32.0 * scale
        panel = round(WIDE * scale)
        self.drawing.setGeometry(0, round(140 * scale), self.width() - panel - 4, self.height() - round(140 * scale))
        self._fit_labels()
        self.drawing.lay_out()
        has_case, open_ = isinstance(self.case, Case), self.said is not None
        field = QRect(round(self._right(358)), round(318 * scale), round(180 * scale), round(88 * scale))
        self.entry.setGeometry(field)
        self.entry.setFont(fonts.font(round(46 * scale), 600))
        palette = self.entry.palette()
        for role, colour in (
            (QPalette.ColorRole.Base, "cell"),
            (QPalette.ColorRole.Text, "ink"),
            (QPalette.ColorRole.Highlight, "accent"),
        ):
            palette.setColor(role, self.look.inks.colour(colour))
        self.entry.setPalette(palette)
        self.commit_button.setGeometry(
            QRect(
                QPoint(round(self._right(352)), round(430 * scale)),
                QPoint(round(self._right(616)), round(514 * scale)),
            )
        )
        foot = round(1006 * scale)
        left = self._right(0)
        for button in (self.run, self.again, self.back):
            size = button.sizeHint()
            button.setGeometry(round(left) - round(8 * scale), foot, size.width(), round(62 * scale))
            left += size.width() + 20 * scale
        self.back.move(self.width() - self.back.width() - round(24 * scale), foot)
        self.entry.setVisible(has_case)
        self.commit_button.setVisible(has_case and not open_)
        self.run.setVisible(open_ or not has_case)
        self.again.setVisible(open_)
        self.back.setVisible(open_ or not has_case)
        self.canvas.forget()
        self.update()

    def _says(self, shape: Words | Path, still: bool) -> bool:
        """Whether the class needs words or a cover: no ids and sizes, of several functions the one asked about."""
        if still and isinstance(shape, Words) and shape.ink == "ink2":
            return False
        levers = self.drawing.scene.levers
        if len(levers) < 2 or not isinstance(self.case, Case):
            return True
        other = self.session.rig.instruments.keys() - {self.case.gauge.name}
        if isinstance(shape, Path) or shape.ink == "ink2" or shape.text.partition("  ")[0] in {"A", "B", *other}:
            return False  # what nobody asks about
        if len(levers) > 2 and shape.x > min(levers.values()):  # too close for large words: the panel says the rest
            return shape.text == self.case.gauge.name or shape.text.endswith("%")
        column = self.drawing.scene.layout.placed[self.case.cylinder].x
        asked = -60.0 < shape.x - column < 40.0 or shape.text == self.case.gauge.name
        return asked or shape.x < min(levers.values()) - 110.0

    def _fit_labels(self) -> None:
        """Give the drawing a theme whose labels are large enough at the zoom that it gets."""
        self.drawing.own_theme = THEMES["projector"]
        zoom = self.drawing.placing()[0] / self.look.scale
        if zoom > 0:
            label, name = min(32.2 / zoom, 46.0), min(46.0 / zoom, 60.0)
            self.drawing.own_theme = replace(THEMES["projector"], label=label, name_size=name)

    def _right(self, x: float) -> float:
        """Return a place in the panel [px] from board pixels right of its edge."""
        return self.width() - (1920.0 - LEFT - x) * self.look.scale

    def showEvent(self, event: QShowEvent) -> None:
        self.lay_out()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.lay_out()

    def paintEvent(self, event: QPaintEvent) -> None:
        self.canvas.paint()

    def snapshot(self) -> dict[str, Any]:
        """Return the state of the question."""
        case = self.case
        if not isinstance(case, Case):
            return {"missing": case}
        open_ = self.said is not None
        told = None if self.said is None else verdict(self.said, self.read, case, self.look.system)
        return {
            "waiting": self.waiting,
            "message": self.message,
            "said": self.said,
            "cover": self.cover,
            "read": self.read if open_ else None,
            "verdict": told,
            "from load": shown(case.from_load(self.session.readings), "pressure", self.look.system),
        }


def _wrapped(sentences: list[str], width: int) -> list[str]:
    lines: list[str] = []
    for sentence in sentences:
        line = ""
        for word in sentence.rstrip(".").split():
            if len(line) + len(word) >= width:
                lines.append(line)
                line = ""
            line = f"{line} {word}".strip()
        lines.append(line + ".")
    return lines
