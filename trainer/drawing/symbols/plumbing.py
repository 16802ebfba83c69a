"""Lines, connections, vessels and what conditions the oil. Lengths in modules, x right, y up."""

from __future__ import annotations

from trainer.drawing.symbols.manner import LabelPlace, Manner

__all__ = ["MANNERS", "ROWS"]

# name: (title, drawing, ports)
ROWS: dict[str, tuple[str, str, str]] = {
    "working_line": (
        "Working line: pressure, return or suction",
        "line(-5,0 5,0)",
        "",
    ),
    "pilot_line": (
        "Control line",
        "dash(-5,0 5,0)",
        "",
    ),
    "drain_line": (
        "Drain or bleed line",
        "sdash(-5,0 5,0)",
        "",
    ),
    "enclosure": (
        "Enclosure of one assembly",
        "chain(-5,-3 5,-3 5,3 -5,3 -5,-3)",
        "",
    ),
    "mech_link": (
        "Mechanical link",
        "shaft(-5,0 5,0)",
        "",
    ),
    "junction": (
        "Joined lines",
        "line(-4,0 4,0); line(0,0 0,4); disc(0,0,0.375)",
        "",
    ),
    "crossing": (
        "Lines that cross without joining",
        "line(-4,0 4,0); line(0,-4 0,4)",
        "",
    ),
    "hose": (
        "Flexible line",
        "line(-5,0 -2,0); line(2,0 5,0); arc(0,2,2.828,225,90); disc(-2,0,0.25); disc(2,0,0.25)",
        "1(-5,0)W 2(5,0)E",
    ),
    "long_line": (
        "Long line, its length broken",
        "line(-5,0 -0.6,0); line(0.6,0 5,0); line(-1,-1 -0.2,1); line(0.2,-1 1,1)",
        "1(-5,0)W 2(5,0)E",
    ),
    "warmed_line": (
        "Line warmed from outside",
        "line(-5,0 -3,0); line(5,0 3,0); rect(-3,-0.8 3,0.8); arrow(-1.5,3 -1.5,0.8); arrow(1.5,3 1.5,0.8)",
        "1(-5,0)W 2(5,0)E",
    ),
    "plugged": (
        "Plugged port",
        "line(-4,0 0,0); line(-0.5,0.5 0.5,-0.5); line(-0.5,-0.5 0.5,0.5)",
        "1(-4,0)W",
    ),
    "press_source": (
        "Source of hydraulic pressure",
        "tri(0,0,N,2); line(0,0 0,3)",
        "P(0,3)N",
    ),
    "flow_arrow": (
        "Direction of flow",
        "line(-5,0 5,0); tri(0.9,0,E,1.8)",
        "",
    ),
    "tank_below": (
        "Line ending below the oil level",
        "line(-1,0.5 -1,-0.5 1,-0.5 1,0.5); line(0,3 0,-0.5)",
        "T(0,3)N",
    ),
    "tank_above": (
        "Line ending above the oil level",
        "line(-1,0.5 -1,-0.5 1,-0.5 1,0.5); line(0,3 0,0.5)",
        "T(0,3)N",
    ),
    "reservoir": (
        "Reservoir, vented",
        "line(-6,2 -6,-2 6,-2 6,2); line(-4,4 -4,-2); line(0,4 0,-2); sdash(4,4 4,2)",
        "S(-4,4)N T(0,4)N L(4,4)N",
    ),
    "reservoir_press": (
        "Reservoir, sealed under pressure",
        "rect(-4,-2 4,2); line(-2,4 -2,-2); otri(3,1.2,S,1.2); line(3,2.24 3,4)",
        "S(-2,4)N Air(3,4)N",
    ),
    "cup": (
        "Measuring cup with a cock",
        (
            "line(-2,3 -2,-2 2,-2 2,3); line(-2,-1 -1.2,-1); line(-2,0 -1.2,0); line(-2,1 -1.2,1); "
            "line(-2,2 -1.2,2); line(0,5 0,2); line(0,-2 0,-4); "
            "poly(-0.8,-2.4 0.8,-2.4 0,-3); poly(-0.8,-3.6 0.8,-3.6 0,-3)"
        ),
        "1(0,5)N 2(0,-4)S",
    ),
    "acc_bladder": (
        "Accumulator with bladder",
        "capsule(-2,-4 2,4); arc(0,0.5,2,180,180); otri(0,1.2,S,1.5); line(0,-4 0,-6)",
        "P(0,-6)S",
    ),
    "acc_diaphragm": (
        "Accumulator with diaphragm",
        "capsule(-2,-4 2,4); arc(0,2.507,3.207,231.4,77.2); otri(0,1.2,S,1.5); line(0,-4 0,-6)",
        "P(0,-6)S",
    ),
    "acc_piston": (
        "Accumulator with piston",
        "capsule(-2,-4 2,4); rect(-2,-0.5 2,0.5); otri(0,1.2,S,1.5); line(0,-4 0,-6)",
        "P(0,-6)S",
    ),
    "filter": (
        "Filter",
        "poly(-2.83,0 0,2.83 2.83,0 0,-2.83); dash(0,2.83 0,-2.83); line(-4,0 -2.83,0); line(2.83,0 4,0)",
        "1(-4,0)W 2(4,0)E",
    ),
    "filter_bypass": (
        "Filter with bypass valve and clogging indicator",
        (
            "poly(-2.83,0 0,2.83 2.83,0 0,-2.83); dash(0,2.83 0,-2.83); line(-6,0 -2.83,0); "
            "line(2.83,0 6,0); line(-4,0 -4,4 -0.707,4); chk(0,4,E); spring(0.5,4 2,4,0.45); "
            "line(2,4 4,4 4,0); disc(-4,0,0.375); disc(4,0,0.375); circle(0,-4.6,1); "
            "line(0,-2.83 0,-3.6); arrow(-0.55,-5.15 0.55,-4.05)"
        ),
        "1(-6,0)W 2(6,0)E",
    ),
    "cooler": (
        "Cooler",
        (
            "poly(-2.83,0 0,2.83 2.83,0 0,-2.83); arrow(0,0 0,2.83); arrow(0,0 0,-2.83); "
            "line(-4,0 -2.83,0); line(2.83,0 4,0)"
        ),
        "1(-4,0)W 2(4,0)E",
    ),
    "cooler_lines": (
        "Cooler with lines of the coolant",
        (
            "poly(-2.83,0 0,2.83 2.83,0 0,-2.83); line(0,4 0,-4); fhead(0,2.83,N); fhead(0,-2.83,S); "
            "line(-4,0 -2.83,0); line(2.83,0 4,0)"
        ),
        "1(-4,0)W 2(4,0)E C1(0,4)N C2(0,-4)S",
    ),
    "heater": (
        "Heater",
        (
            "poly(-2.83,0 0,2.83 2.83,0 0,-2.83); arrow(0,2.83 0,0.5); arrow(0,-2.83 0,-0.5); "
            "line(-4,0 -2.83,0); line(2.83,0 4,0)"
        ),
        "1(-4,0)W 2(4,0)E",
    ),
    "breather": (
        "Air breather with filter",
        "poly(-2,0 0,2 2,0 0,-2); dash(-2,0 2,0); line(0,-2 0,-4); otri(0,4,N,1.5); line(0,2 0,2.7)",
        "1(0,-4)S",
    ),
    "shutoff": (
        "Shut-off valve, open",
        "line(-4,0 -2,0); line(2,0 4,0); poly(-2,1.2 0,0 -2,-1.2); poly(2,1.2 0,0 2,-1.2)",
        "1(-4,0)W 2(4,0)E",
    ),
    "qc_connected": (
        "Quick-release coupling, connected",
        (
            "line(-5,0 -2.5,0); line(5,0 2.5,0); chk(-2,0,W); chk(2,0,E); line(-1.293,0 1.293,0); "
            "line(-0.2,-1 -0.2,1); line(0.2,-1 0.2,1)"
        ),
        "1(-5,0)W 2(5,0)E",
    ),
    "qc_open": (
        "Quick-release coupling half, disconnected",
        "line(-5,0 -2.5,0); chk(-2,0,W); line(-1.293,0 -0.2,0); line(-0.2,-1 -0.2,1)",
        "1(-5,0)W",
    ),
    "rotary_joint": (
        "Rotary joint with two lines",
        "circle(0,0,2.2); line(-5,1 5,1); line(-5,-1 5,-1); rot2(0,0,3,60,60)",
        "1(-5,1)W 2(-5,-1)W 1r(5,1)E 2r(5,-1)E",
    ),
}

MANNERS: dict[str, Manner] = {
    **dict.fromkeys(
        ("filter", "filter_bypass"),
        Manner(
            labels={
                "level": LabelPlace(18.0, 50.0, "left"),
                "upright": LabelPlace(8.0, 0.0, "left", "right", rows=0.35),
            }
        ),
    ),
    "cup": Manner(labels={"": LabelPlace(-28.0, -8.0, "right")}),
    **dict.fromkeys(
        ("long_line", "warmed_line"),
        Manner(labels={"level": LabelPlace(0.0, 6.0, "centre", below="bottom", rows=1.0)}),
    ),
    "cooler": Manner(labels={"level": LabelPlace(0.0, 4.0, "centre", below="bottom", rows=1.0)}),
}
