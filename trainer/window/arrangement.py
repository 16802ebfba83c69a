"""Where the areas of the board stand in a window of any size."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Areas", "arrange"]

Rect = tuple[float, float, float, float]  # left, top, width, height [logical px]

BAR, RACK, READOUT, MARGIN, NOTICE = 56.0, 244.0, 496.0, 24.0, 36.0  # board px at 1920 x 1080


@dataclass(frozen=True, slots=True)
class Areas:
    """The areas of the board and its scale [logical px per board px].

    ``dials``, ``flow``, ``power`` and ``strip`` are the read-out column from top to bottom.
    """

    scale: float
    bar: Rect
    drawing: Rect
    notice: Rect
    rack: Rect
    dials: Rect
    flow: Rect
    power: Rect
    strip: Rect


def arrange(width: float, height: float, dials: float, flow: float, power: float) -> Areas:
    """Return the areas for a window; heights of the dials and the two ledgers in board pixels.

    One scale for everything; the drawing takes the room that another shape of window leaves to the side, the
    strip what is left below.
    """
    scale = min(width / 1920.0, height / 1080.0)
    bar, rack, side = BAR * scale, RACK * scale, READOUT * scale
    left = width - side
    inner, wide = left + MARGIN * scale, side - 2 * MARGIN * scale
    notice = NOTICE * scale
    tops = [bar]
    gaps = (14.0, 14.0, 14.0)
    for block, gap in zip((dials, flow, power), gaps, strict=True):
        tops.append(tops[-1] + (block + gap) * scale)
    return Areas(
        scale=scale,
        bar=(0.0, 0.0, width, bar),
        drawing=(0.0, bar, left, height - bar - rack - notice),
        notice=(0.0, height - rack - notice, left, notice),
        rack=(0.0, height - rack, left, rack),
        dials=(inner, tops[0], wide, dials * scale),
        flow=(inner, tops[1], wide, flow * scale),
        power=(inner, tops[2], wide, power * scale),
        strip=(inner, tops[3], wide, max(height - tops[3], 0.0)),
    )
