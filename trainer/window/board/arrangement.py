"""Where the areas of the board stand in a window of any size, and what of it the user chooses."""

from __future__ import annotations

from dataclasses import dataclass, replace

__all__ = ["NARROW", "ROWS", "VIEWS", "WIDTHS", "BoardAreas", "Panes", "arrange", "with_below"]

Rect = tuple[float, float, float, float]  # left, top, width, height [logical px]

BAR, TIME, RACK, READOUT, MARGIN, NOTICE = 56.0, 30.0, 244.0, 496.0, 24.0, 36.0  # board px at 1920 x 1080
VIEWS = ("drawing", "both", "machine")
WIDTHS = (1.0, 1.3)  # of the read-out column, in its first width
ROWS = (6, 9, 14)  # fewest, first and most rows of both ledgers together
GAP = 14.0  # below each block of the column [board px]
LEAST_STRIP = 168.0  # height of the strip [board px]
NARROW = 1100.0  # width of a window below which a lesson stands below the drawing [logical px]
_BELOW_FROZEN, _BELOW_LIVE = 0.62, 0.42  # share of drawing and rack, or of the drawing alone, that it takes there
_BELOW_WORKED = 0.8  # of the drawing, where hands work with it and the levers
_LEAST_TIME = 24.0  # height of the time line [logical px]
_MACHINE, _SMALL = 0.34, 0.31  # share of the drawing's width that the machine takes at its left, in a small window
_BELOW = 0.24  # share of the drawing's height that it takes below
_FIRST = 1600.0  # width of a window from which both are shown at first [logical px]
_BESIDE = 1200.0  # from which they stand beside each other: below, the machine would be half as large


@dataclass(frozen=True, slots=True)
class Panes:
    """What the user chooses: what is shown at the left, the column's width, the rows of the ledgers.

    Without a ``view`` chosen both are shown where they have room beside each other, else the drawing.
    """

    view: str = ""
    column: float = 1.0
    rows: int = ROWS[1]

    def within(self) -> Panes:
        """Return the same within the limits."""
        return replace(
            self,
            view=self.view if self.view in VIEWS else "",
            column=min(max(self.column, WIDTHS[0]), WIDTHS[1]),
            rows=min(max(self.rows, ROWS[0]), ROWS[2]),
        )

    def shown(self, width: float, machine: bool) -> Panes:
        """Return the same with the view that a window of a width [logical px] shows; a machine only where it is."""
        view = self.view or ("both" if width >= _FIRST else "drawing")
        return replace(self, view=view if machine else "drawing")

    def split(self) -> tuple[int, int]:
        """Return the rows of the flow ledger and of the power ledger."""
        flow = max(2, (4 * self.rows) // 9)
        return flow, self.rows - flow


@dataclass(frozen=True, slots=True)
class BoardAreas:
    """The areas of the board; scales [logical px per board px] of the board and of its read-out column.

    ``dials``, ``flow``, ``power`` and ``strip`` are the read-out column from top to bottom. Where drawing or machine
    is not shown its area is empty.
    """

    scale: float
    column_scale: float
    bar: Rect
    time: Rect
    drawing: Rect
    machine: Rect
    notice: Rect
    rack: Rect
    column: Rect
    dials: Rect
    flow: Rect
    power: Rect
    strip: Rect


def arrange(
    width: float, height: float, dials: float, flow: float, power: float, panes: Panes | None = None
) -> BoardAreas:
    """Return the areas for a window; heights of the dials and the two ledgers in board pixels.

    One scale for bar, drawing and rack; a wider column has a larger scale of its own as far as its height allows.
    The drawing takes the room that another shape of window leaves to the side, the strip what is left below. Where
    the window is narrow the machine goes below the drawing.
    """
    panes = (panes or Panes("drawing")).within().shown(width, True)
    scale = min(width / 1920.0, height / 1080.0)
    bar, rack, notice = BAR * scale, RACK * scale, NOTICE * scale
    time = max(TIME * scale, _LEAST_TIME)
    side = READOUT * scale * panes.column
    blocks = dials + flow + power + 3 * GAP
    own = min(side / READOUT, (height - bar) / (blocks + LEAST_STRIP))
    own = max(own, min(scale, side / READOUT))
    left = width - side
    inner, wide = left + (side - (READOUT - 2 * MARGIN) * own) / 2, (READOUT - 2 * MARGIN) * own
    tops = [bar]
    for block in (dials, flow, power):
        tops.append(tops[-1] + (block + GAP) * own)
    shown, below = height - bar - time - rack - notice, bar + time
    place = {"drawing": (left, 0.0, 0.0, 0.0), "machine": (0.0, 0.0, left, shown)}.get(panes.view)
    if place is None and width >= _BESIDE:
        share = _MACHINE if width >= _FIRST else _SMALL
        place = (left - share * left, 0.0, share * left, shown)
    elif place is None:
        place = (left, _BELOW * shown, left, _BELOW * shown)
    across, low, machine, high = place
    return BoardAreas(
        scale=scale,
        column_scale=own,
        bar=(0.0, 0.0, width, bar),
        time=(0.0, bar, left, time),
        drawing=(left - across, below, across, shown - low),
        machine=(0.0, below + shown - high, machine, high),
        notice=(0.0, height - rack - notice, left, notice),
        rack=(0.0, height - rack, left, rack),
        column=(left, bar, side, height - bar),
        dials=(inner, tops[0], wide, dials * own),
        flow=(inner, tops[1], wide, flow * own),
        power=(inner, tops[2], wide, power * own),
        strip=(inner, tops[3], wide, max(height - tops[3], 0.0)),
    )


def with_below(areas: BoardAreas, folded: bool, works: bool = False) -> tuple[BoardAreas, Rect]:
    """Return areas that leave room for something below the drawing, and that room.

    ``folded``: the rack is not needed now, and its room is taken too. ``works``: hands work with both.
    """
    top = (areas.drawing if areas.drawing[2] else areas.machine)[1]
    end = areas.rack[1] + areas.rack[3]
    whole = end - top - areas.notice[3] if folded else areas.rack[1] - areas.notice[3] - top
    room = (_BELOW_FROZEN if folded else _BELOW_WORKED if works else _BELOW_LIVE) * whole
    wide, bottom = areas.column[0], top + whole
    shown = whole - room
    lower = (0.0, bottom - room, wide, room)
    both = areas.drawing[2] > 0.0 and areas.machine[2] > 0.0
    drawing = (*areas.drawing[:3], shown) if areas.drawing[2] else areas.drawing
    machine = areas.machine
    if both:  # beside each other there is no room: the drawing alone
        drawing, machine = (0.0, top, wide, shown), (0.0, top, 0.0, 0.0)
    elif areas.machine[2]:
        machine = (*areas.machine[:3], shown)
    return replace(
        areas,
        drawing=drawing,
        machine=machine,
        notice=(areas.notice[0], bottom, *areas.notice[2:]),
        rack=(areas.rack[0], end, areas.rack[2], 0.0) if folded else areas.rack,
    ), lower
