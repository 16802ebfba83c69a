"""Words that the screens of lever practice share: aids, bands, how an attempt ended, days."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from trainer.drawing.type_widths import text_width
from trainer.language import mark, tr
from trainer.practice.score import Band
from trainer.practice.task import Task

__all__ = ["AIDS", "BANDS", "DAYS", "MONTHS", "aid_tip", "cut", "day_words", "squares_words"]

AIDS: Mapping[str, str] = {
    "path": mark("path"),
    "target": mark("target"),
    "gauge": mark("gauge"),
    "none": mark("none"),
}
_TIPS: Mapping[str, str] = {
    "path": mark("The way, your own trail and your best run are drawn"),
    "target": mark("Only the place is drawn, with how near is near enough"),
    "gauge": mark("Machine and speed are covered; the gauge and the note of the engine stay"),
    "none": mark("Nothing is drawn but what a machine shows"),
}
BANDS: Mapping[Band, str] = {
    Band.PRACTISED: mark("practised"),
    Band.USABLE: mark("usable"),
    Band.BEYOND: mark("beyond"),
}
DAYS = (mark("Mon"), mark("Tue"), mark("Wed"), mark("Thu"), mark("Fri"), mark("Sat"), mark("Sun"))
MONTHS = (
    mark("Jan"), mark("Feb"), mark("Mar"), mark("Apr"), mark("May"), mark("Jun"), mark("Jul"), mark("Aug"),
    mark("Sep"), mark("Oct"), mark("Nov"), mark("Dec"),
)  # fmt: skip


def aid_tip(aid: str) -> str:
    """Return what an aid does."""
    return tr(_TIPS[aid])


def day_words(day: date) -> str:
    """Return a day in words: "Fri 27 Nov"."""
    return tr("{weekday} {day} {month}").format(
        weekday=tr(DAYS[day.weekday()]), day=day.day, month=tr(MONTHS[day.month - 1])
    )


def cut(words: str, width: float, size: float, weight: int = 400) -> str:
    """Return words as far as they have room in a line [board px]."""
    if text_width(words, size, weight) <= width:
        return words
    while words and text_width(f"{words} …", size, weight) > width:
        words = words.rpartition(" ")[0]
    return f"{words} …"


def squares_words(task: Task, passed: frozenset[str]) -> str:
    """Return in words with which aids a task was passed, for who does not see the squares."""
    told = [tr(AIDS[aid]) for aid in task.aids if aid in passed]
    return tr("passed with {aids}").format(aids=", ".join(told)) if told else tr("not passed yet")
