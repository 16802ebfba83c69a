"""What a window shows, as numbers and words: for tests and for whoever drives it from outside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from trainer.engine.session import Session
from trainer.window.shell.page import BoardPage

__all__ = ["snapshot_of"]


def snapshot_of(
    session: Session, page: BoardPage, question: Mapping[str, Any], on_board: bool, troubles: Sequence[str]
) -> dict[str, Any]:
    """Return levers, instruments, ledgers, strip, notice and the rest by name."""
    live = session.readings
    moved = [name.partition(".")[0] for name in page.rack.levers]
    return {
        "time": session.time,
        "running": session.running,
        "speed": session.speed,
        "true speed": session.true_speed,
        "theme": page.look.theme,
        "system": page.look.system,
        "view": page.panes.view,
        "page": "board" if on_board else "projector",
        "levers": {name: view.motion.value for name, view in page.rack.levers.items()},
        "speeds": {name: view.motion.value for name, view in page.rack.speeds.items()},
        "instruments": page.dials.snapshot(),
        "needles": {dial.instrument.name: dial.needle for dial in page.dials.dials},
        "covered": set(page.drawing.state.covered),
        "spools": {id_: live.state(id_, "spool") for id_ in moved if "spool" in live.network.models[id_].states},
        "flow ledger": page.flow.text,
        "power ledger": page.power.text,
        "strip": {trace.name: page.strip.value_text(k) for k, trace in enumerate(page.strip.traces)},
        "notice": page.notice.words,
        "question": dict(question),
        "troubles": list(troubles),
    }
