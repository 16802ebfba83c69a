"""Flow valves. Lengths in modules, x right, y up."""

from __future__ import annotations

from trainer.drawing.symbols.manner import LabelPlace, Manner

__all__ = ["MANNERS", "ROWS"]

# name: (title, drawing, ports)
ROWS: dict[str, tuple[str, str, str]] = {
    "orifice": (
        "Orifice",
        "line(0,-3 0,3); line(-1,0.8 -0.3,0 -1,-0.8); line(1,0.8 0.3,0 1,-0.8)",
        "1(0,-3)S 2(0,3)N",
    ),
    "restrictor": (
        "Restrictor, fixed",
        "line(0,-3 0,3); thr(0,0,V)",
        "1(0,-3)S 2(0,3)N",
    ),
    "throttle": (
        "Throttle valve, adjustable",
        "line(0,-3 0,3); thr(0,0,V); adj(0,0,1.9)",
        "1(0,-3)S 2(0,3)N",
    ),
    "throttle_check": (
        "One-way throttle valve",
        (
            "line(0,-5 0,5); thr(0,0,V); adj(0,0,1.9); line(0,3 4,3 4,0.5); chk(4,0,N); "
            "line(4,-0.707 4,-3 0,-3); disc(0,3,0.375); disc(0,-3,0.375); "
            "chain(-3,-4 6,-4 6,4 -3,4 -3,-4)"
        ),
        "1(0,-5)S 2(0,5)N",
    ),
    "flow_control_2": (
        "Flow control valve, compensated, 2 ports",
        ("rect(-2,-2 2,2); line(0,-4 0,4); thr(0,-0.1,V); adj(0,-0.1,1.5); fhead(0,2,N); arrow(1.55,-1.8 1.55,-0.5)"),
        "1(0,-4)S 2(0,4)N",
    ),
    "flow_control_3": (
        "Flow control valve, compensated, 3 ports",
        (
            "rect(-2.5,-2.5 2.5,2.5); line(0,-4 0,4); thr(0,0.3,V); adj(0,0.3,1.5); fhead(0,2.5,N); "
            "arrow(-1.9,-2.1 -1.9,-0.8); line(0,-2 4,-2); fhead(2.5,-2,E)"
        ),
        "P(0,-4)S A(0,4)N T(4,-2)E",
    ),
    "flow_divider": (
        "Flow divider, spool type",
        (
            "rect(-4,-2 4,2); line(0,-4 0,-1.2); line(-2,4 -2,-1.2 2,-1.2 2,4); thr(-2,0.6,V); "
            "thr(2,0.6,V); disc(0,-1.2,0.25); fhead(-2,3,N); fhead(2,3,N)"
        ),
        "P(0,-4)S A(-2,4)N B(2,4)N",
    ),
    "flow_divider_gear": (
        "Flow divider, gear type",
        (
            "circle(-4,0,3); circle(4,0,3); shaft(-1,0 1,0); tri(-4,-1.1,N,2); tri(4,-1.1,N,2); "
            "line(-4,3 -4,5); line(4,3 4,5); line(-4,-3 -4,-5 4,-5 4,-3); line(0,-5 0,-7); "
            "disc(0,-5,0.375)"
        ),
        "P(0,-7)S A(-4,5)N B(4,5)N",
    ),
    "priority": (
        "Priority valve",
        (
            "use(cell,-2,0); use(cell,2,0); line(-4,2.5 4,2.5); line(-4,-2.5 4,-2.5); "
            "arrow(-2,-2 -3,2); tee(-1,2,S); arrow(2,-2 3,2); tee(1,2,S); line(-3,2 -3,4); "
            "line(-1,2 -1,4); line(-2,-2 -2,-4); disc(-3,3.2,0.3); dash(-3,3.2 5.5,3.2 5.5,0 4,0); "
            "use(act_spring,-4,0); dash(-4,-1 -7,-1)"
        ),
        "P(-2,-4)S CF(-3,4)N EF(-1,4)N LS(-7,-1)W",
    ),
}

MANNERS: dict[str, Manner] = {
    "flow_divider_gear": Manner(
        labels={"": LabelPlace(8.0, -8.0, "left", "right", rows=0.35)}
    ),  # its outlets are above
    "priority": Manner(labels={"": LabelPlace(0.0, 4.0, "centre", below="bottom", rows=1.0)}),
}
