"""Where somebody stands with the steps of fitting an instrument: what is done, what is waited for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.measuring.fitting import Fitting, FittingStep
from trainer.rig.live import Live

__all__ = ["FIT", "FittingProgress", "StepState", "moving"]

FIT, _AFTER = "fit", "leaks"


@dataclass(frozen=True, slots=True)
class StepState:
    """One step now: whether it is done, whether it is its turn, whether a hand may say that it is done."""

    step: FittingStep
    done: bool
    turn: bool
    by_hand: bool


def moving(off: Fitting, on: Fitting) -> Fitting:
    """Return the steps of taking an instrument off and fitting it elsewhere, what is said twice only once."""
    if not off.steps:
        return on
    taken = tuple(
        FittingStep(f"off {step.key}", step.words, step.done, step.by_hand or step.done is None)
        for step in off.steps
        if step.key != _AFTER
    )
    said = {step.words for step in taken}
    rest = tuple(step for step in on.steps if step.words not in said)
    if not on.steps:
        rest = (*(step for step in off.steps if step.key == _AFTER),)
        taken = tuple(FittingStep(FIT, s.words) if s.key == f"off {FIT}" else s for s in taken)
    return Fitting((*taken, *rest), off.hazard if len(off.hazard) > len(on.hazard) else on.hazard)


class FittingProgress:
    """The steps of one fitting; ``fitted`` once the instrument has changed.

    Steps come one after the other. What a hand has said counts as long as all before it stays done, so that a joint
    is open only while its line is dead.
    """

    def __init__(self, fitting: Fitting) -> None:
        self.fitting = fitting
        self.fitted = False
        self._said: set[str] = set()

    def states(self, live: Live) -> list[StepState]:
        """Return every step as it stands at an instant."""
        found: list[StepState] = []
        clear = True  # all before it is done
        for step in self.fitting.steps:
            if step.key == FIT:
                done, hand = self.fitted, False
            else:
                if not clear and not self.fitted:
                    self._said.discard(step.key)
                hand = step.done is None or step.by_hand
                shown = step.done is not None and step.done(live)
                done = shown or step.key in self._said
            if self.fitted and step.key in self._before:
                done = True
            found.append(StepState(step, done, clear and not done, hand and clear and not done))
            clear = clear and done
        return found

    @property
    def _before(self) -> Sequence[str]:
        keys = [step.key for step in self.fitting.steps]
        return keys[: keys.index(FIT)] if FIT in keys else keys

    def say(self, key: str, live: Live) -> None:
        """Take a hand's word that a step is done; nothing where it is not its turn."""
        if any(state.step.key == key and state.by_hand for state in self.states(live)):
            self._said.add(key)

    def waits_for(self, live: Live) -> int | None:
        """Return the number of the step, from 1, that is waited for; None where the instrument can be fitted."""
        for number, state in enumerate(self.states(live), 1):
            if state.step.key == FIT:
                return None
            if not state.done:
                return number
        return None

    def over(self, live: Live) -> bool:
        """Return whether everything is done."""
        return self.fitted and all(state.done for state in self.states(live))
