"""Pressure valves. Lengths in modules, x right, y up."""

from __future__ import annotations

from trainer.drawing.symbols.manner import LabelPlace, Manner

__all__ = ["MANNERS", "ROWS"]

# name: (title, drawing, ports)
ROWS: dict[str, tuple[str, str, str]] = {
    "relief": (
        "Relief valve, direct, adjustable",
        (
            "rect(-2,-2 2,2); arrow(-1,-2 -1,2); line(0,2 0,4); line(0,-2 0,-5); disc(0,-3.5,0.375); "
            "dash(0,-3.5 -3.5,-3.5 -3.5,0 -2,0); use(act_spring_adj,2,0,flip)"
        ),
        "P(0,-5)S T(0,4)N",
    ),
    "relief_po": (
        "Relief valve, pilot operated",
        (
            "rect(-2,-2 2,2); arrow(-1,-2 -1,2); line(0,2 0,4); line(0,-2 0,-5); disc(0,-3.5,0.375); "
            "dash(0,-3.5 -3.5,-3.5 -3.5,0 -2,0); rect(2,-1 4.5,1); tri(2.4,0,W,1.3); "
            "use(act_spring_adj,4.5,0,flip); dash(3,-1 3,-5)"
        ),
        "P(0,-5)S T(0,4)N X(3,-5)S",
    ),
    "sequence": (
        "Sequence valve",
        (
            "rect(-2,-2 2,2); arrow(-1,-2 -1,2); line(0,2 0,5); line(0,-2 0,-5); disc(0,-3.5,0.375); "
            "dash(0,-3.5 -3.5,-3.5 -3.5,0 -2,0); use(act_spring_adj,2,0,flip); "
            "sdash(2,-1.6 4,-1.6 4,-5)"
        ),
        "P(0,-5)S A(0,5)N L(4,-5)S",
    ),
    "unloading": (
        "Unloading valve",
        (
            "rect(-2,-2 2,2); arrow(-1,-2 -1,2); line(0,2 0,4); line(0,-2 0,-4); dash(-2,0 -5,0); "
            "use(act_spring_adj,2,0,flip)"
        ),
        "P(0,-4)S T(0,4)N X(-5,0)W",
    ),
    "reducing": (
        "Pressure-reducing valve",
        (
            "rect(-2,-2 2,2); arrow(0,-2 0,2); line(0,2 0,5); line(0,-2 0,-4); disc(0,3.5,0.375); "
            "dash(0,3.5 -3.5,3.5 -3.5,0 -2,0); use(act_spring_adj,2,0,flip); "
            "sdash(2,-1.6 4,-1.6 4,-4)"
        ),
        "P(0,-4)S A(0,5)N L(4,-4)S",
    ),
    "reducing_relieving": (
        "Reducing and relieving valve",
        (
            "use(cell,-2,0); use(cell,2,0); arrow(-3,-2 -3,2); tee(-1,-2,N); arrow(1,2 3,-2); "
            "tee(1,-2,N); line(-3,2 -3,5); line(-3,-2 -3,-4); line(-1,-2 -1,-4); disc(-3,3.5,0.375); "
            "dash(-3,3.5 5.5,3.5 5.5,0 4,0); use(act_spring_adj,-4,0); line(-4,2.5 4,2.5); "
            "line(-4,-2.5 4,-2.5)"
        ),
        "P(-3,-4)S T(-1,-4)S A(-3,5)N",
    ),
    "counterbalance": (
        "Counterbalance valve",
        (
            "chain(-5.5,-5 9,-5 9,5 -5.5,5 -5.5,-5); rect(-2,-2 2,2); arrow(-1,2 -1,-2); "
            "line(0,2 0,7); line(0,-2 0,-7); disc(0,3,0.375); dash(0,3 -3.5,3 -3.5,1 -2,1); "
            "dash(-7,-1 -2,-1); use(act_spring_adj,2,0,flip); disc(0,4,0.375); line(0,4 7,4 7,0.5); "
            "chk(7,0,N); line(7,-0.707 7,-4 0,-4); disc(0,-4,0.375)"
        ),
        "C(0,7)N V(0,-7)S X(-7,-1)W",
    ),
    "port_relief": (
        "Port relief valve with anti-cavitation check",
        (
            "chain(-5,-5.5 9,-5.5 9,5.5 -5,5.5 -5,-5.5); rect(-2,-2 2,2); arrow(-1,2 -1,-2); "
            "line(0,2 0,7); line(0,-2 0,-7); disc(0,3,0.375); dash(0,3 -3.5,3 -3.5,0 -2,0); "
            "use(act_spring_adj,2,0,flip); disc(0,4.5,0.375); line(0,4.5 7,4.5 7,0.5); chk(7,0,N); "
            "line(7,-0.707 7,-4.5 0,-4.5); disc(0,-4.5,0.375)"
        ),
        "A(0,7)N T(0,-7)S",
    ),
    "compensator": (
        "Pressure compensator",
        (
            "rect(-2,-2 2,2); arrow(0,-2 0,2); line(0,2 0,5); line(0,-2 0,-4); disc(0,3.5,0.375); "
            "dash(0,3.5 -3.5,3.5 -3.5,0 -2,0); use(act_spring,2,0,flip); dash(2,-1 5,-1)"
        ),
        "P(0,-4)S A(0,5)N LS(5,-1)E",
    ),
}

_BESIDE = {
    "banked": LabelPlace(-10.0, 22.0, "right", rows=1.0),
    "": LabelPlace(14.0, 22.0, "left", rows=1.0),
}
MANNERS: dict[str, Manner] = {
    "relief": Manner("arrow", range(1, 3), labels=_BESIDE),
    "relief_po": Manner("arrow", range(1, 3)),
    "sequence": Manner("arrow", range(1, 3)),
    "unloading": Manner("arrow", range(1, 3), labels=_BESIDE),
    "reducing": Manner("arrow", range(1, 3)),
    "counterbalance": Manner("back", range(2, 4)),
}
