"""The ledgers over time are readable in every size and unit system."""

from __future__ import annotations

import pytest
from board_moves import MakeBoard, pass_time
from looks import SYSTEMS, sizes
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.ledgers.presenter import LedgersPresenter


@pytest.mark.soak
@pytest.mark.parametrize("size", sizes((1280, 720), (1366, 768), (1920, 1080)))
@pytest.mark.parametrize("system", SYSTEMS)
def test_nothing_overlaps_or_is_cut(make_board: MakeBoard, loader: Rig, bench: Rig, size: tuple[int, int],
                                    system: System) -> None:  # fmt: skip
    """All that is written is at least 12 px high, inside its view, and no text lies over another."""
    for rig, lever in ((bench, "1V1.lever"), (loader, "3V1.lever")):
        window = make_board(rig, "dark", system, size)
        window.run()
        for value in (0.7, 0.0, -0.6, 0.0, 0.7, 0.0):
            window.rack.levers[lever].motion.set_exactly(value)
            pass_time(window, 0.7)
        window.marks[:] = [(0.0, "A"), (2.0, "B")]
        QTest.keyClick(window, Qt.Key.Key_F5)
        pane = window.presenter(LedgersPresenter).pane
        for kind in ("run", "cycle", "marks"):
            pane.choose(kind)
            pane.set_cursor(pane._span.end - 0.5)
            for view in (pane, pane.power, pane.flow, pane.totals, pane.table):
                texts = view.canvas.texts()
                assert all(height >= 12 for *_, height in texts)
                for k, (text, box, _) in enumerate(texts):
                    inside = (
                        box.left() >= -1 and box.right() <= view.width() + 1 and box.bottom() <= view.height() + 2
                    )
                    assert inside, (text, size, kind)
                    for other, there, _ in texts[:k]:
                        shared = box.intersected(there)
                        assert shared.width() <= 1.0 or shared.height() <= 2.0, (text, other, size, kind)
        if rig is bench:
            window.close()
