"""What a window shows, as numbers and words: for tests and for whoever drives it from outside."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trainer.window.shell.window import BoardWindow

__all__ = ["snapshot_of"]


def snapshot_of(window: BoardWindow) -> dict[str, object]:
    """Return levers, instruments, ledgers, strip, notice and the rest by name."""
    session, live = window.session, window.session.readings
    return {
        "time": session.time,
        "running": session.running,
        "speed": session.speed,
        "true speed": session.true_speed,
        "theme": window.look.theme,
        "system": window.look.system,
        "view": window.board.panes.view,
        "page": "projector" if window.pages.currentWidget() is window.projector else "board",
        "levers": {name: view.motion.value for name, view in window.rack.levers.items()},
        "speeds": {name: view.motion.value for name, view in window.rack.speeds.items()},
        "instruments": window.dials.snapshot(),
        "needles": {dial.instrument.name: dial.needle for dial in window.dials.dials},
        "covered": set(window.drawing.state.covered),
        "spools": {
            name.partition(".")[0]: live.state(name.partition(".")[0], "spool") for name in window.rack.levers
        },
        "flow ledger": window.flow.text,
        "power ledger": window.power.text,
        "strip": {trace.name: window.strip.value_text(k) for k, trace in enumerate(window.strip.traces)},
        "notice": window.notice.words,
        "question": window.projector.snapshot(),
        "troubles": list(window.troubles.seen),
    }
