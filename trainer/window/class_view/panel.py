"""The right-hand panel of the projector page as draw lists: heading, entry frame, difference, the working."""

from __future__ import annotations

from collections.abc import Sequence

from trainer import units
from trainer.drawing.shapes import DrawList, Path, Shape, Words
from trainer.language import tr
from trainer.rig.live import Live
from trainer.units import System
from trainer.window.class_view.question import Case, shown
from trainer.window.painting.sizes import sized

__all__ = ["LEFT", "WIDE", "panel_live", "panel_still", "shifted"]

LEFT, WIDE = 1264.0, 692.0  # left edge of the words, width of the panel [px of 1920 by 1080]
_SCALE = 2.2  # of the dial: the largest beside the entry, its numerals as large as all small words
_GAUGE = (LEFT - 14.0, 22.0)
_RIGHT = 1880.0
_BIG, _SMALL = 46.0, 32.0
_COLUMNS = (1356.0, 1556.0, 1772.0)


def shifted(shapes: DrawList) -> list[Shape]:
    """Return the shapes of a dial at the size and place that it has in the panel."""
    return sized(shapes, _SCALE, _GAUGE)


def panel_still(system: System) -> Sequence[Shape]:
    """Return the frame of the entry, the rule above the working, its letters."""
    unit = units.shown_unit("pressure", system).symbol
    rate = "1 bar × 1 cm² = 10 N" if system is System.METRIC else "1 psi × 1 in² = 1 lbf"
    x0, x1, y0, y1 = LEFT + 352.0, LEFT + 616.0, 314.0, 410.0
    shapes: list[Shape] = [
        Words(x0, 292.0, tr("Your reading"), _SMALL, "ink2"),
        Path(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), "ink", 4.0, closed=True),
        Words(x1 - 16.0, 378.0, unit, _BIG, "ink2", align="right"),
        Path(((LEFT, 622.0), (_RIGHT, 622.0)), "ink", 4.0),
        Words(LEFT, 668.0, tr("The working"), _SMALL, weight=600),
        Words(_RIGHT, 668.0, rate, _SMALL, "ink2", align="right"),
    ]
    letters = zip(
        (
            _COLUMNS[0],
            (_COLUMNS[0] + _COLUMNS[1]) / 2,
            _COLUMNS[1],
            (_COLUMNS[1] + _COLUMNS[2]) / 2,
            _COLUMNS[2],
        ),
        "F=p×A",
        strict=True,
    )
    shapes += [
        Words(x, 756.0, letter, 76.0, weight=600 if letter.isalpha() else 400, align="centre")
        for x, letter in letters
    ]
    return shapes


def panel_live(
    case: Case, live: Live, system: System, reading: float | None, gap: tuple[str, str] | None, foot: str
) -> list[Shape]:
    """Return what changes in the panel: heading, difference, the terms with the covered one, the foot line.

    ``reading`` is the gauge's pressure [Pa] once it may be seen, ``gap`` the difference and its word.
    """
    shapes: list[Shape] = [
        Words(LEFT, 84.0, case.heading(live), _BIG),
        Words(LEFT, 144.0, tr("What does {name} read?").format(name=case.gauge.name), _BIG, weight=600),
    ]
    if gap is not None:
        shapes += [
            Words(LEFT + 352.0, 476.0, gap[0], _BIG, weight=600),
            Words(LEFT + 352.0, 526.0, gap[1], _BIG),
        ]
    unit = units.shown_unit("pressure", system).symbol
    load = "" if reading is None else shown(case.from_load(live), "pressure", system)
    terms = (
        (shown(case.force(live), "force", system), case.load_word),
        (load, tr("by the {load_word}").format(load_word=case.load_word)),
        (shown(case.area, "area", system), tr("piston")),
    )
    for x, (value, word) in zip(_COLUMNS, terms, strict=True):
        shapes.append(Words(x, 864.0, word, _SMALL, "ink2", align="centre"))
        if value:
            shapes.append(Words(x, 822.0, value, _BIG, weight=600, align="centre"))
        else:
            box = ((x - 90, 786.0), (x - 6, 786.0), (x - 6, 826.0), (x - 90, 826.0))
            shapes.append(Path(box, "ink", 3.0, "cover", closed=True, hatch="cover-hatch"))
            shapes.append(Words(x + 6.0, 822.0, unit, _BIG))
    lines = _closing(case, live, system, reading)
    shapes += [Words(LEFT, 922.0 + 40.0 * k, line, _SMALL, "ink2") for k, line in enumerate(lines)]
    if foot:
        told = foot.replace(". ", ".\n", 1).split("\n")
        shapes += [
            Words(LEFT, 1046.0 - 40.0 * (len(told) - 1 - k), line, _SMALL, weight=600) for k, line in enumerate(told)
        ]
    return shapes


def _closing(case: Case, live: Live, system: System, reading: float | None) -> tuple[str, ...]:
    if case.moves(live) <= 0:
        return (
            tr("The {load_word} does not rise: {name} shows").format(load_word=case.load_word, name=case.gauge.name),
            tr("what the oil meets on its way instead."),
        )
    if reading is None:
        return (tr("The hatched term is covered until you commit."),)
    more = shown(reading - case.from_load(live), "pressure", system)
    return (
        tr("{name} reads {more} more: friction,").format(name=case.gauge.name, more=more),
        tr("hoses and the spool on the oil's way."),
    )
