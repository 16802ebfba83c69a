"""Opening rigs: the list, files with faults, what stays."""

from __future__ import annotations

from pathlib import Path

import pytest
from board_moves import MakeBoard, opening_of, pass_time, there
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QLabel
from pytestqt.qtbot import QtBot

from trainer import cli, resources
from trainer.changing.rig_shelf import by_topic, first_sentence, found, found_by_topic, shelf
from trainer.energy.books import FlowBook
from trainer.engine.network import Network
from trainer.rig.rig import Rig
from trainer.rig.topics import TOPICS
from trainer.window.board.arrangement import Panes
from trainer.window.shell import settings
from trainer.window.shell.window import BoardWindow

BAD = """format = 1
title = "Wrong in many ways"
[parts]
0P1 = { is = "FixdPump" }
0V1 = { is = "ReliefValve", setting = "50 mm" }
[lines]
P = ["0P1.P", "0V1.Q"]
"""


def test_list_of_rigs_by_key(board: BoardWindow, qtbot: QtBot) -> None:
    board.activateWindow()
    qtbot.keyClick(board, Qt.Key.Key_O, Qt.KeyboardModifier.ControlModifier)
    page = board.board.rigs
    assert page.isVisible()
    items = [item for item in page.list.items.items if not item.heading]
    assert items[0].words == "Open a file …"
    assert [(item.words, item.told) for item in items[1:]] == [(one.title, one.about) for one in page.shelf]
    assert page.list.hasFocus()
    for key, wanted in (
        (Qt.Key.Key_Down, 1),  # a heading is passed over
        (Qt.Key.Key_Right, 2),
        (Qt.Key.Key_Left, 1),
        (Qt.Key.Key_Down, 3),
        (Qt.Key.Key_Up, 1),
        (Qt.Key.Key_Up, 0),
    ):
        qtbot.keyClick(page.list, key)
        assert page.list.key == items[wanted].key
    bench = page.list.items.index(2)
    assert bench.data(Qt.ItemDataRole.AccessibleTextRole) == "One-spool bench, open now"
    assert bench.data(Qt.ItemDataRole.AccessibleDescriptionRole) == items[1].told
    qtbot.keyClick(page.list, Qt.Key.Key_Escape)
    assert not page.isVisible()


def test_rigs_are_listed_by_what_they_teach(capsys: pytest.CaptureFixture[str]) -> None:
    """In the order of a course, those of few levers first; each says what it is for, in the file and nowhere else."""
    known = shelf()
    assert {one.path for one in known} == {*resources.rigs().values()}
    for one in known:
        assert one.topic in TOPICS, f"{one.path.stem} does not say what it teaches"
        assert 25 < len(one.about) < 180, one.path.stem
    groups = by_topic(known)
    assert [*groups] == [heading for topic, heading in TOPICS.items() if topic in {one.topic for one in known}]
    assert [one for those in groups.values() for one in those] == known
    for those in groups.values():
        assert [one.levers for one in those] == sorted(one.levers for one in those)
    assert cli.main(["rigs"]) == 0
    printed = _closed(capsys.readouterr().out)
    places = [printed.index(_closed(f"{one.path.stem} {one.title}")) for one in known]
    assert places == sorted(places)
    assert all(_closed(one.about) in printed for one in known)
    assert all(_closed(heading) in printed for heading in groups)


def _closed(text: str) -> str:
    """Return a text without the places where it is broken into lines."""
    return "".join(text.split())


@pytest.mark.parametrize(
    ("sought", "wanted"),
    [
        ("divider", "synchronised-wings"),  # a part's name, in the trade's words
        ("FLOWDIVIDER", "synchronised-wings"),  # as it stands in a file
        ("brake swing", "swing-and-brake"),  # every word, wherever it stands
        ("conveyor", "two-motors-in-series"),  # a title
        ("sun warms", "line-in-the-sun"),  # the sentence
        ("hi-lo", "two-pumps-hi-lo"),  # the file's name
        ("oil that turns carriage", "swing-and-brake"),  # the heading
        ("coupling b", "quick-couplings"),  # what a part is called
    ],
)
def test_a_rig_is_found_by_its_words(sought: str, wanted: str) -> None:
    rigs = [one.path.stem for one in found(shelf(), sought)]
    assert wanted in rigs
    assert "neutral-only" not in rigs
    assert found(shelf(), f"{sought} nowhere") == []


def test_what_a_rig_is_about_comes_before_what_stands_in_it() -> None:
    """Nearly every rig has a relief valve: those that tell of one come first, and none is lost."""
    rigs = found_by_topic(shelf(), "relief")
    *told, by_part = rigs
    assert by_part == "Among the parts"
    assert all("relief" in one.told.casefold() for heading in told for one in rigs[heading])
    assert not any("relief" in one.told.casefold() for one in rigs[by_part])
    assert sorted(one.title for those in rigs.values() for one in those) == sorted(
        one.title for one in found(shelf(), "relief")
    )
    assert found_by_topic(shelf(), "") == by_topic(shelf())


def test_typing_narrows_the_list_of_rigs(board: BoardWindow, qtbot: QtBot) -> None:
    """By keyboard alone: letters, arrows, Enter, Esc once and again; who hears the line hears the count as well."""
    opening_of(board).change_chooser()
    page, count = board.board.rigs, len(shelf())
    rows, find = page.list, page.finder

    def listed() -> list[str]:
        return [Path(item.key).stem for item in rows.items.items if not item.heading]

    assert (rows.hasFocus(), page.count.text()) == (True, f"{count} rigs")
    qtbot.keyClick(rows, "b")
    assert (find.hasFocus(), find.text()) == (True, "b")
    qtbot.keyClicks(find, "rake")
    assert {"swing-and-brake", "motor-and-brake"} <= {*listed()} == {one.path.stem for one in found(shelf(), "brake")}
    assert page.count.text() == find.accessibleDescription() == f"{len(listed())} of {count} rigs"
    assert rows.key.endswith(f"{listed()[0]}.toml")
    qtbot.keyClick(find, Qt.Key.Key_Down)
    qtbot.keyClick(rows, Qt.Key.Key_Right)
    assert (rows.hasFocus(), Path(rows.key).stem) == (True, listed()[1])
    for _ in range(2):
        qtbot.keyClick(rows, Qt.Key.Key_Up)
    assert (find.hasFocus(), find.selectedText()) == (True, "brake")
    qtbot.keyClicks(find, "no such rig")
    assert (listed(), page.none.isVisible(), page.count.text()) == ([], True, f"0 of {count} rigs")
    assert find.accessibleDescription() == page.none.text()
    assert "“no such rig”" in page.none.text()
    for key in (Qt.Key.Key_Return, Qt.Key.Key_Down, Qt.Key.Key_Up):  # nothing is there to be taken
        qtbot.keyClick(find, key)
    assert (page.isVisible(), find.hasFocus()) == (True, True)
    qtbot.keyClick(find, Qt.Key.Key_Escape)
    assert (page.isVisible(), find.text(), page.none.isVisible(), len(listed())) == (True, "", False, count + 1)
    qtbot.keyClick(find, Qt.Key.Key_Escape)
    assert not page.isVisible()


def test_what_was_sought_is_forgotten_and_its_key_is_not_the_boards(board: BoardWindow, qtbot: QtBot) -> None:
    """The key that fits the drawing finds here; a letter too many is taken back from the list as well."""
    board.activateWindow()
    board.drawing.zoom.by(2.0, (100.0, 100.0), (400.0, 300.0))
    opening_of(board).change_chooser()
    page = board.board.rigs
    for _ in range(2):  # from the list, and from the line itself
        qtbot.keyClick(there(board.focusWidget()), Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
        assert page.finder.hasFocus()
    assert not board.drawing.zoom.fitted
    qtbot.keyClicks(page.finder, "wings")
    qtbot.keyClick(page.list, Qt.Key.Key_Backspace)
    assert page.finder.text() == "wing"
    page.list.setFocus()
    qtbot.keyClick(page.list, Qt.Key.Key_Escape)
    assert (page.isVisible(), page.finder.text()) == (True, "")
    qtbot.keyClicks(page.list, "wings")
    for _ in range(2):
        opening_of(board).change_chooser()
    assert (page.finder.text(), page.list.hasFocus(), page.list.key) == ("", True, "any")


def test_pictures_of_rigs_are_made_for_those_that_are_seen(board: BoardWindow, qtbot: QtBot) -> None:
    opening_of(board).change_chooser()
    rows = board.board.rigs.list
    assert rows.pictures == {}, "the list stands before them"
    seen = [
        item.key
        for row, item in enumerate(rows.items.items)
        if item.key in rows.makers and rows.viewport().rect().contains(rows.visualRect(rows.items.index(row)))
    ]
    assert len(seen) > 3
    qtbot.waitUntil(lambda: {*seen} <= {*rows.pictures})
    assert len(rows.pictures) < len(rows.makers) / 2
    for key in seen:
        picture = rows.pictures[key].picture.toImage()
        assert len({picture.pixel(x, 40) for x in range(picture.width())}) > 2
    kept = {key: rows.pictures[key].picture.cacheKey() for key in seen}
    for _ in range(2):
        opening_of(board).change_chooser()
    board.grab()
    assert all(rows.pictures[key].picture.cacheKey() == kept[key] for key in seen)
    board.change_theme()
    qtbot.waitUntil(lambda: all(rows.pictures[key].picture.cacheKey() != kept[key] for key in seen))


@pytest.mark.soak
def test_another_rig_takes_the_place(board: BoardWindow, qtbot: QtBot) -> None:
    board.change_theme()
    opening_of(board).change_chooser()
    old = board.session
    rows = board.board.rigs.list
    qtbot.keyClicks(rows, "timb")  # letters seek
    assert rows.currentIndex().data() == "Timber-trailer loader"
    qtbot.keyClick(rows, Qt.Key.Key_Return)
    assert board.session is not old
    assert board.windowTitle().startswith("Timber-trailer loader")
    assert board.pages.count() == 1
    assert board.session.running
    assert board.look.theme == "dark"
    qtbot.waitUntil(lambda: bool(board.strip.curves))
    board.rack.levers["3V1.lever"].motion.set_exactly(0.8)
    pass_time(board, 0.5)
    assert board.snapshot()["spools"]["3V1"] > 0.5
    qtbot.keyClick(board, Qt.Key.Key_1, Qt.KeyboardModifier.AltModifier)
    assert board.snapshot()["instruments"]["P1"] is None


def test_what_takes_long_is_made_once(board: BoardWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    """Books for ledgers, history and workings together: their tables take most of the time to open. And the shelf."""
    made: list[Network] = []

    def counted(book: FlowBook, network: Network) -> None:
        made.append(network)
        begin(book, network)

    begin = FlowBook.__init__
    monkeypatch.setattr(FlowBook, "__init__", counted)
    opening_of(board).change_chooser()
    before = board.board.rigs
    assert opening_of(board).open_rig(resources.rigs()["one-spool-bench"])
    pass_time(board, 0.2)
    assert made == [board.session.network]
    after = board.board.rigs
    assert after is not before
    assert (after.shelf, after.list.pictures) == (before.shelf, before.list.pictures)  # nor is the list of rigs
    assert after.shelf


def test_a_bad_file_shows_all_its_faults_and_the_rig_stays(board: BoardWindow, tmp_path: Path) -> None:
    file = tmp_path / "bad.toml"
    file.write_text(BAD)
    old = board.session
    assert not opening_of(board).open_rig(file)
    dialog = opening_of(board).faults.dialog
    assert dialog is not None
    words = dialog.list.toPlainText()
    for part in ("FixdPump", "Did you mean 'FixedPump'?", "50 mm", "no port Q"):
        assert part in words
    dialog.copy()
    dialog.reject()
    assert opening_of(board).faults.dialog is None
    assert board.session is old
    pass_time(board, 0.2)
    assert board.session.time > 0


@pytest.mark.parametrize("content", [b"", b"\x00\xff\xfe", b"a" * 400000, b"[[[[", b"format = 99\n"])
def test_no_file_ends_the_window(board: BoardWindow, tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "odd.toml"
    file.write_bytes(content)
    assert not opening_of(board).open_rig(file)
    assert opening_of(board).faults.dialog is not None
    there(opening_of(board).faults.dialog).reject()


def test_a_file_that_is_not_there(board: BoardWindow, tmp_path: Path) -> None:
    for path in (tmp_path / "missing.toml", tmp_path):
        assert not opening_of(board).open_rig(path)
        assert "stays" in there(there(opening_of(board).faults.dialog).findChild(QLabel)).text()
        there(opening_of(board).faults.dialog).reject()


def test_what_nobody_foresaw_is_told(board: BoardWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(path: Path) -> Rig:
        raise ZeroDivisionError("by zero")

    monkeypatch.setattr("trainer.changing.opening.rig_file.load", broken)
    assert not opening_of(board).open_rig(Path("any.toml"))
    assert "ZeroDivisionError" in there(opening_of(board).faults.dialog).list.toPlainText()
    there(opening_of(board).faults.dialog).reject()


def test_a_file_of_ones_own(
    board: BoardWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    own = tmp_path / "own.toml"
    text = resources.path("rigs/one-spool-bench.toml").read_text()
    own.write_text(text.replace('title = "One-spool bench"', 'title = "Our own bench"'))
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(own), ""))
    opening_of(board).change_chooser()
    rows = board.board.rigs.list
    first = rows.visualRect(rows.items.index(0)).center()
    qtbot.mouseClick(rows.viewport(), Qt.MouseButton.LeftButton, pos=first)
    assert board.session.rig.title == "Our own bench"
    qtbot.waitUntil(lambda: bool(board.strip.curves))
    opening_of(board).change_chooser()
    items = board.board.rigs.list.items.items
    assert [item.words for item in items if item.mark] == ["Our own bench"]  # and no shipped one
    assert str(own) in items[1].told
    assert items[1].name == "Our own bench, open now"


def test_the_chooser_marks_the_shipped_rig_that_is_open(board: BoardWindow) -> None:
    opening_of(board).change_chooser()
    assert [item.words for item in board.board.rigs.list.items.items if item.mark] == ["One-spool bench"]


def test_panes_survive_a_rig_without_a_machine(make_board: MakeBoard, tmp_path: Path) -> None:
    window = make_board(view="both")
    assert window.snapshot()["view"] == "drawing"
    window.board.set_panes(Panes("both", 1.1, 7))
    window.close()
    assert settings.recall(tmp_path / "window.ini").panes == Panes("both", 1.1, 7)


@pytest.mark.parametrize(
    "content", ["view=sideways", "column=nan", "column=-3", "rows=many", "rows=1e9", "view=\ncolumn="]
)
def test_bad_panes_are_as_at_first(tmp_path: Path, content: str) -> None:
    file = tmp_path / "window.ini"
    file.write_text(f"[panes]\n{content}\n")
    assert settings.recall(file).panes == Panes()


def test_first_sentence() -> None:
    assert first_sentence("One\nline. Another.") == "One line."
    assert first_sentence("Why so? For this.") == "Why so?"
    assert first_sentence("None at all") == "None at all"


RING = '\n[drawing.routes]\nP1 = [["0P1.P", [90, 10], [95, 10], [95, 14], [90, 14], [90, 10]]]\n'


def bench_without_its_drawing() -> str:
    """Return the text of the bench up to its drawing table."""
    return resources.path("rigs/one-spool-bench.toml").read_text("utf-8").partition("\n[drawing")[0]


@pytest.mark.soak
@pytest.mark.parametrize("how", ["a route that closes a ring", "a page that nobody foresaw"])
def test_a_rig_whose_page_cannot_be_changes_nothing(
    board: BoardWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: str
) -> None:
    file = tmp_path / "own.toml"
    text = bench_without_its_drawing().replace('title = "One-spool bench"', 'title = "Never seen"')
    file.write_text(text + RING * how.startswith("a route"), "utf-8")

    def broken(*_: object) -> None:
        raise KeyError("1V1")

    if how == "a page that nobody foresaw":
        monkeypatch.setattr("trainer.window.shell.page.DialsView", broken)
    pass_time(board, 0.2)
    kept = (board.session, board.board, board.windowTitle(), board.session.time)
    widgets = board.pages.count()
    assert not opening_of(board).open_rig(file)
    assert opening_of(board).faults.dialog is not None
    there(opening_of(board).faults.dialog).reject()
    assert (board.session, board.board, board.windowTitle(), board.session.time) == kept
    assert board.pages.count() == widgets
    assert board.pages.currentWidget() is board.board
    monkeypatch.undo()
    pass_time(board, 0.5)
    board.session.run()
    pass_time(board, 0.5)
    assert board.session.time > kept[-1]
    assert opening_of(board).open_rig(resources.path("rigs/timber-trailer-loader.toml"))


def test_check_and_the_window_refuse_the_same(
    board: BoardWindow, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "ring.toml"
    file.write_text(bench_without_its_drawing() + RING, "utf-8")
    assert cli.main(["check", str(file)]) == 1
    said = capsys.readouterr().out
    assert not opening_of(board).open_rig(file)
    for words in ("[drawing.routes] P1", "closes a ring at [9", "do not meet again"):
        assert words in said
        assert words in there(opening_of(board).faults.dialog).list.toPlainText()
    there(opening_of(board).faults.dialog).reject()
