"""What the window costs: frames with solver and paint, memory. For ``spoolroom bench``."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable, Iterator, Mapping, Sequence

import numpy as np
from PySide6.QtCore import QCoreApplication, QEvent, QEventLoop, QPointF, QRect, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QWidget

from trainer.engine.session import FRAME, Session
from trainer.rig.rig import Rig
from trainer.window.board.arrangement import Panes
from trainer.window.ledgers.presenter import LedgersPresenter
from trainer.window.shell.app import application
from trainer.window.shell.window import BoardWindow
from trainer.window.tracing.presenter import TracingPresenter
from trainer.window.working.presenter import WorkingPresenter

__all__ = ["rows"]

_FRAMES = 1200
_PAGE = 4096
_EVENTS, _SECONDS = 60, 10.0


def _resident() -> float:
    """Return the memory in use [MB]; 0 where the system does not tell."""
    try:
        with open("/proc/self/statm", encoding="ascii") as file:
            return int(file.read().split()[1]) * _PAGE / 1e6
    except OSError:
        return 0.0


def _set(window: BoardWindow, controls: Mapping[str, float]) -> None:
    for name, value in controls.items():
        view = window.rack.handles.get(name)
        if view is not None:
            view.motion.take(value)
        else:
            window.session.set_control(name, value)


def _frame(window: BoardWindow, controls: Mapping[str, float]) -> float:
    """Return the seconds of one frame: levers, solver, all that is painted."""
    begin = time.perf_counter()
    _set(window, controls)
    window.tick(FRAME)
    application().processEvents()
    return time.perf_counter() - begin


@contextlib.contextmanager
def _instead(whose: object, name: str, method: Callable[..., None]) -> Iterator[None]:
    """Let one object have another method for a while: what is not watched is not slower for it."""
    setattr(whose, name, method)
    try:
        yield
    finally:
        delattr(whose, name)


def _hand_rows(window: BoardWindow, controls: Iterator[dict[str, float]]) -> Iterator[tuple[str, str, str]]:
    """Yield the rows of a live window: from a mouse event on a lever to its paint, and between frames."""
    begins: list[float] = []
    ends: list[tuple[float, float]] = []  # of paints of the drawing: when [s], and the model time shown [s]
    paint, tick = window.drawing.canvas.paint, window.controller.tick

    def painted(part: QRect | None = None) -> None:
        paint(part)
        ends.append((time.perf_counter(), window.drawing.readings.time))

    def ticked(seconds: float) -> None:
        begins.append(time.perf_counter())
        _set(window, next(controls))
        tick(seconds)

    window.reset()
    window.start()
    with _instead(window.drawing.canvas, "paint", painted):
        waits = _waits(window, ends)
        ends.clear()
        with _instead(window.controller, "tick", ticked):
            until = time.perf_counter() + _SECONDS
            while time.perf_counter() < until or len(ends) < 3:
                application().processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents, 50)
    window.controller.stop()
    yield (
        "from a mouse event on a lever to the end of its paint",
        f"p50 {np.percentile(waits, 50):.1f}  p99 {np.percentile(waits, 99):.1f}  max {max(waits):.1f} ms",
        "<= 50 ms",
    )
    for what, times in (("begins of frames", begins), ("ends of paints", [end for end, _ in ends])):
        between = 1e3 * np.diff(times)
        yield (
            f"between {what}, live for {_SECONDS:g} s",
            f"mean {between.mean():.1f}  p95 {np.percentile(between, 95):.1f}  max {between.max():.1f} ms",
            "p95 <= 17.5 ms" if times is begins else "",
        )


def _waits(window: BoardWindow, ends: Sequence[tuple[float, float]]) -> list[float]:
    """Return how long each of some mouse events on a lever took to be painted [ms]; ``ends`` are those of paints."""
    app, lever = application(), next(iter(window.rack.levers.values()))
    place = QPointF(lever.width() / 2, lever.height() / 2)
    waits = []
    _send(lever, QEvent.Type.MouseButtonPress, place)
    for k in range(_EVENTS):
        pause = time.perf_counter() + 0.05 + 0.003 * (k % 7)  # at any moment of a frame
        while time.perf_counter() < pause:
            app.processEvents()
            time.sleep(0.0005)
        shown, sent = window.session.time, time.perf_counter()
        _send(lever, QEvent.Type.MouseMove, place + QPointF((1 if k % 2 else -1) * 15 * lever.look.scale, 0))
        while (not ends or ends[-1][1] <= shown) and time.perf_counter() < sent + 1.0:  # until a later one is painted
            app.processEvents()
        waits.append(1e3 * (ends[-1][0] - sent))
    _send(lever, QEvent.Type.MouseButtonRelease, place)
    return waits


def _send(widget: QWidget, kind: QEvent.Type, place: QPointF) -> None:
    button = Qt.MouseButton.NoButton if kind == QEvent.Type.MouseMove else Qt.MouseButton.LeftButton
    event = QMouseEvent(
        kind, place, widget.mapToGlobal(place), button, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    )
    QCoreApplication.sendEvent(widget, event)


def _frames(window: BoardWindow, controls: Iterator[dict[str, float]]) -> str:
    """Return how long frames take, in words."""
    taken = 1e3 * np.array([_frame(window, next(controls)) for _ in range(_FRAMES)])
    p50, p95, p99 = np.percentile(taken, [50, 95, 99])
    return f"mean {taken.mean():.2f}  p50 {p50:.2f}  p95 {p95:.2f}  p99 {p99:.2f}  max {taken.max():.2f} ms"


def _all_that_can_be_open(window: BoardWindow) -> Iterator[tuple[str, Callable[[], object]]]:
    """Yield (what is open, what opens it besides)."""
    if window.board.machine.exists:
        yield "the machine beside the drawing", lambda: window.board.set_panes(Panes("both"))
    yield "the path of the oil lit and numbered", window.presenter(TracingPresenter).next_step
    yield "the working open", window.presenter(WorkingPresenter).show_first
    yield "ledgers over time open besides", window.presenter(LedgersPresenter).show_pane


def rows(rig: Rig, controls: Iterator[dict[str, float]], minutes: float) -> Iterator[tuple[str, str, str]]:
    """Yield (what, found, goal) for the window of a rig at 1920 x 1080; ``minutes`` of model time for memory."""
    app = application()
    window = BoardWindow(Session(rig))
    window.board.set_panes(Panes("drawing"))
    window.resize(1920, 1080)
    window.show()
    window.run()
    for _ in range(60):
        _frame(window, next(controls))
    goal = "p99 <= 8 ms for the bench, 12 ms for the loader"
    yield "a frame at 1920x1080, solver, paint and strip included", _frames(window, controls), goal
    for what, show in _all_that_can_be_open(window):
        show()
        yield f"the same with {what}", _frames(window, controls), "p99 <= 12 ms"
    for pane in [*window.board.over.open.values()]:
        pane.closed.emit()
    window.board.set_panes(Panes("drawing"))
    window.presenter(TracingPresenter).stop()
    yield from _hand_rows(window, controls)
    begun, first = 0.0, min(2.0, minutes / 5)
    for frame in range(round(minutes * 60 / FRAME)):
        _frame(window, next(controls))
        if frame == round(first * 60 / FRAME):
            begun = _resident()
    grown = _resident() - begun
    yield (
        f"memory from minute {first:g} to {minutes:g} of running, all of it kept to be gone back to",
        f"{grown:.1f} MB, {grown / (minutes - first):.2f} a minute, of {_resident():.0f} MB",
        "<= 3 MB a minute",
    )
    yield "a frame then", _frames(window, controls), "p99 <= 1.2 times that at the beginning"
    window.close()
    app.processEvents()
