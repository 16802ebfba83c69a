"""Instruments, switches and test points. Lengths in modules, x right, y up."""

from __future__ import annotations

__all__ = ["ROWS"]

# name: (title, drawing, ports)
ROWS: dict[str, tuple[str, str, str]] = {
    "gauge": (
        "Pressure gauge",
        "circle(0,0,2); arrow(-1.1,-1.1 1.2,1.2); line(0,-2 0,-4)",
        "P(0,-4)S",
    ),
    "gauge_diff": (
        "Differential pressure gauge",
        "circle(0,0,2); arrow(0,-1.5 0,1.6); line(-1,-1.73 -1,-4); line(1,-1.73 1,-4)",
        "P1(-1,-4)S P2(1,-4)S",
    ),
    "thermometer": (
        "Thermometer",
        "circle(0,0,2); line(0,1.3 0,-0.7); disc(0,-0.9,0.4); line(0,-2 0,-4)",
        "1(0,-4)S",
    ),
    "flow_meter": (
        "Flow meter",
        "circle(0,0,2); line(-4,0 4,0); thr(0,0,H)",
        "1(-4,0)W 2(4,0)E",
    ),
    "flow_tester": (
        "Portable flow tester: flow meter, gauge and loading valve",
        (
            "line(0,-6 0,6); circle(0,-2.6,1.4); thr(0,-2.6,V); thr(0,2.4,V); adj(0,2.4,1.6); "
            "line(0,0 -1.3,0); circle(-2.4,0,1.1); arrow(-2.9,-0.6 -1.8,0.6); "
            "chain(-4,-5 3,-5 3,5 -4,5 -4,-5)"
        ),
        "1(0,-6)S 2(0,6)N",
    ),
    "flow_indicator": (
        "Flow indicator",
        "circle(0,0,2); line(-4,0 -2,0); line(2,0 4,0); arrow(-1.5,0 1.5,0)",
        "1(-4,0)W 2(4,0)E",
    ),
    "tachometer": (
        "Tachometer",
        "circle(0,0,2); shaft(-4,0 -2,0); rot(0,0,1.15,-60,285); disc(0,0,0.25)",
        "shaft(-4,0)W",
    ),
    "torque": (
        "Torque meter",
        "circle(0,0,2); shaft(-4,0 -2,0); shaft(2,0 4,0); arrow(-0.7,-1.2 -0.7,1.2); arrow(0.7,1.2 0.7,-1.2)",
        "1(-4,0)W 2(4,0)E",
    ),
    "level": (
        "Level indicator",
        ("circle(0,0,2); line(-1.4,-0.1 1.4,-0.1); otri(0,-0.1,S,1.2); line(-0.8,-0.6 0.8,-0.6); line(0,-2 0,-4)"),
        "1(0,-4)S",
    ),
    "press_switch": (
        "Pressure switch",
        (
            "rect(-2,-2 2,2); tri(0,-1,N,1.2); line(0,-2 0,-4); line(-1.6,0.2 -0.7,0.2 0.6,1.1); "
            "line(0.7,0.2 1.6,0.2); disc(-0.7,0.2,0.15); disc(0.7,0.2,0.15); "
            "use(act_spring_adj,2,0,flip)"
        ),
        "P(0,-4)S",
    ),
    "transducer": (
        "Pressure transducer",
        "rect(-2,-2 2,2); line(-2,-2 2,2); text(-0.9,0.9,1.6,P); text(0.9,-0.9,1.6,U); line(0,-2 0,-4)",
        "P(0,-4)S",
    ),
    "test_point": (
        "Test point",
        "line(0,-4 0,-1); chk(0,-0.5,S); line(0,0.207 0,0.9); line(-0.8,0.9 0.8,0.9)",
        "M(0,-4)S",
    ),
}
