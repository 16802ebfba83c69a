"""What the window costs: that every row of the table can be measured, not how large it is."""

from __future__ import annotations

import math
import re

import pytest
from pytestqt.qtbot import QtBot

from trainer.bench.hands import neutral, operator_like, swinging
from trainer.engine.session import Session
from trainer.rig.rig import Rig
from trainer.window import costs
from trainer.window.shell.window import BoardWindow


@pytest.mark.soak
def test_every_cost_can_be_measured(bench: Rig, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot) -> None:
    monkeypatch.setattr(costs, "_FRAMES", 3)
    monkeypatch.setattr(costs, "_EVENTS", 2)
    monkeypatch.setattr(costs, "_SECONDS", 0.2)
    monkeypatch.setattr(costs, "_REST", 0.1)
    windows: list[BoardWindow] = []

    def build(session: Session) -> BoardWindow:
        windows.append(BoardWindow(session))
        return windows[0]

    monkeypatch.setattr(costs, "BoardWindow", build)
    live = {"in neutral": neutral(bench), "two levers moving": swinging(bench)}
    found = list(costs.rows(bench, operator_like(bench, 2), live, 0.02))
    assert len({what for what, _, _ in found}) == len(found) >= 12
    for what, told, _ in found:
        figures = [float(figure) for figure in re.findall(r"-?\d+\.\d+|nan|inf", told)]
        assert figures, f"{what}: {told}"
        assert all(map(math.isfinite, figures)), f"{what}: {told}"
    (window,) = windows  # nothing watches it any more, which would count as its memory
    assert "paint" not in vars(window.drawing.canvas)
    assert "tick" not in vars(window.controller) | vars(window.session)
    assert "pass_time" not in vars(window.controller.pace)
