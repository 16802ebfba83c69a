"""Every word of the window can be reached by a translation: both rigs, every screen, in English with accents.

The language is chosen before the window is made, as at a start, and for rigs of their own: a rig makes its names
once. What stands without accents is a text from a rig's file, a unit, an id or a key; anything else is a word that
stands in the code alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest
from board_moves import MakeBoard, pass_time
from cases import first, shipped
from drawing_hand import where
from menu_moves import offered, right_click
from pseudo_language import in_pseudo_language, of_file, plain
from PySide6.QtWidgets import QLabel
from word_walk import seen

from trainer import resources
from trainer.errors import Fault, RigError
from trainer.language import tr
from trainer.lessons import bank, glossary
from trainer.lessons.attempts import usual_place
from trainer.lessons.lesson import Lesson
from trainer.lessons.shelf import own_folder
from trainer.practice.task import Task
from trainer.window import gallery
from trainer.window.board.presenter import BoardPresenter
from trainer.window.lesson.example_page import ExamplePage
from trainer.window.lesson.presenter import LessonPresenter
from trainer.window.lessons_list.presenter import LessonsPresenter
from trainer.window.opening.file_faults import FaultDialog
from trainer.window.practice.presenter import PracticePresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow
from trainer.window.tracing.presenter import TracingPresenter
from trainer.window.working.presenter import WorkingPresenter

RIGS = resources.rigs()
SHIPPED = {name: shipped(name) for name in RIGS}
BENCH, LOADER = "one-spool-bench", "timber-trailer-loader"  # small rigs have no words of the program besides theirs


@pytest.fixture(autouse=True)
def accents() -> Iterator[None]:
    """Everything in here is in that language, from before the window is made."""
    with in_pseudo_language():
        yield


def allowed(window: BoardWindow) -> set[str]:
    """Return the words that come from files: the rigs to choose from, this one, and where they stand."""
    words = set().union(*map(of_file, (*SHIPPED.values(), window.session.rig)))
    pane = window.presenter(WorkingPresenter).pane
    words |= {term.letter.lower() for working in pane.workings for term in (*working.terms, working.result)}
    lesson = window.presenter(LessonPresenter)
    if lesson.open and isinstance(lesson.guide.shown_page, ExamplePage):
        words |= {one.letter.lower() for view in lesson.guide.shown_page.steps for one in view.step.given}
    shelf = window.presenter(LessonsPresenter).desk.shelf
    texts = [text for one in shelf.lessons for text in (one.title, one.before)]
    texts += [text for one in shelf.lessons for text in _of_tasks(one)]
    texts += [*bank.shipped().reasons.values()]
    texts += [text for task in window.presenter(PracticePresenter).desk.tasks for text in _of_rung(task)]
    texts += [outcome.words for outcome in shelf.outcomes.values()] + [str(usual_place()), str(own_folder())]
    texts += [text for word in glossary.shipped().values() for text in (word.term, word.words, *word.also)]
    texts += [term for terms in bank.shipped().terms.values() for term in terms]
    words |= {word.lower() for text in texts for word in re.findall(r"[A-Za-z]{2,}", text)}
    paths = [*map(str, RIGS.values()), str(window.session.rig.source)]
    return words | {word.lower() for path in paths for word in re.findall(r"[A-Za-z]{2,}", path)}


def _of_tasks(lesson: Lesson) -> Iterator[str]:
    """Yield what a lesson's tasks say."""
    for one in lesson.exercises.values():
        yield from (one.situation, one.question.words, *one.hints, *(slip.idea for slip in one.slips))


def _of_rung(task: Task) -> Iterator[str]:
    """Yield what a task of practice says."""
    yield from (task.title, task.goal, task.counts, task.headline, task.waits, *task.cautions, *task.names.values())
    yield from (*(lap.words for lap in task.laps), *(stop.words for stop in task.stops), *task.advice.values())


def bare(window: BoardWindow) -> dict[str, str]:
    """Return the words that no catalogue reached, with the widget on which they stand."""
    known = allowed(window)
    return {text: kind for kind, text in seen(window) if plain(whole(text), known)}


def whole(text: str) -> str:
    """Return a text without words that were cut off for want of room, and without what they were cut to."""
    return re.sub(r"\S*…\S*", "", text)


def screens(window: BoardWindow) -> Iterator[str]:
    """Show one screen after the other, and yield its name while it is shown."""
    for name, show in gallery._screens(window):
        show()
        pass_time(window, 0.3)
        yield name
        gallery._put_away(window)


@pytest.mark.soak
@pytest.mark.parametrize("name", first(1, (BENCH, LOADER)))
def test_every_screen(make_board: MakeBoard, name: str) -> None:
    window = make_board(replace(SHIPPED[name]))
    window.run()
    pass_time(window, 0.3)
    for lever, value in gallery._lifting(window):
        window.rack.levers[lever].motion.set_exactly(value)
    pass_time(window, 1.0)
    assert [(screen, missed) for screen in screens(window) if (missed := bare(window))] == []


@pytest.mark.soak
def test_every_menu(make_board: MakeBoard) -> None:
    """What a right click offers of each kind of thing, held, covered, kept lit, and as it is at first."""
    window = make_board(replace(SHIPPED[LOADER]))
    window.run()
    pass_time(window, 0.5)
    told: set[str] = set()
    lever = next(iter(window.rack.levers.values()))
    for again in (False, True):
        for place in (("part", "0P1"), ("line", "A3"), ("part", "3V1"), ("instrument", "P1")):
            told.update(offered(right_click(window, window.drawing, where(window, place))))
        views = (
            window.dials.dials[0],
            lever,
            window.strip,
            window.bar,
            window.flow,
            next(iter(window.dials.rail.items.values())),
        )
        told.update(text for view in views for text in offered(right_click(window, view)))
        if not again:
            lever.hold.setChecked(True)
            window.presenter(BoardPresenter).cover_all()
            window.presenter(TracingPresenter).next_step()
            window.strip.freeze(True)
            pass_time(window, 0.3)
    assert sorted(text for text in told if plain(whole(text), allowed(window))) == []


def test_what_is_asked_and_told(make_board: MakeBoard) -> None:
    """Faults of a file, the question before closing, the question before a rig is built anew."""
    window = make_board(replace(SHIPPED[BENCH]))
    presenter = window.presenter(RigPresenter)
    presenter.show_part("0V1")
    presenter.set("0V1.setting", 100e5)
    presenter.ask("0V1.given_by", "spring")
    pass_time(window, 0.3)
    assert presenter.pane.question.isVisible()
    found = bare(window)
    error = RigError([Fault("syntax", "[parts]", tr("a name is given twice."), tr("Keep one."))])
    for one in (1, 2):
        dialog = FaultDialog(window.look, "yard.toml", RigError(error.faults * one), window)
        known = allowed(window) | {"yard", "toml", "parts"}
        told = [
            dialog.windowTitle(),
            dialog.list.toPlainText(),
            *(label.text() for label in dialog.findChildren(QLabel)),
        ]
        found |= {text: "FaultDialog" for text in told if plain(text, known)}
    found |= {text: "Closing" for text in window.closing.words() if plain(text, allowed(window))}
    assert found == {}
