"""Makes the page of a step, with the form that fits the kind of question."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtWidgets import QWidget

from trainer.engine.session import Session
from trainer.language import tr
from trainer.lessons.flow import Step, Task
from trainer.lessons.formulas import Formula
from trainer.lessons.lesson import Choice, Counts, Lesson, Names, Number, Order, Places, Relief, Trace
from trainer.lessons.posing import Posed
from trainer.lessons.readings import called
from trainer.window.board.drawing_view import DrawingView
from trainer.window.lesson import why
from trainer.window.lesson.by_hand import CountsForm, Hands, ReliefForm
from trainer.window.lesson.forms import ChoiceForm, Form, NumberForm, WordsForm
from trainer.window.lesson.on_drawing import NumberedNames, PlaceForm, TraceForm
from trainer.window.lesson.ordering import OrderForm
from trainer.window.lesson.pages import Page, PredictPage, ReadPage, RunPage, SeenPage, WhyPage
from trainer.window.lesson.pane import LessonPane
from trainer.window.lesson.parts import PartsView
from trainer.window.painting.look import Look

__all__ = ["Made", "form_of", "page_of", "watched"]

_LESS_ROWS = 3  # of the working that stand below an explanation


@dataclass(frozen=True, slots=True)
class Made:
    """A page, and its form where one is asked in."""

    page: Page
    form: Form | None = None


def form_of(look: Look, posed: Posed, drawing: DrawingView, hands: Hands, parent: QWidget) -> Form:
    """Return the form for a task's kind of question."""
    question = posed.exercise.question
    match question:
        case Choice():
            return ChoiceForm(look, posed, parent)
        case Number():
            return NumberForm(look, posed, parent)
        case Order():
            return OrderForm(look, posed, drawing, parent)
        case Places():
            return PlaceForm(look, posed, drawing, parent)
        case Names():
            return NumberedNames(look, posed, drawing, parent)
        case Trace():
            return TraceForm(look, posed, drawing, parent)
        case Relief():
            return ReliefForm(look, posed, hands, parent)
        case Counts():
            return CountsForm(look, posed, hands, parent)
    return WordsForm(look, posed, parent)


def watched(task: Task) -> str:
    """Return what is watched during the run, in words, "" for nothing."""
    exercise = task.posed.exercise
    if exercise.seen:
        return called(task.posed.rig, exercise.readings[exercise.seen])
    scale, answer = exercise.scale, getattr(exercise.question, "answer", None)
    if scale is not None and scale.instrument:
        return scale.instrument
    letters = answer.letters if isinstance(answer, Formula) else frozenset()
    known = [exercise.readings[letter] for letter in letters if letter in exercise.readings]
    moving = [reading for reading in known if reading.what != "number"]
    return called(task.posed.rig, moving[0]) if len(moving) == 1 else ""


def page_of(
    step: Step, task: Task, lesson: Lesson, session: Session, drawing: DrawingView, hands: Hands, pane: LessonPane
) -> Made:
    """Return the page of a step of a task."""
    look = pane.look
    if step is Step.READ:
        first = next(iter(lesson.exercises)) == task.posed.exercise.id
        return Made(ReadPage(look, task, lesson.before if first else "", pane))
    if step is Step.PREDICT:
        form = form_of(look, task.posed, drawing, hands, pane)
        return Made(PredictPage(look, task, form, pane), form)
    if step is Step.RUN:
        return Made(RunPage(look, watched(task), task.posed.exercise.own_hands, pane))
    if step is Step.SEEN:
        return Made(SeenPage(look, task, watched(task), pane))
    verdict = task.verdict
    rows = [] if verdict.right is None else why.rows(task, session.readings, look.system)
    made_of = why.pieces(task, session.readings, look.system)
    if made_of:
        rows = [row for row in rows if not row.right]
    scale = task.posed.exercise.scale
    name = scale.instrument if scale is not None else ""
    parts = (
        PartsView(look, name or tr("What was read"), task.posed.figure(task.posed.answer, look.system), made_of, pane)
        if made_of
        else None
    )
    return Made(WhyPage(look, task, verdict, why.way(task, look.system), rows[:_LESS_ROWS], name, parts, pane))
