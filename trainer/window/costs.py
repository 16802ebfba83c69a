"""What the window costs: frames with solver and paint, memory. For ``spoolroom bench``."""

from __future__ import annotations

import contextlib
import math
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import numpy as np
from PySide6.QtCore import QCoreApplication, QEvent, QEventLoop, QPointF, QRect, Qt, QTimer
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QWidget

from trainer.engine.machine_code import Translator
from trainer.engine.network import Vector
from trainer.engine.session import FRAME, Session
from trainer.rig.rig import Rig
from trainer.window.board.arrangement import Panes
from trainer.window.ledgers.presenter import LedgersPresenter
from trainer.window.practice_show import PracticeShow
from trainer.window.shell.app import application
from trainer.window.shell.window import BoardWindow
from trainer.window.tracing.presenter import TracingPresenter
from trainer.window.working.presenter import WorkingPresenter

__all__ = ["opened", "rows"]

_FRAMES, _SHOWN = 240, 12  # frames; where only their number matters, each so manieth has a picture
_PAGE = 4096
_EVENTS, _SECONDS, _REST = 40, 3.0, 9.0  # _REST: s after which a frozen board has gone to sleep
_PATIENCE = 300.0  # s for a compiler
_SETTLED = 10.0  # minutes after which memory is to grow no more than by what is kept to be gone back to

_Row = tuple[str, str, str]
_Hands = Iterator[dict[str, float]]


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


def _frame(window: BoardWindow, controls: Mapping[str, float], shown: bool = True) -> tuple[float, float]:
    """Return the seconds of one frame, levers, solver and all that is painted, and those of the solver in it."""
    solver, tick = 0.0, window.session.tick

    def timed(*given: Any) -> int:
        nonlocal solver
        begin = time.perf_counter()
        calls = tick(*given)
        solver = time.perf_counter() - begin
        return calls

    begin = time.perf_counter()
    with _instead(window.session, "tick", timed), _instead(window.controller.pace, "pass_time", lambda *_: shown):
        _set(window, controls)
        window.tick(FRAME)
        application().processEvents()
    return time.perf_counter() - begin, solver


@contextlib.contextmanager
def _instead(whose: object, name: str, method: Callable[..., Any]) -> Iterator[None]:
    """Let one object have another method for a while: what is not watched is not slower for it."""
    setattr(whose, name, method)
    try:
        yield
    finally:
        delattr(whose, name)


def _hand_rows(window: BoardWindow, controls: _Hands) -> Iterator[_Row]:
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


def _frames(window: BoardWindow, controls: _Hands) -> tuple[Vector, Vector]:
    """Return how long frames take, each with its picture, and the solver in them [ms]."""
    taken = 1e3 * np.array([_frame(window, next(controls)) for _ in range(_FRAMES)])
    return taken[:, 0], taken[:, 1]


def _spread(taken: Vector) -> str:
    p50, p95, p99 = np.percentile(taken, [50, 95, 99])
    return f"mean {taken.mean():.2f}  p50 {p50:.2f}  p95 {p95:.2f}  p99 {p99:.2f}  max {taken.max():.2f} ms"


def _frame_rows(window: BoardWindow, controls: _Hands) -> Iterator[_Row]:
    """Yield what frames take in the virtual machine, and with machine code, as a window runs where it can.

    It goes on with that.
    """
    taken, solver = _frames(window, controls)
    goal = "p99 <= 8 ms for the bench, 12 ms for the loader"
    yield "a frame at 1920x1080, solver, paint and strip included, without machine code", _spread(taken), ""
    ratio = (taken - solver).mean() / solver.mean()
    yield "its picture against its call of the solver", f"{ratio:.2f} times", "<= 1.6 times for the loader"
    if not _be_quick(window.session):
        return
    for _ in range(5):  # it takes over between two calls
        _frame(window, next(controls))
    taken, _ = _frames(window, controls)
    yield "the same with machine code", _spread(taken), goal
    p50, p99 = np.percentile(taken, [50, 99])
    yield "its p99 against its p50", f"{p99 / p50:.2f} times", "<= 2 times"


def _processor_rows(window: BoardWindow, live: Mapping[str, _Hands]) -> Iterator[_Row]:
    """Yield what a live window takes of the processor, all its threads, in every hands' way; and frozen."""
    tick = window.controller.tick
    for what, controls in live.items():

        def ticked(seconds: float, controls: _Hands = controls) -> None:
            _set(window, next(controls))
            tick(seconds)

        window.reset()
        window.start()
        with _instead(window.controller, "tick", ticked):
            _pass(_SECONDS / 6)
            begun, time_begun = time.process_time(), window.session.time
            _pass(_SECONDS)
        taken, passed = time.process_time() - begun, window.session.time - time_begun
        told = (
            f"{taken / passed:.3f} s, at {passed / _SECONDS:.2f} of real time, {window.controller.pace.rate} pictures"
        )
        yield f"processor in a second of model time, {what}", told, ""
    window.run(False)
    _pass(_REST)
    begun = time.process_time()
    _pass(_SECONDS)
    yield "processor in a second, frozen", f"{(time.process_time() - begun) / _SECONDS:.4f} s", "nothing"
    window.controller.wake()
    window.controller.stop()


def _pass(seconds: float) -> None:
    """Let a live window go on for some seconds."""
    loop = QEventLoop()
    QTimer.singleShot(round(1e3 * seconds), loop.quit)
    loop.exec()


def _all_that_can_be_open(window: BoardWindow) -> Iterator[tuple[str, Callable[[], object]]]:
    """Yield (what is open, what opens it besides)."""
    if window.board.machine.exists:
        yield "the machine beside the drawing", lambda: window.board.set_panes(Panes("both"))
    yield "the path of the oil lit and numbered", window.presenter(TracingPresenter).next_step
    yield "the working open", window.presenter(WorkingPresenter).show_first
    yield "ledgers over time open besides", window.presenter(LedgersPresenter).show_pane


def _picture(window: BoardWindow, lever: str, value: float) -> float:
    """Return the seconds of the processor that a picture with a lever moving takes; the solver is not counted."""
    window.controller.operator.levers[lever].set_exactly(value)
    window.controller.operator.move(FRAME, window.session)
    window.session.advance(FRAME)
    begin = time.process_time()
    window.controller.given.emit([lever])
    window.controller.show(FRAME, FRAME)
    window.controller.passed.emit(FRAME, False)
    application().processEvents()
    return time.process_time() - begin


def _practice_rows(rig: Rig) -> Iterator[_Row]:
    """Yield what a picture of a running task takes of the processor, and the board with the machine, in turn.

    Both show the same lever moving on rigs of the same kind.
    """
    application()
    board, run = BoardWindow(Session(rig)), BoardWindow(Session(rig))
    board.board.set_panes(Panes("both"))
    for window in (board, run):
        window.resize(1920, 1080)
        window.show()
        window.run()
    show = PracticeShow(run)
    lever = show.begin("E11")
    taken: dict[BoardWindow, list[float]] = {board: [], run: []}
    for frame in range(_FRAMES):
        value = 0.4 * math.sin(2 * math.pi * frame / 120)  # to and fro: the attempt does not end
        for window, seconds in taken.items():
            seconds.append(_picture(window, lever, value))
    own, other = (1e3 * float(np.mean(taken[window][_FRAMES // 8 :])) for window in (run, board))
    yield "processor for a picture of a running task", f"{own:.2f} ms", ""
    told = f"{own / other:.2f} times {other:.2f} ms"
    yield "against one of the board with the machine beside it, in turn", told, "<= 1 times"
    show.end()
    for window in (board, run):
        window.close()
    application().processEvents()


def rows(rig: Rig, controls: _Hands, live: Mapping[str, _Hands], minutes: float) -> Iterator[_Row]:
    """Yield (what, found, goal) for the window of a rig at 1920 x 1080; ``minutes`` of model time for memory.

    ``controls``: of the frames that are measured one by one; ``live``: by words, of those that a clock makes.
    """
    app = application()
    window = BoardWindow(Session(rig))
    window.board.set_panes(Panes("drawing"))
    window.resize(1920, 1080)
    window.show()
    window.run()
    for _ in range(60):
        _frame(window, next(controls))
    yield from _frame_rows(window, controls)
    coded = ", with machine code" if window.session.solver.machine_code else ""
    for what, show in _all_that_can_be_open(window):
        show()
        yield f"a frame with {what}{coded}", _spread(_frames(window, controls)[0]), "p99 <= 12 ms"
    for pane in [*window.board.over.open.values()]:
        pane.closed.emit()
    window.board.set_panes(Panes("drawing"))
    window.presenter(TracingPresenter).stop()
    window.session.solver.use_virtual_machine()
    first, _ = _frames(window, controls)
    yield from _hand_rows(window, controls)
    yield from _processor_rows(window, live)
    if window.board.machine.exists:
        yield from _practice_rows(rig)
    yield from _memory_rows(window, controls, minutes)
    then, _ = _frames(window, controls)
    ratio = np.percentile(then, 99) / np.percentile(first, 99)
    yield "a frame then", f"{_spread(then)} = {ratio:.2f} times at p99", "<= 1.2 times that at the beginning"
    window.close()
    app.processEvents()


def _be_quick(session: Session) -> bool:
    """Let a session have machine code, where it can; return whether it has."""
    translator = Translator.of_this_computer()
    translation = session.solver.translate(translator, session.x, session.pu) if translator is not None else None
    return translation is not None and translation.wait(_PATIENCE)


def _memory_rows(window: BoardWindow, controls: _Hands, minutes: float) -> Iterator[_Row]:
    first = _SETTLED if minutes > _SETTLED else min(2.0, minutes / 5)
    window.reset()
    _be_quick(window.session)
    window.run()
    begun = 0.0
    for frame in range(round(minutes * 60 / FRAME)):
        _frame(window, next(controls), shown=frame % _SHOWN == 0)
        if frame == round(first * 60 / FRAME):
            begun = _resident()
    grown = _resident() - begun
    window.session.solver.use_virtual_machine()
    yield (
        f"memory from minute {first:g} to {minutes:g} of running, all of it kept to be gone back to",
        f"{grown:.1f} MB, {grown / (minutes - first):.2f} a minute, of {_resident():.0f} MB",
        f"<= 1 MB a minute after minute {_SETTLED:g}",
    )


def opened(rig: Rig, controls: _Hands) -> tuple[float, float]:
    """Return the seconds of the processor that opening a window takes, and that a picture in it does on the mean."""
    app, session = application(), Session(rig)
    begin = time.process_time()
    window = BoardWindow(session)
    window.board.set_panes(Panes("drawing"))
    window.resize(1920, 1080)
    window.show()
    app.processEvents()
    taken = time.process_time() - begin
    window.run()
    for _ in range(30):
        _frame(window, next(controls))
    pictures = 0.0
    for _ in range(_FRAMES // 3):
        _set(window, next(controls))
        session.advance(FRAME)
        begin = time.process_time()
        window.controller.show(FRAME, FRAME)
        window.controller.passed.emit(FRAME, False)
        app.processEvents()
        pictures += time.process_time() - begin
    window.close()
    app.processEvents()
    return taken, pictures / (_FRAMES // 3)
