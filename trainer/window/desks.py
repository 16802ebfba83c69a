"""All desks of the window, in the order in which they are told of an instant."""

from __future__ import annotations

from trainer.window.about_desk import AboutDesk
from trainer.window.desk import Desk
from trainer.window.instrument_desk import InstrumentDesk
from trainer.window.ledger_desk import LedgerDesk
from trainer.window.offer_desk import OfferDesk
from trainer.window.recovery_desk import RecoveryDesk
from trainer.window.rig_desk import RigDesk
from trainer.window.stopwatch_desk import StopwatchDesk
from trainer.window.strip_desk import StripDesk
from trainer.window.time_desk import TimeDesk
from trainer.window.trace_desk import TraceDesk
from trainer.window.view_desk import ViewDesk
from trainer.window.working_desk import WorkingDesk

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
