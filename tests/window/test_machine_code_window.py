"""Machine code in the window: taken after the first picture, told of in About, switched off and kept so."""

from __future__ import annotations

from pathlib import Path

import pytest
from board_moves import FRAME, MakeBoard, pass_time

from trainer.engine.machine_code import Translator, find_compiler
from trainer.engine.solver import LIVE, Solver
from trainer.window.shell import settings
from trainer.window.shell.about import AboutPresenter
from trainer.window.shell.window import BoardWindow

pytestmark = pytest.mark.skipif(find_compiler() is None, reason="no C compiler here")


@pytest.fixture(name="board")
def own_board(make_board: MakeBoard, translator: Translator) -> BoardWindow:
    """The bench on a board whose solver is its own; it may translate from now on."""
    window = make_board()
    session = window.session
    session.solver = session.state.solver = Solver(session.network, LIVE)
    window.controller.translator = translator
    return window


def told(window: BoardWindow) -> str:
    """Return what About says of the solver."""
    presenter = window.presenter(AboutPresenter)
    presenter.change_pane()
    text = presenter.pane.text.toPlainText()
    presenter.change_pane()
    return next(line for line in text.splitlines() if line.startswith("Equations"))


def test_it_takes_over_while_time_runs(board: BoardWindow) -> None:
    assert "virtual machine" in told(board)
    board.controller.translate()
    translation = board.session.solver._translation
    assert translation is not None
    assert translation.wait(120)
    board.run()
    pass_time(board, 3 * FRAME)
    assert board.session.solver.machine_code
    assert told(board) == "Equations run as machine code: the same numbers, sooner."
    assert board.session.time > 0


def test_switched_off_it_stays_off(board: BoardWindow) -> None:
    test_it_takes_over_while_time_runs(board)
    presenter = board.presenter(AboutPresenter)
    presenter.change_pane()
    presenter.pane.code.click()
    assert not board.session.solver.machine_code
    assert "switched off" in presenter.pane.text.toPlainText()
    pass_time(board, 3 * FRAME)
    assert not board.session.solver.machine_code
    assert board.file is not None
    board.close()
    assert not settings.recall(board.file).machine_code
    presenter.pane.code.click()
    assert board.controller.machine_code


def test_a_file_of_settings_without_it_is_as_before(tmp_path: Path) -> None:
    file = tmp_path / "window.ini"
    file.write_text("[look]\ntheme=dark\n", "utf-8")
    assert settings.recall(file).machine_code
    assert settings.keep(settings.Kept(machine_code=False), file) == ""
    assert not settings.recall(file).machine_code
