"""Names of Qt's own methods stay Qt's: whoever calls one on any widget of ours gets what Qt says."""

from __future__ import annotations

from board_moves import MakeBoard
from PySide6.QtCore import SignalInstance
from PySide6.QtWidgets import QWidget

from trainer.window.ledgers.presenter import LedgersPresenter
from trainer.window.rig.presenter import RigPresenter


def test_no_attribute_of_a_widget_hides_a_method_of_qt(make_board: MakeBoard) -> None:
    window = make_board()
    window.presenter(LedgersPresenter).show_pane()
    window.presenter(RigPresenter).change_pane()
    for widget in (window, *window.findChildren(QWidget)):
        qt = next(kind for kind in type(widget).__mro__ if kind.__module__.startswith("PySide6"))
        own = {name for name, value in vars(widget).items() if not isinstance(value, SignalInstance)}
        assert not own & set(dir(qt)), f"{type(widget).__name__}: {own & set(dir(qt))}"
        assert isinstance(widget.actions(), list)
        assert widget.cursor().shape() is not None
