"""What is remembered from one start to the next besides how the window looks: the seat, and where one was."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["MOST_SEATS", "Remembered"]

MOST_SEATS = 999


@dataclass(slots=True)
class Remembered:
    """The seat's number, the lesson and task that are open ("" for none), whether the doors were seen, sound is on.

    Whoever opens or puts away a lesson says so here.
    """

    seat: int = 1
    lesson: str = ""
    task: str = ""
    welcomed: bool = False
    sound: bool = False
