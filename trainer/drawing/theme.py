"""Colours, line weights and type sizes by role: light, dark, print, for the board and before a class."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

__all__ = ["FAMILIES", "ROLES", "STEPS", "THEMES", "Theme", "contrast"]

STEPS = 7  # pressure steps, the last one open upwards
FAMILIES = ("Source Sans 3", "Source Sans Pro", "sans-serif")

ROLES = (
    "paper", "cell", "ink", "ink2", "hairline", "casing", "accent", "accent-pale", "heat1", "heat2",
    "cover", "cover-hatch", "mark-pale", "mark-dark",
    *(f"pressure{step}" for step in range(STEPS)),
)  # fmt: skip


def _luminance(colour: str) -> float:
    channels = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio [1..21] of two colours "#rrggbb" (WCAG 2.2, relative luminance)."""
    bright, dim = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (bright + 0.05) / (dim + 0.05)


@dataclass(frozen=True, slots=True)
class Theme:
    """One look of the board. Lengths are board pixels at zoom 1.

    ``pipes`` is the whole width of a pipe by pressure step, ``casing`` its border on each side, ``covered``
    the width of a pipe whose pressure is hidden; ``ticked``: such a pipe has ticks across, where no colour tells it
    from one with hardly any pressure. ``outline`` draws symbols, ``main`` the main parts.
    """

    name: str
    colours: Mapping[str, str]
    dark: bool = False
    pipes: tuple[float, ...] = (8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0)
    covered: float = 11.0
    ticked: bool = False
    casing: float = 1.5
    outline: float = 2.0
    main: float = 2.5
    pilot: float = 1.5
    chain: float = 1.25
    hairline: float = 1.0
    label: float = 15.4  # size of labels
    name_size: float = 19.8  # size of names and totals
    reading: float = 30.8  # size of large readings
    _marks: tuple[tuple[str, bool], ...] = field(init=False)

    def __post_init__(self) -> None:
        missing = [role for role in ROLES if role not in self.colours]
        if missing:
            raise ValueError(f"theme {self.name} lacks {', '.join(missing)}")
        object.__setattr__(self, "_marks", tuple(self._mark(f"pressure{step}") for step in range(STEPS)))

    def _mark(self, core: str) -> tuple[str, bool]:
        paper_role, casing_role = ("mark-dark", "mark-pale") if self.dark else ("mark-pale", "mark-dark")
        colour = self.colours[core]
        with_casing = contrast(colour, self.colours[casing_role])
        inside = with_casing < 4.5 and with_casing < contrast(colour, self.colours[paper_role])
        return (paper_role, True) if inside else (casing_role, False)

    def colour(self, role: str) -> str:
        """Return the colour "#rrggbb" of a role. Raises KeyError for a role that is none."""
        return self.colours[role]

    def mark(self, step: int | None) -> tuple[str, bool]:
        """Return (role, inside) of the flow marks on a core of one pressure step; None is a covered pipe.

        Inside marks keep within the core and have the colour of the paper; others fill the whole pipe and
        have the colour of its casing.
        """
        return self._mark("cover") if step is None else self._marks[step]

    def pipe(self, step: int | None) -> float:
        """Return the whole width of a pipe [px] by pressure step; None is a covered pipe."""
        return self.covered if step is None else self.pipes[step]


def _colours(plain: str, ramp: str) -> Mapping[str, str]:
    names = ("paper", "cell", "ink", "ink2", "hairline", "casing", "accent", "accent-pale", "heat1", "heat2",
             "cover", "cover-hatch", "mark-pale", "mark-dark")  # fmt: skip
    found = dict(zip(names, plain.split(), strict=True))
    found |= {f"pressure{step}": colour for step, colour in enumerate(ramp.split())}
    return MappingProxyType(found)


_LIGHT_RAMP = "#F3E3BF #F0B04E #E3722A #C43A42 #8E2363 #4A1561 #1A0A33"
_DARK_RAMP = "#3B2145 #7A2468 #B03358 #DC5436 #F38B12 #F8C233 #FCFBA6"
_PRINT_RAMP = "#FFFFFF #DDDDDD #BBBBBB #949494 #6B6B6B #3D3D3D #000000"

LIGHT = Theme(
    "light",
    _colours("#F5F4F0 #FFFFFF #15171A #565B62 #D3D0C8 #15171A #1D4ED8 #DCE5FB #9CA0A5 #DEDEDC "
             "#E4E2DB #B9B6AD #F5F4F0 #15171A", _LIGHT_RAMP),
)  # fmt: skip
DARK = Theme(
    "dark",
    _colours("#16191D #0E1013 #ECEDEE #A3A9B1 #343A41 #AEB5BE #8AB0FF #22345C #727981 #3A4047 "
             "#2A2F35 #4A5159 #AEB5BE #16191D", _DARK_RAMP),
    dark=True,
)  # fmt: skip
PROJECTOR = Theme(
    "projector",
    _colours("#FFFFFF #FFFFFF #111111 #3F444A #BDBAB2 #111111 #1D4ED8 #DCE5FB #9CA0A5 #DEDEDC "
             "#E6E4DE #B4B1A9 #FFFFFF #111111", _LIGHT_RAMP),
    pipes=(10.0, 10.5, 11.0, 12.0, 13.0, 14.0, 15.0), covered=12.5, casing=1.7, outline=2.4, main=2.8,
    pilot=1.8, chain=1.5, label=19.0, name_size=25.0, reading=42.0,
)  # fmt: skip
PROJECTOR_DARK = replace(PROJECTOR, name="projector dark", colours=DARK.colours, dark=True)
PRINT = Theme(
    "print",
    _colours("#FFFFFF #FFFFFF #000000 #3A3A3A #A8A8A8 #000000 #000000 #E4E4E4 #A0A0A0 #DCDCDC "
             "#F0F0F0 #8C8C8C #FFFFFF #000000", _PRINT_RAMP),
    pipes=(6.0, 7.5, 9.0, 10.5, 12.0, 13.5, 15.0), covered=9.0, ticked=True, casing=1.2,
)  # fmt: skip
PROJECTOR_PRINT = replace(
    PROJECTOR, name="projector print", colours=PRINT.colours, pipes=(8.0, 9.5, 11.0, 12.5, 14.0, 15.5, 17.0),
    ticked=True,
)  # fmt: skip

THEMES: Mapping[str, Theme] = MappingProxyType(
    {t.name: t for t in (LIGHT, DARK, PROJECTOR, PRINT, PROJECTOR_DARK, PROJECTOR_PRINT)}
)
