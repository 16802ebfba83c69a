"""Directional and check valves, and our upright section. Lengths in modules, x right, y up."""

from __future__ import annotations

from trainer.drawing.symbols.manner import LabelPlace, Manner

__all__ = ["MANNERS", "ROWS"]

# name: (title, drawing, ports)
ROWS: dict[str, tuple[str, str, str]] = {
    "dcv_22_nc": (
        "Directional valve 2/2, closed at rest",
        (
            "use(cell,-2,0); use(cell,2,0); arrow(-2,-2 -2,2); tee(2,2,S); tee(2,-2,N); "
            "line(2,2 2,3); line(2,-2 2,-3); use(act_sol,-4,0); use(act_spring,4,0,flip)"
        ),
        "A(2,3)N P(2,-3)S",
    ),
    "dcv_32": (
        "Directional valve 3/2",
        (
            "use(cell,-2,0); use(cell,2,0); arrow(-3,-2 -3,2); tee(-1,-2,N); arrow(1,2 3,-2); "
            "tee(1,-2,N); line(1,2 1,3); line(1,-2 1,-3); line(3,-2 3,-3); use(act_button,-4,0); "
            "use(act_spring,4,0,flip)"
        ),
        "A(1,3)N P(1,-3)S T(3,-3)S",
    ),
    "dcv_42": (
        "Directional valve 4/2",
        (
            "use(cell_parallel,-2,0); use(cell_cross,2,0); line(1,2 1,3); line(3,2 3,3); "
            "line(1,-2 1,-3); line(3,-2 3,-3); use(act_sol,-4,0); use(act_spring,4,0,flip)"
        ),
        "A(1,3)N B(3,3)N P(1,-3)S T(3,-3)S",
    ),
    "dcv_43_closed": (
        "Directional valve 4/3, closed centre",
        (
            "use(cell_parallel,-4,0); use(cell_closed,0,0); use(cell_cross,4,0); stubs4(0); "
            "use(act_lever,-6,1); use(act_spring,-6,-1); use(act_spring,6,0,flip)"
        ),
        "A(-1,3)N B(1,3)N P(-1,-3)S T(1,-3)S",
    ),
    "dcv_43_open": (
        "Directional valve 4/3, open centre",
        (
            "use(cell_parallel,-4,0); use(cell_open,0,0); use(cell_cross,4,0); stubs4(0); "
            "use(act_lever,-6,0); use(act_detent3,6,0,flip)"
        ),
        "A(-1,3)N B(1,3)N P(-1,-3)S T(1,-3)S",
    ),
    "dcv_43_tandem": (
        "Directional valve 4/3, tandem centre",
        (
            "use(cell_parallel,-4,0); use(cell_tandem,0,0); use(cell_cross,4,0); stubs4(0); "
            "use(act_sol,-6,1); use(act_spring,-6,-1); use(act_sol,6,1,flip); "
            "use(act_spring,6,-1,flip)"
        ),
        "A(-1,3)N B(1,3)N P(-1,-3)S T(1,-3)S",
    ),
    "dcv_43_float": (
        "Directional valve 4/3, float centre",
        (
            "use(cell_parallel,-4,0); use(cell_float,0,0); use(cell_cross,4,0); stubs4(0); "
            "use(act_pilot,-6,1); use(act_spring,-6,-1); use(act_pilot,6,1,flip); "
            "use(act_spring,6,-1,flip)"
        ),
        "A(-1,3)N B(1,3)N P(-1,-3)S T(1,-3)S X1(-10,1)W X2(10,1)E",
    ),
    "dcv_44_float": (
        "Directional valve 4/4 with float position",
        (
            "use(cell_parallel,-6,0); use(cell_closed,-2,0); use(cell_cross,2,0); "
            "use(cell_float,6,0); stubs4(-2); use(act_lever,-8,1); use(act_spring,-8,-1); "
            "use(act_spring,8,-1,flip); use(act_detent1,8,1,flip)"
        ),
        "A(-3,3)N B(-1,3)N P(-3,-3)S T(-1,-3)S",
    ),
    "dcv_prop": (
        "Directional valve 4/3, proportional",
        (
            "use(cell_parallel,-4,0); use(cell_closed,0,0); use(cell_cross,4,0); line(-6,2.5 6,2.5); "
            "line(-6,-2.5 6,-2.5); line(-1,2 -1,4); line(1,2 1,4); line(-1,-2 -1,-4); "
            "line(1,-2 1,-4); use(act_propsol,-6,1); use(act_spring,-6,-1); "
            "use(act_propsol,6,1,flip); use(act_spring,6,-1,flip)"
        ),
        "A(-1,4)N B(1,4)N P(-1,-4)S T(1,-4)S",
    ),
    "dcv_servo": (
        "Directional valve 4/3, servo: continuous, its place fed back",
        (
            "use(cell_parallel,-4,0); use(cell_closed,0,0); use(cell_cross,4,0); line(-6,2.5 6,2.5); "
            "line(-6,-2.5 6,-2.5); line(-1,2 -1,4); line(1,2 1,4); line(-1,-2 -1,-4); "
            "line(1,-2 1,-4); use(act_solpilot,-6,0); use(act_spring,6,0,flip); adj(-8,0,2.6); "
            "shaft(0,-3 -4,-3); shaft(-4,-3 -8,-3); shaft(-8,-3 -8,-1)"
        ),
        "A(-1,4)N B(1,4)N P(-1,-4)S T(1,-4)S",
    ),
    "pilot_lever": (
        "Pilot control lever: two reducing and relieving valves pressed by one lever",
        (
            "chain(-8,-6 8,-6 8,7 -8,7 -8,-6); rect(-6,-2 -2,2); rect(2,-2 6,2); "
            "arrow(-5,-2 -5,0 -3,0 -3,-2); tee(-4,-2,N,0.8); arrow(5,-2 5,0 3,0 3,-2); tee(4,-2,N,0.8); "
            "spring(-4,2 -4,4.4); spring(4,2 4,4.4); line(-5.5,4.4 5.5,4.4); shaft(0,4.4 0,5.6); line(0,5.6 0,9); "
            "disc(0,9.4,0.45); line(-5,-2 -5,-8); line(5,-2 5,-8); line(-4,-2 -4,-3.5 4,-3.5 4,-2); "
            "line(-1,-3.5 -1,-8); disc(-1,-3.5,0.25); line(-3,-2 -3,-5 3,-5 3,-2); line(1,-5 1,-8); disc(1,-5,0.25); "
            "dash(-5,-2.8 -7,-2.8 -7,1 -6,1); dash(5,-2.8 7,-2.8 7,1 6,1)"
        ),
        "A(-5,-8)S P(-1,-8)S T(1,-8)S B(5,-8)S",
    ),
    "flushing": (
        "Flushing valve: a shuttle spool that opens the lower side to a relief",
        (
            "chain(-7.5,-9 7.5,-9 7.5,4 -7.5,4 -7.5,-9); rect(-6,-2 -2,2); rect(-2,-2 2,2); rect(2,-2 6,2); "
            "arrow(-5,2 -4,-2); tee(-3,2,S,0.8); tee(-1,2,S,0.8); tee(1,2,S,0.8); tee(0,-2,N,0.8); "
            "arrow(5,2 4,-2); tee(3,2,S,0.8); spring(-6,0 -7.2,0,0.6,3); spring(6,0 7.2,0,0.6,3); "
            "line(-1,2 -1,6); line(1,2 1,6); disc(-1,3,0.25); disc(1,3,0.25); dash(-1,3 -7,3 -7,1 -6,1); "
            "dash(1,3 7,3 7,1 6,1); line(0,-2 0,-4); rect(-1.5,-7 1.5,-4); arrow(-0.7,-4 -0.7,-7); "
            "spring(1.5,-5.5 3.8,-5.5,0.6,4); dash(0,-3 -3,-3 -3,-5.5 -1.5,-5.5); line(0,-7 0,-11)"
        ),
        "A(-1,6)N B(1,6)N T(0,-11)S",
    ),
    "dcv_63": (
        "Directional valve 6/3, open-centre mobile section",
        (
            "rect(-9,-2 -3,2); rect(-3,-2 3,2); rect(3,-2 9,2); arrow(-8,-2 -8,2); tee(-6,2,S); "
            "tee(-6,-2,N); arrow(-4,2 -4,-2); tee(-2,2,S); tee(-2,-2,N); arrow(0,-2 0,2); "
            "tee(2,2,S); tee(2,-2,N); arrow(4,-2 8,2); arrow(4,2 8,-2); tee(6,2,S,0.7); "
            "tee(6,-2,N,0.7); line(-2,2 -2,3); line(0,2 0,3); line(2,2 2,3); line(-2,-2 -2,-3); "
            "line(0,-2 0,-3); line(2,-2 2,-3); use(act_lever,-9,1); use(act_spring,-9,-1); "
            "use(act_spring,9,0,flip)"
        ),
        "A(-2,3)N C1(0,3)N B(2,3)N P(-2,-3)S C(0,-3)S T(2,-3)S",
    ),
    "check": (
        "Check valve",
        "line(0,-3 0,-0.707); chk(0,0,N); line(0,0.5 0,3)",
        "1(0,-3)S 2(0,3)N",
    ),
    "check_spring": (
        "Check valve with spring",
        "line(0,-3 0,-0.707); chk(0,0,N); spring(0,0.5 0,2.2,0.45); line(0,2.2 0,3)",
        "1(0,-3)S 2(0,3)N",
    ),
    "check_po": (
        "Check valve, pilot operated",
        "rect(-2,-2 2,2); line(0,-4 0,-0.707); chk(0,0,N); line(0,0.5 0,4); dash(-5,-1 -0.65,-1 -0.2,-0.55)",
        "1(0,-4)S 2(0,4)N X(-5,-1)W",
    ),
    "check_po_double": (
        "Double check valve, pilot operated",
        (
            "chain(-6,-4 6,-4 6,4 -6,4 -6,-4); line(-3,-6 -3,-0.707); chk(-3,0,N); "
            "line(-3,0.5 -3,6); line(3,-6 3,-0.707); chk(3,0,N); line(3,0.5 3,6); disc(-3,-3,0.375); "
            "dash(-3,-3 1.2,-3 2.9,-0.8); disc(3,-2,0.375); dash(3,-2 -1.6,-2 -2.8,-0.75)"
        ),
        "V1(-3,-6)S V2(3,-6)S C1(-3,6)N C2(3,6)N",
    ),
    "shuttle": (
        "Shuttle valve",
        (
            "rect(-2.5,-1.5 2.5,1.5); line(-4,0 -1.6,0); line(4,0 1.6,0); "
            "line(-0.7,0.9 -1.6,0 -0.7,-0.9); line(0.7,0.9 1.6,0 0.7,-0.9); circle(-0.893,0,0.5); "
            "line(0,0 0,3)"
        ),
        "1(-4,0)W 2(4,0)E A(0,3)N",
    ),
}

MANNERS: dict[str, Manner] = {
    "flushing": Manner(labels={"": LabelPlace(-84.0, 30.0, "right", rows=1.0)}),
}
