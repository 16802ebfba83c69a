"""Cylinders: the rod leaves to the right, A is the cap end, B the rod end. In modules, y up."""

from __future__ import annotations

from trainer.drawing.symbols.manner import ALL, LabelPlace, Manner

__all__ = ["MANNERS", "ROWS"]

# name: (title, drawing, ports)
ROWS: dict[str, tuple[str, str, str]] = {
    "cyl_da": (
        "Cylinder, double acting, single rod",
        (
            "rect(-4.5,-1.5 4.5,1.5); rect(-1.5,-0.5 6.5,0.5); rect(-2.5,-1.5 -1.5,1.5); "
            "line(-4,-1.5 -4,-3); line(4,-1.5 4,-3)"
        ),
        "A(-4,-3)S B(4,-3)S rod(7,0)E",
    ),
    "cyl_sa": (
        "Cylinder, single acting, returned by its load",
        (
            "rect(-4.5,-1.5 4.5,1.5); rect(-1.5,-0.5 6.5,0.5); rect(-2.5,-1.5 -1.5,1.5); "
            "line(-4,-1.5 -4,-3); sdash(4,-1.5 4,-3)"
        ),
        "A(-4,-3)S L(4,-3)S rod(7,0)E",
    ),
    "cyl_sa_spring": (
        "Cylinder, single acting, returned by a spring",
        (
            "rect(-4.5,-1.5 4.5,1.5); rect(-1.5,-0.5 6.5,0.5); rect(-2.5,-1.5 -1.5,1.5); "
            "spring(-1.5,0 4.5,0,1.2,8); line(-4,-1.5 -4,-3); sdash(4,-1.5 4,-3)"
        ),
        "A(-4,-3)S L(4,-3)S rod(7,0)E",
    ),
    "cyl_ram": (
        "Plunger cylinder",
        "rect(-4.5,-1.5 4.5,1.5); rect(-3.2,-1 6.5,1); line(-4,-1.5 -4,-3)",
        "A(-4,-3)S rod(7,0)E",
    ),
    "cyl_double_rod": (
        "Cylinder, double acting, rod through both ends",
        (
            "rect(-4.5,-1.5 4.5,1.5); rect(-7.5,-0.5 6.5,0.5); rect(-0.5,-1.5 0.5,1.5); "
            "line(-4,-1.5 -4,-3); line(4,-1.5 4,-3)"
        ),
        "A(-4,-3)S B(4,-3)S rod(7,0)E",
    ),
    "cyl_cushion": (
        "Cylinder, double acting, adjustable cushions",
        (
            "rect(-4.5,-1.5 4.5,1.5); rect(-1.5,-0.4 6.5,0.4); rect(-1.5,-0.8 -0.7,0.8); "
            "rect(-3.3,-0.8 -2.5,0.8); rect(-2.5,-1.5 -1.5,1.5); adj(-2,0,2.1); line(-4,-1.5 -4,-3); "
            "line(4,-1.5 4,-3)"
        ),
        "A(-4,-3)S B(4,-3)S rod(7,0)E",
    ),
    "cyl_tele": (
        "Telescopic cylinder, single acting",
        "rect(-4.5,-1.5 3.5,1.5); rect(-3.5,-1 5,1); rect(-2.5,-0.5 6.5,0.5); line(-4,-1.5 -4,-3)",
        "A(-4,-3)S rod(7,0)E",
    ),
    "cyl_tele_da": (
        "Telescopic cylinder, double acting",
        (
            "rect(-4.5,-1.5 3.5,1.5); rect(-3.5,-1 5,1); rect(-3.6,-1.5 -3,1.5); "
            "rect(-2.5,-0.5 6.5,0.5); rect(-2.8,-1 -2.2,1); line(-4,-1.5 -4,-3); line(3,-1.5 3,-3)"
        ),
        "A(-4,-3)S B(3,-3)S rod(7,0)E",
    ),
}

_UPRIGHT = {"upright": LabelPlace(-26.0, -52.0, "right", rows=1.0)}
MANNERS: dict[str, Manner] = {
    name: Manner("piston", ALL, body=body, labels=_UPRIGHT)
    for name, body in {
        "cyl_da": "",
        "cyl_sa": "",
        "cyl_sa_spring": "spring",
        "cyl_ram": "plunger",
        "cyl_double_rod": "through",
        "cyl_cushion": "cushions",
        "cyl_tele": "stages",
        "cyl_tele_da": "pistoned stages",
    }.items()
}
