"""Shows in the pane how a task stands: its place in the lesson, its step, what its buttons do now."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.language import tr
from trainer.lessons.attempts import Attempt
from trainer.lessons.exam import Exam
from trainer.lessons.example import offered
from trainer.lessons.flow import STEPS, Step, Task
from trainer.lessons.lesson import MOST_HINTS, Counts, Lesson, Relief
from trainer.lessons.worked import SHOWN
from trainer.window.lesson.exam import Sitting
from trainer.window.lesson.pane import LessonPane

__all__ = ["show_result", "show_standing", "stands", "without_run"]


def without_run(task: Task) -> bool:
    """Whether there is nothing to run once it is answered: the answer was the run, or the instant is its end."""
    exercise = task.posed.exercise
    return isinstance(exercise.question, Relief | Counts) or exercise.run.until <= exercise.run.begin + 1e-6


def stands(attempt: Attempt) -> str:
    """Return how a task stands after an attempt: "done", or "answered" where answer or reason were wrong."""
    return "answered" if attempt.right is False or attempt.reasoned is False else "done"


def _of_exam(exam: Exam) -> dict[str, str]:
    return {
        name: "answered" if exam.tries[name][-1].right is False else "done" for name in exam.tasks if exam.done(name)
    }


def show_standing(
    pane: LessonPane, task: Task, lesson: Lesson, shown: Step, done: Mapping[str, str], led: bool, runs: bool,
    sitting: Sitting | None,
) -> None:  # fmt: skip
    """Show a task of a lesson at the step that is looked at.

    ``done`` tells how tasks stand that have been answered; ``led``: a script moves the levers; ``runs``: the clock
    does.
    """
    exercise, why = task.posed.exercise, task.step is Step.WHY
    names = sitting.exam.tasks if sitting is not None else [*lesson.exercises]
    if sitting is not None:
        done = _of_exam(sitting.exam)
    pane.exam.show_sitting(sitting, exercise.id)
    at = names.index(exercise.id)
    pane.show_lesson(lesson.title, [done.get(name, "to come") for name in names], at)
    pane.show_step(shown, task.step, () if sitting is None else (Step.RUN, Step.SEEN))
    going = led and runs and shown is Step.RUN
    last = tr("All lessons") if sitting is None else tr("Result")
    words = tr("Running") if going else _words(shown, task, last if at + 1 == len(names) else tr("Next"))
    pane.go.setText(words)
    pane.go.setAccessibleName(words)
    pane.go.setEnabled(not going and not (shown is Step.SEEN and task.step is Step.SEEN))
    left = len(exercise.hints[:MOST_HINTS]) - task.hints
    pane.hint.setText(tr("Hint, {left} left").format(left=left))
    pane.hint.setVisible(not task.committed and bool(exercise.hints) and sitting is None)
    half = SHOWN[exercise.depth] == "half-worked"
    pane.example.setText(tr("Half-worked example") if half else tr("Worked example"))
    pane.example.setVisible(not task.committed and sitting is None and offered(exercise))
    pane.others.setText(tr("Other numbers") if exercise.vary else tr("Answer again"))
    pane.others.setVisible(why and sitting is None)
    pane.again.setVisible(why and not without_run(task))
    pane.working.setVisible(why and bool(exercise.working))
    seed = task.posed.seed
    told = tr("seat {seat} · numbers {numbers}").format(seat=seed.seat, numbers=seed.number("shown") % 10_000)
    pane.seat.setText(told)
    pane.foot.invalidate()


def show_result(pane: LessonPane, exam: Exam) -> None:
    """Show that what came of an exam is looked at, not one of its tasks."""
    for k, (square, state) in enumerate(zip(pane.squares, _of_exam(exam).values(), strict=True)):
        square.show_task(k + 1, len(pane.squares), state)
    for button in pane.steps.values():
        button.setEnabled(False)
        button.setChecked(False)
    for button in (pane.others, pane.again, pane.working):
        button.hide()
    pane.count.setText("")
    pane.go.setText(tr("All lessons"))
    pane.go.setAccessibleName(tr("All lessons"))
    pane.arrange()


def _words(shown: Step, task: Task, onward: str) -> str:
    """Return what the filled button does; ``onward`` after the last step."""
    if shown < task.step:
        return tr(STEPS[Step(shown + 1)])
    match shown:
        case Step.READ:
            return tr("Predict")
        case Step.PREDICT:
            return tr("Commit")
        case Step.RUN:
            return tr("On")
        case Step.SEEN:
            return tr("Why")
    return onward
