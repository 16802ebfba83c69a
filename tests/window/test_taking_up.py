"""While a kept run is repeated: how far it is, hands that do nothing, Esc and closing that leave all as it was."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from board_moves import MakeBoard
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot
from recovery_moves import begin, leave
from rig_moves import BAR, CTRL, LEFT

from trainer.changing.recovery import found
from trainer.engine.session import Session
from trainer.window.recovery.pane import RecoveryPane
from trainer.window.recovery.presenter import RecoveryPresenter
from trainer.window.recovery.progress import Progress
from trainer.window.rig.presenter import RigPresenter
from trainer.window.shell.window import BoardWindow


@pytest.fixture
def offered(make_board: MakeBoard, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[BoardWindow, list[str]]:
    """A window that offers a run of some seconds, and what its pane says after each look at the window."""
    leave(make_board, tmp_path / "r", 30 * BAR)
    window, said = make_board(), []
    presenter = begin(window, tmp_path / "r")
    show = RecoveryPane.show_progress

    def seen(pane: RecoveryPane, reached: float, whole: float) -> None:
        show(pane, reached, whole)
        said.append(pane.taking_words())
        assert pane.taking_words() in [words for words, _, _ in pane.canvas.texts()]

    monkeypatch.setattr(RecoveryPane, "show_progress", seen)
    assert presenter.pane is not None
    return window, said


def during(monkeypatch: pytest.MonkeyPatch, do: Callable[[], object]) -> None:
    """Let something be done once, in the middle of the repetition."""
    see, left = Progress.see, [100]

    def hooked(progress: Progress, session: Session) -> None:
        left[0] -= 1
        if left[0] == 0:
            do()
        see(progress, session)

    monkeypatch.setattr(Progress, "see", hooked)


@pytest.mark.soak
def test_taking_up_says_how_far_it_is_and_keys_and_clicks_meanwhile_do_nothing(
    offered: tuple[BoardWindow, list[str]], qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window, said = offered
    presenter = window.presenter(RecoveryPresenter)
    assert presenter.pane is not None
    whole = presenter.pane.unsaved.time

    def hands() -> None:
        qtbot.keyClick(window, Qt.Key.Key_F7)
        qtbot.keyClick(window, Qt.Key.Key_Space)
        qtbot.keyClick(window, Qt.Key.Key_O, CTRL)
        qtbot.mouseClick(window.bar.run, LEFT)

    during(monkeypatch, hands)
    qtbot.mouseClick(presenter.pane.take, LEFT)
    assert said[0] == f"Taking up: 0 of {whole:.0f} s"
    assert len(said) > 5
    assert said == sorted(said, key=lambda words: float(words.split()[2]))
    assert window.session.time == whole
    assert not window.session.running
    assert not window.presenter(RigPresenter).pane.isVisible()
    assert not window.board.rigs.isVisible()
    qtbot.keyClick(window, Qt.Key.Key_Space)  # and afterwards they do again
    assert window.session.running


@pytest.mark.soak
def test_esc_gives_the_taking_up_up_and_all_stays_kept(
    offered: tuple[BoardWindow, list[str]], qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    window, _ = offered
    presenter, session = window.presenter(RecoveryPresenter), window.session
    during(monkeypatch, lambda: qtbot.keyClick(window, Qt.Key.Key_Escape))
    assert presenter.pane is not None
    qtbot.mouseClick(presenter.pane.take, LEFT)
    assert window.session is session
    assert presenter.pane.isVisible()
    assert presenter.pane.take.isVisible()
    assert presenter.pane.taking_words() == ""
    assert len(found(tmp_path / "r")) == 1
    qtbot.mouseClick(presenter.pane.take, LEFT)
    assert window.session is not session


def test_a_window_closed_while_taking_up_closes_and_all_stays_kept(
    offered: tuple[BoardWindow, list[str]], qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    window, _ = offered
    presenter = window.presenter(RecoveryPresenter)
    during(monkeypatch, window.close)
    assert presenter.pane is not None
    qtbot.mouseClick(presenter.pane.take, LEFT)
    assert not window.isVisible()
    assert len(found(tmp_path / "r")) == 1
