"""What stands below a picture that leaves the program: which rig, when, speed, oil, what was changed."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from trainer import units
from trainer.drawing.shapes import Words
from trainer.drawing.type_widths import wrapped
from trainer.energy.consumption import movers
from trainer.engine.session import Session
from trainer.language import tr
from trainer.rig.names import part_label
from trainer.units import System

__all__ = ["MARGIN", "caption", "caption_height", "caption_shapes"]

_SIZE = 14.0  # of its type [board px]
MARGIN = 20.0  # beside the words below a drawing [board px]
_PITCH = 1.3  # of its lines, in sizes


def caption(
    session: Session, date: str, changed: Sequence[str], system: System = System.METRIC, covered: Collection[str] = ()
) -> str:
    """Return the line of the session's present instant; ``changed`` are sentences of what is not as in the file.

    What a ``covered`` instrument would read is not told.
    """
    live, rig = session.readings, session.rig
    hidden = {(instrument.kind, instrument.on) for name, instrument in rig.instruments.items() if name in covered}
    told = [rig.title, date, tr("at {time:.1f} s").format(time=session.time)]
    for mover in movers(session.network):
        if ("tachometer", mover.shaft) in hidden:
            continue
        speed = " ".join(units.text(live.speed(mover.shaft), "shaft speed", system))
        told.append(f"{part_label(rig, mover.id)} {speed}")
    if not any(kind == "thermometer" for kind, _ in hidden):
        told.append(tr("oil {figures}").format(figures=" ".join(units.text(live.temperature, "temperature", system))))
    told.append(tr("changed: {changed}").format(changed="; ".join(changed)) if changed else tr("as in its file"))
    return " · ".join(told)


def caption_height(text: str, width: float) -> float:
    """Return the height that the words need in a width [board px]."""
    return (len(wrapped(text, width, _SIZE)) + 0.6) * _PITCH * _SIZE if text else 0.0


def caption_shapes(text: str, x: float, y: float, width: float) -> list[Words]:
    """Return the words below ``y`` in a width [board px]."""
    lines = wrapped(text, width, _SIZE) if text else []
    return [Words(x, y + (k + 1) * _PITCH * _SIZE, line, _SIZE, "ink") for k, line in enumerate(lines)]
