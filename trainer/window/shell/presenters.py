"""All desks of the window, in the order in which they are told of an instant."""

from __future__ import annotations

from trainer.window.board.presenter import ViewDesk
from trainer.window.dials.presenter import InstrumentDesk
from trainer.window.dials.stopwatch import StopwatchDesk
from trainer.window.ledgers.presenter import LedgerDesk
from trainer.window.recovery.presenter import RecoveryDesk
from trainer.window.rig.presenter import RigDesk
from trainer.window.session.presenter import Desk
from trainer.window.shell.about import AboutDesk
from trainer.window.shell.offer_menu import OfferDesk
from trainer.window.strip.presenter import StripDesk
from trainer.window.time.presenter import TimeDesk
from trainer.window.tracing.presenter import TraceDesk
from trainer.window.working.presenter import WorkingDesk

__all__ = ["DESKS"]

DESKS: tuple[type[Desk], ...] = (
    TimeDesk,
    ViewDesk,
    TraceDesk,
    StripDesk,
    LedgerDesk,
    WorkingDesk,
    InstrumentDesk,
    StopwatchDesk,
    RigDesk,
    RecoveryDesk,
    OfferDesk,
    AboutDesk,
)
