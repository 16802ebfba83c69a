"""Squares of directional valves and the mechanisms that move them. Lengths in modules, x right, y up."""

from __future__ import annotations

__all__ = ["ROWS"]

# name: (title, drawing, ports)
ROWS: dict[str, tuple[str, str, str]] = {
    "cell": (
        "Position of a valve",
        "rect(-2,-2 2,2)",
        "",
    ),
    "cell_parallel": (
        "Position: P to A, B to T",
        "use(cell); arrow(-1,-2 -1,2); arrow(1,2 1,-2)",
        "",
    ),
    "cell_cross": (
        "Position: P to B, A to T",
        "use(cell); arrow(-1,-2 1,2); arrow(-1,2 1,-2)",
        "",
    ),
    "cell_closed": (
        "Position: every port shut",
        "use(cell); tee(-1,2,S); tee(1,2,S); tee(-1,-2,N); tee(1,-2,N)",
        "",
    ),
    "cell_open": (
        "Position: every port joined",
        "use(cell); line(-1,-2 -1,2); line(1,-2 1,2); line(-1,0 1,0); disc(-1,0,0.25); disc(1,0,0.25)",
        "",
    ),
    "cell_tandem": (
        "Position: P to T, work ports shut",
        "use(cell); tee(-1,2,S); tee(1,2,S); line(-1,-2 -1,-0.7 1,-0.7 1,-2)",
        "",
    ),
    "cell_float": (
        "Position: work ports to T, P shut",
        "use(cell); line(-1,2 -1,0 1,0); line(1,2 1,-2); disc(1,0,0.25); tee(-1,-2,N)",
        "",
    ),
    "cell_regen": (
        "Position: P, A and B joined, T shut",
        "use(cell); line(-1,-2 -1,2); line(-1,0 1,0 1,2); disc(-1,0,0.25); tee(1,-2,N)",
        "",
    ),
    "act_spring": (
        "Control by spring",
        "spring(0,0 -2.5,0)",
        "",
    ),
    "act_spring_adj": (
        "Control by adjustable spring",
        "spring(0,0 -2.5,0); adj(-1.25,0,1.3)",
        "",
    ),
    "act_manual": (
        "Manual control",
        "shaft(0,0 -2,0); line(-2,-1 -2,1)",
        "",
    ),
    "act_lever": (
        "Control by lever",
        "shaft(0,0 -1.9,0); line(-1.6,-0.6 -3.2,2.4)",
        "",
    ),
    "act_pedal": (
        "Control by pedal",
        "shaft(0,0 -1.8,0); line(-1.3,-1 -2.1,0.7 -3.6,0.2)",
        "",
    ),
    "act_button": (
        "Control by push button",
        "shaft(0,0 -1.8,0); pie(-1.8,0,0.9,90,180)",
        "",
    ),
    "act_plunger": (
        "Control by plunger",
        "rect(-2,-0.5 0,0.5)",
        "",
    ),
    "act_roller": (
        "Control by roller",
        "shaft(0,0 -1.8,0); circle(-2.3,0,0.5)",
        "",
    ),
    "act_detent3": (
        "Detent with three notches",
        (
            "poly(0,0.5 -0.5,0.5 -0.9,0 -1.3,0.5 -1.7,0.5 "
            "-2.1,0 -2.5,0.5 -2.9,0.5 -3.3,0 -3.7,0.5 -4.2,0.5 -4.2,-0.5 0,-0.5); "
            "line(-2.5,1.2 -2.1,0.15 -1.7,1.2 -2.5,1.2)"
        ),
        "",
    ),
    "act_detent1": (
        "Detent with one notch",
        ("poly(0,0.5 -1,0.5 -1.4,0 -1.8,0.5 -2.6,0.5 -2.6,-0.5 0,-0.5); line(-1.8,1.2 -1.4,0.15 -1,1.2 -1.8,1.2)"),
        "",
    ),
    "act_sol": (
        "Control by solenoid",
        "rect(-3,-1 0,1); line(-2.2,-1 -0.8,1)",
        "",
    ),
    "act_propsol": (
        "Control by proportional solenoid",
        "rect(-3,-1 0,1); line(-2.2,-1 -0.8,1); adj(-1.5,0,1.7)",
        "",
    ),
    "act_pilot": (
        "Control by hydraulic pilot",
        "tri(0,0,E,1.2); dash(-1.04,0 -4,0)",
        "X(-4,0)W",
    ),
    "act_solpilot": (
        "Control by solenoid and hydraulic pilot",
        "rect(-2,-1 0,1); tri(-0.4,0,E,1.3); rect(-5,-1 -2,1); line(-4.2,-1 -2.8,1)",
        "",
    ),
}
