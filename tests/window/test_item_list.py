"""Lists of the window: what Qt's own view gives for nothing, the keys of the window, no half line."""

from __future__ import annotations

from board_moves import there
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from trainer.window.controls.item_list import FilterEntry, ItemList
from trainer.window.controls.items import Item, ItemStyle
from trainer.window.painting import fonts
from trainer.window.painting.look import Look

ITEMS = [
    Item("", "Boom", heading=True),
    Item("a", "Boom lever", right="%", ticked=True),
    Item("b", "Boom rod", right="mm", ticked=False, told="where it stands"),
    Item("", "Stick", heading=True),
    Item("c", "Stick lever", right="%", ticked=False),
    Item("d", "<b>Crane</b> tip", before="1W1", mark="changed"),
]


def made(qtbot: QtBot, items: list[Item] = ITEMS, height: int = 300, **ways: bool) -> ItemList:
    fonts.load()
    parent = QWidget()
    qtbot.addWidget(parent)
    rows = ItemList(Look(), "Things", parent, ItemStyle(), **ways)
    parent.resize(300, height)
    rows.resize(300, height)
    rows.fill(items)
    parent.show()
    qtbot.waitExposed(parent)
    rows.setFocus()
    vars(rows)["stands_in"] = parent  # else it goes with the function
    return rows


def test_headings_are_no_choices_and_letters_seek(qtbot: QtBot) -> None:
    rows = made(qtbot)
    assert rows.key == "a"
    for wanted in ("b", "c", "d", "d"):
        qtbot.keyClick(rows, Qt.Key.Key_Down)
        assert rows.key == wanted
    qtbot.keyClicks(rows, "st")
    assert rows.key == "c"
    with qtbot.waitSignal(rows.entered) as entered:
        qtbot.keyClick(rows, Qt.Key.Key_Return)
    assert entered.args == ["c"]


def test_one_click_takes_an_item_and_a_click_on_a_heading_nothing(qtbot: QtBot) -> None:
    rows = made(qtbot, one_click=True)
    taken: list[str] = []
    rows.entered.connect(taken.append)
    for row in (0, 2, 3):
        middle = rows.visualRect(rows.items.index(row)).center()
        qtbot.mouseClick(rows.viewport(), Qt.MouseButton.LeftButton, pos=middle)
    assert taken == ["b"]


def test_what_a_screen_reader_is_told(qtbot: QtBot) -> None:
    rows = made(qtbot)
    told = QAccessible.queryAccessibleInterface(rows)
    assert told.role() == QAccessible.Role.List
    assert told.text(QAccessible.Text.Name) == "Things"
    assert told.childCount() == len(ITEMS)
    names = [told.child(k).text(QAccessible.Text.Name) for k in range(len(ITEMS))]
    assert names[1] == "Boom lever, %"
    assert names[5] == "1W1, <b>Crane</b> tip, changed"
    assert told.child(2).text(QAccessible.Text.Description) == "where it stands"
    assert told.child(1).role() == QAccessible.Role.ListItem
    assert told.child(1).state().checked
    assert not told.child(2).state().checked


def test_what_is_chosen_stays_while_items_tell_something_else(qtbot: QtBot) -> None:
    rows = made(qtbot)
    rows.choose("c")
    rows.fill([Item(i.key, i.words.upper(), heading=i.heading) for i in ITEMS], rows.key)
    assert rows.key == "c"
    assert rows.currentIndex().data() == "STICK LEVER"
    rows.fill(ITEMS[3:], rows.key)
    assert rows.key == "c"
    rows.fill(ITEMS[5:], rows.key)
    assert rows.key == "d"


def test_a_filter_leaves_what_fits_and_enter_takes_it(qtbot: QtBot) -> None:
    rows = made(qtbot)
    entry = FilterEntry(rows.look, rows, "Seek", there(rows.parentWidget()))
    entry.show()
    qtbot.keyClicks(entry, "lever st")
    assert [item.key for item in rows.items.items] == ["c"]
    with qtbot.waitSignal(rows.entered) as entered:
        qtbot.keyClick(entry, Qt.Key.Key_Return)
    assert entered.args == ["c"]
    qtbot.keyClick(entry, Qt.Key.Key_Escape)
    assert len(rows.items.items) == len(ITEMS)


def test_no_line_is_cut(qtbot: QtBot) -> None:
    items = [Item(str(k), f"Item {k}") for k in range(40)]
    for height in (90, 97, 104):
        rows = made(qtbot, items, height)
        high = rows.sizeHintForRow(0)
        assert rows.viewport().height() % high == 0
        assert rows.viewport().height() > height - high
