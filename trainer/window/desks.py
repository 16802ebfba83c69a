"""All desks of the window, in the order in which they are told of an instant."""

from __future__ import annotations

from trainer.window.desk import Desk
from trainer.window.time_desk import TimeDesk
from trainer.window.view_desk import ViewDesk

__all__ = ["DESKS"]

DESKS: tuple[type[Desk], ...] = (TimeDesk, ViewDesk)
