"""What the line below the drawing says.

The session's own notice comes first, then a message, then what stands, then what waits for the clock, then
that time runs slow, then what is heard.
"""

from __future__ import annotations

from trainer import units
from trainer.changing.adjustables import adjustables
from trainer.drawing.rack import WAITS, percent
from trainer.engine.session import Session
from trainer.language import mark, tr
from trainer.rig.names import capital, lever_words, part_label
from trainer.units import System
from trainer.window.time.clock_bar import speed_words

__all__ = ["Notices"]

_STAYS = 6.0  # seconds of a message
_SLOW = 1.0  # seconds of slow running before it is said
_NAMED = 3  # of what waits; the others are counted
_FROZEN = mark("The clock is frozen.")


def _waiting(session: Session, system: System) -> str:
    """Return which levers and numbers wait for the clock: "Boom lever at 40 %: taken when the clock runs."."""
    rig, told = session.rig, []
    controls, known = rig.controls(), adjustables(rig)
    for name, value in session.waiting.items():
        control = controls.get(name)
        if control is None:
            told.append(known[name].set_to(value, system))
        elif name.endswith(".lever"):
            told.append(tr("{called} at {shown}").format(called=lever_words(rig, name), shown=percent(value)))
        elif control.ends == ("off", "on"):
            words = tr("{part} on") if value > 0.5 else tr("{part} off")
            told.append(words.format(part=capital(part_label(rig, name))))
        else:
            set_to = " ".join(units.text(value, control.quantity, system, 0))
            told.append(tr("{called} at {shown}").format(called=capital(part_label(rig, name)), shown=set_to))
    more = len(told) - _NAMED
    words = tr("{changes} (and {more} more)") if more > 0 else "{changes}"
    return f"{words.format(changes=capital(', '.join(told[:_NAMED])), more=more)}: {tr(WAITS)}."


class Notices:
    """Remembers a message and how long time has run slow.

    Where there is nothing else ``standing`` is said, and last of all what is ``heard``.
    """

    def __init__(self) -> None:
        self.standing = self.heard = ""
        self._message, self._stays, self._slow_for = "", 0.0, 0.0
        self._warns = self._frozen = False
        self.warns = False  # whether what was said last can hurt or mislead

    def tell(self, words: str, warns: bool = False, frozen: bool = False) -> None:
        """Say a sentence for six seconds; ``warns`` where it tells of what can hurt or mislead.

        With ``frozen`` it is also said that the clock is frozen, for as long as it is.
        """
        self._message, self._stays, self._warns, self._frozen = words, _STAYS, warns, frozen

    def words(self, session: Session, seconds: float, system: System = System.METRIC, waits: bool = True) -> str:
        """Return what there is to say, some wall seconds after the last time; with ``waits`` also what waits."""
        slow = session.running and session.true_speed < 0.9 * session.speed
        self._slow_for = self._slow_for + seconds if slow else 0.0
        self._stays = max(self._stays - seconds, 0.0)
        self.warns = True
        if session.notice:
            return session.notice
        if self._stays > 0.0:
            self.warns = self._warns
            return f"{self._message} {tr(_FROZEN)}" if self._frozen and not session.running else self._message
        if self.standing:
            return self.standing
        if waits and not session.running and session.waiting:
            self.warns = False
            return _waiting(session, system)
        if self._slow_for > _SLOW:
            return tr(
                "The computer cannot keep up: time runs at {true_speed:.2g} of real time instead of {speed_words}."
            ).format(true_speed=session.true_speed, speed_words=speed_words(session.speed))
        self.warns = False
        return self.heard
