"""What the window needs besides Qt, in one import that comes before Qt's: once there, that looks at every other."""

from __future__ import annotations

from trainer.changing import opening, recovery
from trainer.drawing import picking
from trainer.energy import ledger_history, series
from trainer.rig import defects, moving

__all__ = ["defects", "ledger_history", "moving", "opening", "picking", "recovery", "series"]
