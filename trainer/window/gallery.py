"""Pictures of every screen: both rigs, themes, unit systems and three sizes, made by one command to be looked at."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QEvent, Qt

from trainer import resources
from trainer.changing.recovery import UnsavedRun
from trainer.engine.session import FRAME, Session
from trainer.errors import SpoolroomError
from trainer.language import tr
from trainer.measuring.instruments import places
from trainer.pairing.sides import Otherwise
from trainer.parts.part import Kind
from trainer.parts.roles import Actuator
from trainer.rig import file as rig_file
from trainer.units import System
from trainer.window.beside.presenter import BesidePresenter
from trainer.window.board.arrangement import Panes
from trainer.window.board.presenter import BoardPresenter
from trainer.window.class_view.presenter import ClassPresenter
from trainer.window.compare.presenter import ComparePresenter
from trainer.window.dials.presenter import DialsPresenter
from trainer.window.dials.stopwatch import StopwatchPresenter
from trainer.window.explaining.presenter import ExplainingPresenter
from trainer.window.first_start.presenter import DoorsPresenter
from trainer.window.hands.presenter import HandsPresenter
from trainer.window.ledgers.presenter import LedgersPresenter
from trainer.window.lesson.presenter import LessonPresenter
from trainer.window.lessons_list.desk import FIRST
from trainer.window.lessons_list.presenter import LessonsPresenter
from trainer.window.opening.presenter import OpeningPresenter
from trainer.window.painting.picture import screenshot
from trainer.window.practice.presenter import PracticePresenter
from trainer.window.practice_show import PracticeShow
from trainer.window.recovery.pane import RecoveryPane
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell import settings
from trainer.window.shell.app import application
from trainer.window.shell.window import BoardWindow
from trainer.window.strip.presenter import StripPresenter
from trainer.window.time.presenter import TimePresenter
from trainer.window.tracing.presenter import TracingPresenter
from trainer.window.working.presenter import WorkingPresenter

__all__ = ["SIZES", "make"]

SIZES = ((1280, 720), (1366, 768), (1920, 1080))
_THEMES = ("light", "dark")
_LEVERS = ("3V1.lever", "1V1.lever")  # the first that a rig has is moved
_LIFT = 0.6  # of its travel
_SECONDS = 2.0  # of lifting before the pictures


def make(folder: Path, rigs: Sequence[str] = (), screens: Sequence[str] = (), overwrite: bool = False) -> int:
    """Write the pictures into a folder as "rig-screen-theme-units-WIDTHxHEIGHT.png"; return how many.

    ``rigs`` and ``screens`` choose some of them. Raises SpoolroomError for a folder that cannot be written to, a
    screen that there is not, and a picture that is there already where ``overwrite`` does not say so.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise SpoolroomError(
            tr("{folder} cannot be written to: {strerror}.").format(folder=folder, strerror=error.strerror or error)
        ) from error
    count = 0
    for name in rigs or resources.rigs():
        for theme, system, size in itertools.product(_THEMES, System, SIZES):
            window = _board(name, theme, system, size)
            try:
                count += _pictures(window, screens, folder, name, overwrite)
            finally:
                window.close()
                window.deleteLater()
                QCoreApplication.sendPostedEvents(window, QEvent.Type.DeferredDelete)
    return count


def _pictures(window: BoardWindow, screens: Sequence[str], folder: Path, name: str, overwrite: bool) -> int:
    """Write a window's screens, those that are wanted, and return how many."""
    known = dict(_screens(window))
    unknown = [screen for screen in screens if screen not in known]
    if unknown:
        raise SpoolroomError(
            tr("'{unknown}' is no screen. Write one of {known}.").format(
                unknown=unknown[0], known=", ".join(sorted(known))
            )
        )
    wanted = [screen for screen in known if not screens or screen in screens]
    for screen in wanted:
        known[screen]()
        _let_pass(window, 0.3)
        look = f"{window.look.theme}-{window.look.system.name.lower()}-{window.width()}x{window.height()}"
        file = folder / f"{name}-{screen}-{look}.png"
        if file.exists() and not overwrite:
            raise SpoolroomError(
                tr("{file} exists. Choose another folder, or replace it with --overwrite.").format(file=file)
            )
        screenshot(window, file)
        _put_away(window)
    return len(wanted)


def _board(name: str, theme: str, system: System, size: tuple[int, int]) -> BoardWindow:
    application()
    rig = rig_file.load(resources.rigs()[name])
    kept = settings.Kept(theme, system, False, size, Panes("drawing"))
    window = BoardWindow(Session(rig), kept, clock=lambda: 0.0)
    window.show()
    window.resize(*size)
    window.run()
    _let_pass(window, 0.5)
    for lever, value in _lifting(window):
        window.rack.levers[lever].motion.set_exactly(value)
    _let_pass(window, _SECONDS)
    return window


def _lifting(window: BoardWindow) -> list[tuple[str, float]]:
    """Return the lever that lifts, and how far it is moved; another one where there is none, none where none is."""
    levers = window.rack.levers
    return [(lever, _LIFT) for lever in (*_LEVERS, *levers) if lever in levers][:1]


def _let_pass(window: BoardWindow, seconds: float) -> None:
    for _ in range(round(seconds / FRAME)):
        window.tick(FRAME)
        application().processEvents()


def _screens(window: BoardWindow) -> Iterator[tuple[str, Callable[[], object]]]:
    """Yield (name, what shows it) of every screen that a window has."""
    yield "board", lambda: None
    if window.board.machine.exists:
        yield "machine", lambda: window.board.set_panes(Panes("machine"))
        yield "both", lambda: window.board.set_panes(Panes("both"))
    yield "keys", window.change_help
    yield "rigs", window.presenter(OpeningPresenter).change_chooser
    yield "first-page", window.presenter(DoorsPresenter).show
    yield "class", lambda: _before_class(window, window.presenter(ClassPresenter).change_view)
    yield "question", lambda: _before_class(window, lambda: _asked(window))
    lessons = window.presenter(LessonsPresenter).desk
    yield from (
        ("lessons", lessons.show_list),
        ("readiness", lessons.show_readiness),
        ("answers", lessons.show_answers),
    )
    explaining = window.presenter(ExplainingPresenter)
    yield "part-page", lambda: explaining.show_part("0V1")
    yield "glossary", explaining.show_all
    yield "hands", lambda: _hands(window)
    yield "rewound", lambda: _rewound(window)
    yield "covered", window.presenter(BoardPresenter).cover_all
    strip, presenter = window.presenter(StripPresenter), window.presenter(DialsPresenter)
    yield "cursors", lambda: _cursors(window)
    yield "traces", strip.show_traces
    yield "runs", lambda: _two_runs(window)
    yield "working", window.presenter(WorkingPresenter).show_first
    yield "ledgers", window.presenter(LedgersPresenter).show_pane
    yield "path", lambda: _path(window)
    yield "path-asked", window.presenter(TracingPresenter).change_asking
    yield "fit", presenter.open_fit
    yield "fit-steps", lambda: presenter.want(presenter.usual("gauge", _work_line(window)))
    yield "stopwatch", window.presenter(StopwatchPresenter).open
    yield "numbers", window.presenter(RigPresenter).change_pane
    yield "screw", lambda: window.presenter(RigPresenter).show_part("0V1")
    yield "recovery", lambda: _recovery(window)
    yield "eight-instruments", lambda: _eight(window)
    beside = window.presenter(BesidePresenter)
    yield "beside-choice", beside.show_choice
    yield "beside", lambda: _beside(window)
    yield "beside-strip", lambda: _beside_strip(window)
    yield from PracticeShow(window, _let_pass).screens()
    yield "lesson", lambda: _lesson(window)
    yield "example", lambda: _example(window)
    yield "exam", lambda: _exam(window)


def _hands(window: BoardWindow) -> None:
    """Show the page of hands as it is once controllers are read."""
    presenter = window.presenter(HandsPresenter)
    presenter.begin()
    presenter.show_screen()


def _lesson(window: BoardWindow) -> None:
    """Ask the second question of the first lesson, on a rig of its own."""
    presenter = window.presenter(LessonPresenter)
    presenter.open_lesson(FIRST, "lever-over")
    presenter.next()


def _example(window: BoardWindow) -> None:
    """Work the same task out with other numbers."""
    _lesson(window)
    window.presenter(LessonPresenter).guide.show_example()


def _exam(window: BoardWindow) -> None:
    """Ask the first question of an exam."""
    presenter = window.presenter(LessonPresenter)
    presenter.open_exam(FIRST)
    presenter.next()


def _beside(window: BoardWindow) -> None:
    """Let both loaders run with the same lever; another rig beside itself with cold oil."""
    presenter = window.presenter(BesidePresenter)
    twin = resources.rigs().get(f"{Path(window.session.rig.source).stem}-load-sensing")
    if twin is not None:
        presenter.show_rig(twin)
    else:
        presenter.show_changed(Otherwise({"oil.temperature@start": 5.0}))
    assert presenter.screen is not None
    for lever, value in _lifting(window):
        presenter.screen.rack.levers[lever].motion.set_exactly(value)
    _let_pass(window, _SECONDS)


def _beside_strip(window: BoardWindow) -> None:
    """Show what both rigs did over time, and go back to where the lever was turned about."""
    _beside(window)
    screen, time = window.presenter(BesidePresenter).screen, window.presenter(TimePresenter)
    assert screen is not None
    screen.show_strip(True)
    time.mark()
    for lever, value in _lifting(window):
        screen.rack.levers[lever].motion.set_exactly(-0.5 * value)
    _let_pass(window, _SECONDS)
    time.earlier_mark()


def _asked(window: BoardWindow) -> None:
    """Ask the class for the first gauge's reading when the first lever goes to its end."""
    presenter, rig = window.presenter(ClassPresenter), window.session.rig
    presenter.change_asking()
    gauge = next((item.name for item in rig.instruments.values() if item.kind == "gauge"), "")
    assert presenter.view is not None
    presenter.view.picked.emit("instrument", gauge)
    for lever in [*window.rack.levers][:1]:
        presenter.view.rack.asked_of.emit(lever, 1.0)


def _before_class(window: BoardWindow, show: Callable[[], object]) -> None:
    size = window.size()
    show()
    window.setWindowState(Qt.WindowState.WindowNoState)  # not the whole screen: the size that is asked for
    window.resize(size)


def _rewound(window: BoardWindow) -> None:
    window.presenter(TimePresenter).mark()
    window.rewind(window.session.time - 1.0)
    window.presenter(TimePresenter).mark("lift")


def _cursors(window: BoardWindow) -> None:
    strip = window.strip
    strip.zoom(2)
    strip.picture.cursors.press(0.6 * window.session.time, 0.0)
    strip.picture.cursors.drag(0.95 * window.session.time)
    strip.tell_cursors()


def _two_runs(window: BoardWindow) -> None:
    """Run once more against a softer relief, and lay both runs beside each other."""
    presenter, levers = window.presenter(ComparePresenter), dict(_lifting(window))
    presenter.keep_run()
    window.reset()
    window.presenter(RigPresenter).set("0V1.setting", 0.5 * window.session.readings.parameter("0V1", "setting"))
    for lever, value in levers.items():
        window.rack.levers[lever].motion.set_exactly(value)
    window.run()
    _let_pass(window, _SECONDS)
    presenter.show_runs()


def _path(window: BoardWindow) -> None:
    for _ in range(5):
        window.presenter(TracingPresenter).next_step()


def _work_line(window: BoardWindow) -> str:
    """Return an oil line without a test point, at a cylinder or motor where there is one."""
    rig = window.session.rig
    at_work = {rig.line_of(id_, port).name for id_, role in rig.having(Actuator).items() for port in role.chambers}
    oil = [line for line in rig.lines.values() if line.kind is Kind.OIL]
    return min(oil, key=lambda line: (line.test_point, line.name not in at_work)).name


def _eight(window: BoardWindow) -> None:
    """Fit instruments until there are eight."""
    presenter = window.presenter(DialsPresenter)
    free = itertools.chain.from_iterable(
        itertools.zip_longest(*(places(window.session.rig, kind) for kind in ("gauge", "thermometer", "flow meter")))
    )
    while len(window.session.rig.instruments) < 8 and (place := next(free, None)) is not None:
        fitted = window.session.rig.instruments
        if not any((item.kind, item.on) == (place.kind, place.on) for item in fitted.values()):
            made = presenter.usual(place.kind, place.on)
            window.refit({**fitted, made.name: made})


def _recovery(window: BoardWindow) -> None:
    presenter = window.presenter(RigPresenter)
    presenter.set("0V1.setting", 0.9 * window.session.readings.parameter("0V1", "setting"))
    rig = window.session.rig
    kept = UnsavedRun("2026-11-25 08:15", rig, rig, presenter.changes.changed_rig(), window.session.time)
    window.open_pane(RecoveryPane(window.look, window.board, kept, 0))


def _put_away(window: BoardWindow) -> None:
    """Bring the window back to the plain board, as far as the next picture needs it."""
    if window.presenter(PracticePresenter).under_way:
        window.presenter(PracticePresenter).desk.leave()
    page = window.board
    if window.stage.screen is not None:
        window.stage.screen.left.emit()
    for over, change in (
        (page.help, window.change_help),
        (page.rigs, window.presenter(OpeningPresenter).change_chooser),
    ):
        if over.isVisible():
            change()
    for pane in [*page.over.open.values()]:
        pane.closed.emit()
    if window.drawing.asker is not None:
        window.presenter(TracingPresenter).change_asking()
    window.presenter(TracingPresenter).stop()
    if window.drawing.state.covered:
        window.presenter(BoardPresenter).cover_all()
    window.strip.home()
    if page.panes.view != "drawing":
        page.set_panes(Panes("drawing"))
    window.run()
    _let_pass(window, 2 * FRAME)
