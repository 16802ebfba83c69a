"""Zoom and place of a picture in its widget: fitted, or magnified about a point and moved within its edges."""

from __future__ import annotations

__all__ = ["Zoom"]

MOST = 6.0  # times the fitted size
STEP = 1.25

Point = tuple[float, float]


class Zoom:
    """How many times its fitted size a picture has, and how far its fitted origin is moved [widget px]."""

    def __init__(self) -> None:
        self.times = 1.0
        self._at: Point = (0.0, 0.0)  # of the point of the fitted picture that stands at the widget's origin

    @property
    def fitted(self) -> bool:
        """Whether the whole picture is shown."""
        return self.times <= 1.0

    def fit(self) -> None:
        """Show the whole picture."""
        self.times, self._at = 1.0, (0.0, 0.0)

    def by(self, factor: float, point: Point, size: Point) -> None:
        """Magnify by a factor about a point of a widget of some size; the point stays where it is."""
        times = min(max(self.times * factor, 1.0), MOST)
        here = tuple(self._at[i] + point[i] / self.times for i in (0, 1))
        self.times = times
        self._at = (here[0] - point[0] / times, here[1] - point[1] / times)
        self._hold(size)

    def move(self, way: Point, size: Point) -> None:
        """Move the picture by a way [widget px]."""
        self._at = (self._at[0] - way[0] / self.times, self._at[1] - way[1] / self.times)
        self._hold(size)

    def _hold(self, size: Point) -> None:
        if self.fitted:
            self.fit()
            return
        slack = [length * (1 - 1 / self.times) for length in size]
        self._at = (min(max(self._at[0], 0.0), slack[0]), min(max(self._at[1], 0.0), slack[1]))

    def applied(self, zoom: float, origin: Point) -> tuple[float, Point]:
        """Return zoom and origin of the picture from those of the fitted one."""
        if self.fitted:
            return zoom, origin
        x, y = ((origin[i] - self._at[i]) * self.times for i in (0, 1))
        return zoom * self.times, (round(x * 2) / 2, round(y * 2) / 2)
