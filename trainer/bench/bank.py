"""A rig of as many sections in line as one likes, each with its cylinder and load, written as a rig file."""

from __future__ import annotations

from collections.abc import Iterator

__all__ = ["bank"]

_HEAD = """format = 1
title = "Sections in line: {sections}"

[oil]
grade = "VG 46"
temperature = "45 C"

[parts]
0Z1 = {{ is = "Reservoir", volume = "60 L" }}
0M1 = {{ is = "DieselEngine" }}
0P1 = {{ is = "FixedPump", displacement = "20 cm3/rev" }}
0V1 = {{ is = "ReliefValve", setting = "180 bar" }}
0Z2 = {{ is = "ReturnFilter" }}
"""
_PARTS = """{k}V1 = {{ is = "OpenCentreSection" }}
{k}A1 = {{ is = "Cylinder", bore = "63 mm", rod = "36 mm", stroke = "500 mm" }}
{k}W1 = {{ is = "Weight", mass = "1500 kg" }}
"""
_LINES = """A{k} = {{ joins = ["{k}V1.A", "{k}A1.A"], hose = "3 m", bore = "10 mm" }}
B{k} = {{ joins = ["{k}V1.B", "{k}A1.B"], hose = "3 m", bore = "10 mm" }}
rod{k} = ["{k}A1.rod", "{k}W1.rod"]
"""
_PUMP = """
[lines]
engine = ["0M1.shaft", "0P1.shaft"]
S = ["0Z1.S", "0P1.S"]
G1 = {{ joins = ["0P1.P", "0V1.P", "1V1.C", "1V1.P"], hose = "2 m", bore = "16 mm", test_point = true }}
"""
_GALLERY = """G{k} = ["{before}V1.C1", "{k}V1.C", "{k}V1.P"]
"""
_TAIL = """R = {{ joins = ["{sections}V1.C1", {returns}, "0Z2.1"], hose = "2 m", bore = "25 mm" }}
T = ["0Z2.2", "0V1.T", "0Z1.T"]

[instruments]
P1 = {{ on = "G1", range = "250 bar" }}

[start]
0M1.speed_asked = "1800 r/min"
"""


def bank(sections: int) -> str:
    """Return the file: as the loader's bank, each section is fed from just ahead of its way through."""
    numbers = range(1, sections + 1)

    def text() -> Iterator[str]:
        yield _HEAD.format(sections=sections)
        yield from (_PARTS.format(k=k) for k in numbers)
        yield _PUMP.format()
        yield from (_GALLERY.format(k=k, before=k - 1) for k in numbers[1:])
        yield from (_LINES.format(k=k) for k in numbers)
        yield _TAIL.format(sections=sections, returns=", ".join(f'"{k}V1.T"' for k in numbers))

    return "".join(text())
