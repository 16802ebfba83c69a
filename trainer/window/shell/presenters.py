"""All presenters of the window, in the order in which they are told of an instant."""

from __future__ import annotations

from trainer.window.beside.presenter import BesidePresenter
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
from trainer.window.lessons_list.presenter import LessonsPresenter
from trainer.window.offers.offers import Tools
from trainer.window.offers.presenter import OfferPresenter
from trainer.window.opening.presenter import OpeningPresenter
from trainer.window.opening.put_in import PutInPresenter
from trainer.window.practice.presenter import PracticePresenter
from trainer.window.recovery.presenter import RecoveryPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.session.controller import SessionController
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage
from trainer.window.shell.about import AboutPresenter
from trainer.window.shell.page import BoardPage
from trainer.window.sound.presenter import SoundPresenter
from trainer.window.strip.presenter import StripPresenter
from trainer.window.time.presenter import TimePresenter
from trainer.window.tracing.presenter import TracingPresenter
from trainer.window.working.presenter import WorkingPresenter

__all__ = ["TOOLS", "presenters"]

TOOLS = (  # what presenters import when it is asked for first: imported sooner, but not before the first picture
    "trainer.window.beside.choosing",
    "trainer.window.beside.screen",
    "trainer.window.class_view.question_view",
    "trainer.window.class_view.view",
    "trainer.window.compare.pane",
    "trainer.window.explaining.pane",
    "trainer.window.explaining.screen",
    "trainer.window.lesson.guide",
    "trainer.window.lessons_list.desk",
    "trainer.window.practice.desk",
    "trainer.window.strip.trace_list",
    "trainer.window.strip.export",
    "trainer.window.recovery.pane",
    "trainer.changing.saving",
    "importlib.metadata",
)


def presenters(controller: SessionController, stage: Stage) -> tuple[Presenter[BoardPage], ...]:
    """Return one of each, given the others that it works with."""
    ledgers, rig = LedgersPresenter(controller, stage), RigPresenter(controller, stage)
    working, tracing = WorkingPresenter(controller, stage), TracingPresenter(controller, stage)
    dials, recovery = DialsPresenter(controller, stage), RecoveryPresenter(controller, stage, rig, ledgers)
    opening = OpeningPresenter(controller, stage, rig, recovery)
    explaining = ExplainingPresenter(controller, stage, working, rig)
    put_in = PutInPresenter(controller, stage, rig)
    tools = Tools(working, rig, dials, ledgers, tracing, stage.actions, opening.open_file, explaining, put_in)
    lesson = LessonPresenter(controller, stage, opening, rig, working)
    before_class = ClassPresenter(controller, stage, lesson)
    lessons = LessonsPresenter(controller, stage, lesson)
    lesson.choose_lessons = lessons.change_screen
    lessons.show_words = explaining.show_all
    hands, sound = HandsPresenter(controller, stage), SoundPresenter(controller, stage)
    practice = PracticePresenter(controller, stage, opening, lesson, hands)
    practice.caption = lambda: sound.caption
    lessons.show_practice = practice.change_screen
    return (
        TimePresenter(controller, stage),
        BoardPresenter(controller, stage),
        hands,
        sound,
        tracing,
        StripPresenter(controller, stage),
        ComparePresenter(controller, stage),
        ledgers,
        working,
        dials,
        StopwatchPresenter(controller, stage),
        before_class,
        rig,
        explaining,
        recovery,
        opening,
        put_in,
        lesson,
        lessons,
        practice,
        BesidePresenter(controller, stage, opening, rig),
        DoorsPresenter(controller, stage, opening, lessons, before_class, explaining, practice),
        OfferPresenter(controller, stage, tools),
        AboutPresenter(controller, stage),
    )
