"""All presenters of the window, in the order in which they are told of an instant."""

from __future__ import annotations

from trainer.window.board.presenter import BoardPresenter
from trainer.window.dials.presenter import DialsPresenter
from trainer.window.dials.stopwatch import StopwatchPresenter
from trainer.window.ledgers.presenter import LedgersPresenter
from trainer.window.recovery.presenter import RecoveryPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.session.presenter import Presenter
from trainer.window.shell.about import AboutPresenter
from trainer.window.shell.offer_menu import OfferPresenter
from trainer.window.strip.presenter import StripPresenter
from trainer.window.time.presenter import TimePresenter
from trainer.window.tracing.presenter import TracingPresenter
from trainer.window.working.presenter import WorkingPresenter

__all__ = ["PRESENTERS"]

PRESENTERS: tuple[type[Presenter], ...] = (
    TimePresenter,
    BoardPresenter,
    TracingPresenter,
    StripPresenter,
    LedgersPresenter,
    WorkingPresenter,
    DialsPresenter,
    StopwatchPresenter,
    RigPresenter,
    RecoveryPresenter,
    OfferPresenter,
    AboutPresenter,
)
