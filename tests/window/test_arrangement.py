"""No text of the window overlaps another or is cut, at both ends of the sizes, in both unit systems."""

from __future__ import annotations

import itertools
import os
import subprocess
import sys
from pathlib import Path

import pytest
from board_moves import MakeBoard, pass_time
from cases import first
from looks import SYSTEMS
from PySide6.QtCore import QRectF
from room_measures import check

import trainer
from trainer.drawing.machine import MachineView
from trainer.rig.rig import Rig
from trainer.units import System
from trainer.window.board.arrangement import VIEWS, Panes, arrange
from trainer.window.shell.window import BoardWindow

SIZES = ((1280, 720), (1600, 900), (1920, 1080), (2560, 1440), (1280, 1024), (1920, 800))


def work(window: BoardWindow) -> None:
    window.run()
    window.rack.levers["1V1.lever"].motion.set_exactly(0.8)
    pass_time(window, 1.5)
    window.tell("A sentence so long that it must be cut short where the line ends. " * 5)


@pytest.mark.parametrize("system", first(1, [System.US, System.METRIC]))
@pytest.mark.parametrize("size", SIZES)
def test_board(make_board: MakeBoard, size: tuple[int, int], system: System) -> None:
    window = make_board(system=system, size=size)
    work(window)
    assert window.look.scale == pytest.approx(min(size[0] / 1920, size[1] / 1080))
    check(window.board, 12)
    for dial in window.dials.dials:
        dial.set_covered(True)
    window.board._covers()
    check(window.board, 12)
    window.board.lay_out()


LOADER_SIZES = ((960, 540), (1280, 720), (1366, 768), (1920, 1080), (1280, 1024))


@pytest.mark.soak
@pytest.mark.parametrize("system", SYSTEMS)
def test_loader_in_every_size_and_view(make_board: MakeBoard, loader: Rig, system: System) -> None:
    window = make_board(loader, system=system)
    window.run()
    for control, value in (("3V1.lever", 0.6), ("2V1.lever", -0.4), ("4V1.lever", 1.0), ("1V1.lever", 0.5)):
        window.rack.levers[control].motion.set_exactly(value)
    pass_time(window, 1.5)
    faults = []
    for size, view in itertools.product(LOADER_SIZES, VIEWS):
        window.resize(*size)
        window.board.set_panes(Panes(view))
        pass_time(window, 0.2)
        try:
            check(window.board, 12)
        except AssertionError as fault:
            faults.append((size, view, str(fault).splitlines()[0]))
    assert not faults


@pytest.mark.soak
@pytest.mark.parametrize("rig", ["one-spool-bench", pytest.param("timber-trailer-loader", marks=pytest.mark.soak)])
def test_twice_the_pixels(tmp_path: Path, rig: str) -> None:
    """With QT_SCALE_FACTOR=2 a screen of 1920 x 1080 has 960 x 540 logical pixels; nothing is cut there."""
    program = tmp_path / "twice.py"
    program.write_text(
        "import sys; sys.path.insert(0, sys.argv[1])\n"
        "from room_measures import check\n"
        "from test_room import faults\n"
        "from board_moves import Clock, pass_time\n"
        "from trainer import resources; from trainer.rig import file as rig_file\n"
        "from trainer.engine.session import Session\n"
        "from trainer.window.shell.app import application\n"
        "from trainer.window.shell.window import BoardWindow\n"
        "from trainer.window.shell.settings import Kept\n"
        "app = application()\n"
        "rig = rig_file.load(resources.path(f'rigs/{sys.argv[2]}.toml'))\n"
        "window = BoardWindow(Session(rig), Kept(size=(960, 540)), clock=Clock())\n"
        "window.show(); app.processEvents(); window.run(); pass_time(window, 0.5)\n"
        "for lever in window.rack.levers.values(): lever.motion.set_exactly(0.6)\n"
        "pass_time(window, 1.0)\n"
        "check(window.board, 12)\n"
        "found = faults(window, ((960, 540),)); assert not found, found\n"
        "picture = window.grab()\n"
        "print(window.width(), window.devicePixelRatio(), picture.width(), window.troubles.seen)\n"
    )
    environment = {**os.environ, "QT_SCALE_FACTOR": "2", "QT_QPA_PLATFORM": "offscreen"}
    environment["PYTHONPATH"] = os.pathsep.join([str(Path(trainer.__file__).parents[1]), *sys.path])
    done = subprocess.run([sys.executable, program, str(Path(__file__).parent), rig], env=environment,
                          capture_output=True, text=True, timeout=120, check=False)  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    assert done.stdout.split() == ["960", "2.0", "1920", "[]"]


@pytest.mark.parametrize("lever", [-1.0, -0.5, 0.0, 1.0])
def test_board_at_every_lever(make_board: MakeBoard, lever: float) -> None:
    window = make_board()
    window.run()
    window.rack.levers["1V1.lever"].motion.set_exactly(0.8)
    pass_time(window, 2.0)
    window.rack.levers["1V1.lever"].motion.set_exactly(lever)
    pass_time(window, 0.5)
    check(window.board, 12)


def test_keys_fit_on_their_page(make_board: MakeBoard) -> None:
    window = make_board()
    window.board.change_help()
    page = window.board.help
    for text, box, pixels in page.canvas.texts():
        assert pixels >= 12
        assert QRectF(page.rect()).contains(box), text
    for rows in page.lists:
        assert rows.delegate.pixels >= 12
        assert QRectF(page.rect()).contains(QRectF(rows.geometry()))


@pytest.mark.parametrize("size", [(1280, 720), (1366, 768), (1920, 1080)])
def test_machine_and_drawing_stand_beside_each_other_where_it_is_larger_so(
    loader: Rig, size: tuple[int, int]
) -> None:
    """Tall beside the drawing it is larger than low below it; in a narrow window it is the other way round."""
    tall, low = MachineView(loader, arranged="tall").size, MachineView(loader, arranged="low").size

    def zoom(area: tuple[float, float, float, float], wanted: tuple[float, float]) -> float:
        edge = 24.0 * areas.scale  # that a machine keeps around it
        return min((area[2] - edge) / wanted[0], (area[3] - edge) / wanted[1])

    areas = arrange(*size, 220, 230, 230, Panes("both"))
    across = areas.machine[2] + areas.drawing[2]
    below = (0.0, 0.0, across, 0.24 * areas.drawing[3])
    assert areas.machine[1] == pytest.approx(areas.drawing[1])
    assert zoom(areas.machine, tall) > 1.1 * zoom(below, low)
    narrow = arrange(960, 540, 220, 230, 230, Panes("both"))
    assert narrow.machine[1] > narrow.drawing[1]


@pytest.mark.parametrize("size", SIZES)
def test_areas_fill_the_window_without_meeting(size: tuple[int, int]) -> None:
    areas = arrange(*size, 220, 230, 230)
    rects = [QRectF(*getattr(areas, name)) for name in ("bar", "drawing", "notice", "rack", "dials", "flow", "power",
                                                        "strip")]  # fmt: skip
    for rect in rects:
        assert QRectF(0, 0, *size).adjusted(-0.01, -0.01, 0.01, 0.01).contains(rect)
        assert rect.height() > 20
    for one, other in itertools.combinations(rects, 2):
        shared = one.intersected(other)
        assert shared.width() * shared.height() < 0.01
