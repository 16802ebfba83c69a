"""What is ours: the upright sections, the hand crank and what a rod can push. Modules, y up."""

from __future__ import annotations

from trainer.drawing.symbols.manner import ALL, LabelPlace, Manner

__all__ = ["MANNERS", "ROWS", "SECTION"]

# name: (title, drawing, ports)
ROWS: dict[str, tuple[str, str, str]] = {
    "hand_crank": (
        "Hand crank",
        "shaft(-1,0 3,0); line(-1,0 -1,6); rect(-3.4,5.2 -1.6,6.8)",
        "shaft(3,0)E",
    ),
    "weight": (
        "Weight carried by a rod",
        "rect(-7,-2 7,2)",
        "rod(0,-2)S",
    ),
    "turntable": (
        "Turntable carried by a shaft",
        "circle(0,0,2); line(-1.2,-1.2 1.2,1.2); disc(0,0,0.4); shaft(-4,0 -2,0)",
        "shaft(-4,0)W",
    ),
    "wall": (
        "Fixed wall",
        (
            "line(-4,0 4,0); line(-4,0 -3,1); line(-3,0 -2,1); line(-2,0 -1,1); line(-1,0 0,1); "
            "line(0,0 1,1); line(1,0 2,1); line(2,0 3,1); line(3,0 4,1)"
        ),
        "rod(0,0)S",
    ),
    "force": (
        "Force on a rod",
        "arrow(0,5 0,0)",
        "rod(0,0)S",
    ),
    "crane": (
        "Crane on its column: the boom pushed up, the stick folded, the column slewed",
        (
            "line(-2,-4 2,-4); line(0,-4 0,0); line(0,0 5,2.5); line(5,2.5 8,0); line(8,0 8,-2); "
            "circle(0,0,0.5); circle(5,2.5,0.5); circle(8,-2.6,0.6)"
        ),
        "slew(0,-6)S boom(3,-2)S stick(6,-2)S tongs(9,-2)S heave(-2,-4)S roll(2,-4)S",
    ),
    "grapple": (
        "Grapple closed by a rod",
        "line(0,-2 0,0); line(0,0 -2,1 -2,3 -0.6,4); line(0,0 2,1 2,3 0.6,4); circle(0,0,0.5)",
        "rod(0,-2)S",
    ),
    "trailer": (
        "Trailer lifted by two legs",
        "rect(-6,0 6,1); circle(-2,-1,1); circle(2,-1,1); line(-5,0 -5,-2); line(5,0 5,-2)",
        "leg1(-5,-2)S leg2(5,-2)S heave(-1,1)N roll(1,1)N",
    ),
    "section": (
        "Open-centre section, upright: three squares that slide past six fixed ports, load check in P",
        (
            "rect(-3,-9 3,9); line(-3,3 3,3); line(-3,-3 3,-3); "
            "arrow(-3,8 3,8); tee(-3,6,E,0.9); tee(3,6,W,0.9); arrow(3,4 -3,4); "
            "tee(-3,2,E,0.9); tee(3,2,W,0.9); arrow(-3,0 3,0); tee(-3,-2,E,0.9); tee(3,-2,W,0.9); "
            "arrow(-3,-4 3,-8); tee(-3,-6,E,0.7); tee(3,-6,W,0.7); arrow(3,-4 -3,-8); "
            "line(-9,2 -7.707,2); chk(-7,2,E); line(-6.5,2 -3,2); line(-6,0 -3,0); line(-6,-2 -3,-2); "
            "line(6,2 3,2); line(6,0 3,0); line(6,-2 3,-2); "
            "spring(0,9 0,11.2,1.1,5); line(-1.2,11.4 1.2,11.4); shaft(0,-9 0,-11); line(0,-11 0,-13.6); "
            "disc(0,-13.6,0.45)"
        ),
        "C(-6,0)W C1(6,0)E P(-9,2)W A(6,2)N B(6,-2)E T(-6,-2)S",
    ),
    "section_closed": (
        "Closed-centre section, upright: three squares that slide past four fixed ports, load check in P",
        (
            "rect(-3,-9 3,9); line(-3,3 3,3); line(-3,-3 3,-3); "
            "arrow(-3,8 3,8); arrow(3,4 -3,4); "
            "tee(-3,2,E,0.9); tee(3,2,W,0.9); tee(-3,-2,E,0.9); tee(3,-2,W,0.9); "
            "arrow(-3,-4 3,-8); arrow(3,-4 -3,-8); "
            "line(-9,2 -7.707,2); chk(-7,2,E); line(-6.5,2 -3,2); line(-6,-2 -3,-2); "
            "line(6,2 3,2); line(6,-2 3,-2); "
            "spring(0,9 0,11.2,1.1,5); line(-1.2,11.4 1.2,11.4); shaft(0,-9 0,-11); line(0,-11 0,-13.6); "
            "disc(0,-13.6,0.45)"
        ),
        "P(-9,2)W A(6,2)N B(6,-2)E T(-6,-2)S",
    ),
    "section_four": (
        "Four-way section, upright: three squares that slide past four fixed ports, the middle one its centre",
        "use(section_closed)",
        "P(-9,2)W A(6,2)N B(6,-2)E T(-6,-2)S",
    ),
    "section_piloted": (
        "Open-centre section, upright, its spool moved by pilot pressure at either end",
        (
            "rect(-3,-9 3,9); line(-3,3 3,3); line(-3,-3 3,-3); "
            "arrow(-3,8 3,8); tee(-3,6,E,0.9); tee(3,6,W,0.9); arrow(3,4 -3,4); "
            "tee(-3,2,E,0.9); tee(3,2,W,0.9); arrow(-3,0 3,0); tee(-3,-2,E,0.9); tee(3,-2,W,0.9); "
            "arrow(-3,-4 3,-8); tee(-3,-6,E,0.7); tee(3,-6,W,0.7); arrow(3,-4 -3,-8); "
            "line(-9,2 -7.707,2); chk(-7,2,E); line(-6.5,2 -3,2); line(-6,0 -3,0); line(-6,-2 -3,-2); "
            "line(6,2 3,2); line(6,0 3,0); line(6,-2 3,-2); "
            "spring(-1.5,9 -1.5,11.2,0.8,5); spring(-1.5,-9 -1.5,-11.2,0.8,5); tri(2,9,S,1.2); tri(2,-9,N,1.2); "
            "dash(2,10.04 2,17); dash(2,-10.04 2,-17)"
        ),
        "C(-6,0)W C1(6,0)E P(-9,2)W A(6,2)N B(6,-2)E T(-6,-2)S XA(2,17)N XB(2,-17)S",
    ),
    "section_ls": (
        "Load-sensing section, upright: closed centre with compensator, its load told at the left",
        "use(section_closed); line(-6,0 -3,0)",
        "LS(-6,0)W P(-9,2)W A(6,2)N B(6,-2)E T(-6,-2)S",
    ),
}

# the fixed places of the section's ports, from which its pipes reach to the sliding squares
SECTION = {
    "C": (-5.2, 0.0),
    "LS": (-5.2, 0.0),
    "C1": (5.2, 0.0),
    "P": (-5.2, 2.0),
    "A": (5.2, 2.0),
    "B": (5.2, -2.0),
    "T": (-5.2, -2.0),
}

MANNERS: dict[str, Manner] = {
    **dict.fromkeys(
        ("section", "section_closed", "section_ls", "section_four", "section_piloted"),
        Manner("spool", ALL, labels={"": LabelPlace(-60.0, -48.0, "right")}),
    ),
    "hand_crank": Manner("crank", ALL[2:], labels={"": LabelPlace(0.0, -80.0, "centre")}),
    "turntable": Manner(labels={"": LabelPlace(0.0, 4.0, "centre", below="bottom", rows=1.0)}),
    "wall": Manner(fixed=True),
    "crane": Manner(machine="crane"),
    "grapple": Manner(machine="grapple"),
    "trailer": Manner(machine="trailer"),
}
