"""How wide letters of the program's type family are, for pictures that are laid out where no font is at hand."""

from __future__ import annotations

from functools import lru_cache

__all__ = ["text_width"]

_OTHER = 560  # of a letter that is not in the table

# thousandths of the height of the type -> letters so wide, of Source Sans Pro with tabular figures
_REGULAR = {
    200: " ",
    241: "|",
    246: "i",
    247: "j",
    249: "',.:;·",
    255: "l",
    263: "I",
    289: "!",
    292: "f",
    303: "()[]{}",
    311: "-",
    331: "°",
    338: "t",
    347: "r",
    350: "/\\",
    367: "²³⁴",
    418: "*",
    419: "s",
    425: '"?z',
    446: "x",
    456: "c",
    467: "vy",
    474: "ν",
    476: "Y",
    480: "J–",
    486: "L",
    494: "Fλ",
    495: "k",
    496: "e",
    497: "#$+0123456789<=>^~−×±",
    500: "_",
    504: "ag",
    513: "X",
    515: "V",
    522: "θ",
    527: "E",
    534: "S",
    536: "T",
    539: "Z",
    541: "η",
    542: "`o",
    544: "Ahu",
    547: "n",
    549: "ρ",
    553: "b",
    555: "dpq",
    557: "√",
    562: "μµ",
    566: "P",
    569: "R",
    571: "C",
    579: "K",
    588: "BΔ",
    609: "&",
    615: "D",
    617: "G",
    645: "U",
    647: "N",
    652: "H",
    664: "OQ",
    680: "φ",
    718: "w",
    719: "Φ",
    727: "M",
    786: "W",
    824: "%",
    829: "m",
    847: "@",
    948: "…",
}
_SEMIBOLD = {
    200: " ",
    255: "|",
    262: "i",
    263: "j",
    271: "l",
    275: "',.:;·",
    282: "I",
    315: "!",
    317: "f",
    322: "-",
    324: "()[]{}",
    344: "/\\",
    348: "°",
    361: "t",
    372: "²³⁴",
    373: "r",
    431: "s",
    438: "*",
    443: "z",
    444: "?",
    462: "c",
    480: "–",
    481: "x",
    482: '"',
    494: "J",
    495: "vy",
    499: "ν",
    500: "_",
    501: "Y",
    502: "L",
    507: "e",
    510: "F",
    513: "#$+0123456789<=>^~−×±",
    516: "a",
    520: "g",
    522: "k",
    524: "λ",
    536: "Vθ",
    538: "E",
    540: "Z",
    541: "X",
    545: "S",
    546: "T",
    549: "`o",
    552: "η",
    556: "u",
    558: "Ah",
    559: "ρ",
    560: "n",
    563: "b",
    564: "dpq",
    573: "√",
    576: "C",
    578: "μµ",
    582: "P",
    592: "R",
    597: "BK",
    614: "Δ",
    625: "D",
    628: "G",
    639: "&",
    655: "U",
    656: "N",
    663: "H",
    674: "OQ",
    710: "φ",
    740: "Φ",
    745: "M",
    748: "w",
    800: "W",
    841: "%",
    843: "m",
    875: "@",
    963: "…",
}
_WIDTHS = {
    weight: {letter: wide for wide, letters in table.items() for letter in letters}
    for weight, table in ((400, _REGULAR), (600, _SEMIBOLD))
}


@lru_cache(maxsize=2048)
def text_width(text: str, size: float, weight: int = 400) -> float:
    """Return the width of a text [px] at a height of type [px] and a weight, 400 or 600."""
    table = _WIDTHS[weight]
    return sum(table.get(letter, _OTHER) for letter in text) * size / 1000


def wrapped(text: str, room: float, size: float, weight: int = 400) -> list[str]:
    """Return a text in lines that fit a width [px]; a word that is wider has a line of its own."""
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size, weight) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
