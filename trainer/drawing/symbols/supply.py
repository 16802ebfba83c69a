"""Pumps, motors and what drives them. Lengths in modules, x right, y up."""

from __future__ import annotations

from trainer.drawing.symbols.manner import LabelPlace, Manner

__all__ = ["MANNERS", "ROWS"]

# name: (title, drawing, ports)
ROWS: dict[str, tuple[str, str, str]] = {
    "pump_fixed": (
        "Pump, fixed displacement",
        "circle(0,0,3); tri(0,3,N,2); line(0,3 0,5); line(0,-3 0,-5); shaft(3,0 6,0); rot(0.8,0,3.9,-30,60)",
        "P(0,5)N S(0,-5)S shaft(6,0)E",
    ),
    "pump_var": (
        "Pump, variable displacement",
        "use(pump_fixed); adj(0,0,3.4)",
        "P(0,5)N S(0,-5)S shaft(6,0)E",
    ),
    "pump_bidir": (
        "Pump, fixed displacement, both directions of flow",
        "circle(0,0,3); tri(0,3,N,2); tri(0,-3,S,2); line(0,3 0,5); line(0,-3 0,-5); shaft(3,0 6,0)",
        "A(0,5)N B(0,-5)S shaft(6,0)E",
    ),
    "pump_hst": (
        "Pump, variable over centre, for a closed circuit",
        "use(pump_bidir); adj(0,0,3.4); sdash(2.12,-2.12 3,-3 3,-5)",
        "A(0,5)N B(0,-5)S L(3,-5)S shaft(6,0)E",
    ),
    "pump_comp": (
        "Pump, variable, pressure compensated",
        (
            "circle(0,0,3); tri(0,3,N,2); line(0,3 0,6); line(0,-3 0,-5); shaft(3,0 6,0); "
            "sdash(2.12,-2.12 3,-3 3,-5); rect(-6,-1 -3,1); tri(-3.4,0,E,1.2); spring(-6,0 -8.5,0); "
            "adj(-7.25,0,1.3); dash(0,4.5 -4.5,4.5 -4.5,1); disc(0,4.5,0.375); adj(0,0,3.4)"
        ),
        "P(0,6)N S(0,-5)S L(3,-5)S shaft(6,0)E",
    ),
    "pump_ls": (
        "Pump, variable, load sensing",
        "use(pump_comp); dash(-7,-4 -7,-0.9)",
        "P(0,6)N S(0,-5)S L(3,-5)S LS(-7,-4)S shaft(6,0)E",
    ),
    "pump_tandem": (
        "Double pump on one shaft",
        (
            "circle(-5,0,3); tri(-5,3,N,2); line(-5,3 -5,5); line(-5,-3 -5,-5); shaft(-2,0 2,0); "
            "circle(5,0,3); tri(5,3,N,2); line(5,3 5,5); line(5,-3 5,-5); shaft(8,0 11,0)"
        ),
        "P2(-5,5)N S2(-5,-5)S P1(5,5)N S1(5,-5)S shaft(11,0)E",
    ),
    "hand_pump": (
        "Hand pump",
        "circle(0,0,3); tri(0,3,N,2); line(0,3 0,5); line(0,-3 0,-5); shaft(3,0 5,0); line(4.3,-1.4 6.3,2.6)",
        "P(0,5)N S(0,-5)S",
    ),
    "motor_uni": (
        "Motor, fixed displacement, one direction",
        "circle(0,0,3); tri(0,1.1,S,2); line(0,3 0,5); line(0,-3 0,-5); shaft(3,0 6,0)",
        "A(0,5)N B(0,-5)S shaft(6,0)E",
    ),
    "motor_bidir": (
        "Motor, fixed displacement, both directions",
        (
            "circle(0,0,3); tri(0,1.1,S,2); tri(0,-1.1,N,2); line(0,3 0,5); line(0,-3 0,-5); "
            "shaft(3,0 6,0); sdash(2.12,-2.12 3,-3 3,-5)"
        ),
        "A(0,-5)S B(0,5)N L(3,-5)S shaft(6,0)E",
    ),
    "motor_var": (
        "Motor, variable displacement, both directions",
        "use(motor_bidir); adj(0,0,3.4)",
        "A(0,-5)S B(0,5)N L(3,-5)S shaft(6,0)E",
    ),
    "rotary_act": (
        "Rotary actuator, limited angle",
        (
            "pie(0,0,3,90,180); tri(-1,1.6,S,1.1); tri(-1,-1.6,N,1.1); line(-1,2.55 -1,5); "
            "line(-1,-2.55 -1,-5); shaft(0,0 3,0); rot2(-1.5,0,3.6,-32,64)"
        ),
        "A(-1,5)N B(-1,-5)S shaft(3,0)E",
    ),
    "e_motor": (
        "Electric motor",
        "circle(0,0,3); text(0,0,3,M); shaft(3,0 6,0)",
        "shaft(6,0)E",
    ),
    "engine": (
        "Combustion engine",
        "rect(-3,-3 3,3); text(0,0,3,M); shaft(3,0 6,0)",
        "shaft(6,0)E",
    ),
    "coupling": (
        "Shaft coupling",
        "shaft(-4,0 -0.35,0); shaft(0.35,0 4,0); line(-0.35,-1.2 -0.35,1.2); line(0.35,-1.2 0.35,1.2)",
        "1(-4,0)W 2(4,0)E",
    ),
    "brake": (
        "Brake on a shaft, applied by a spring, released by pressure",
        (
            "shaft(-1.5,0 1.5,0); rect(-1.2,0.5 1.2,1.1); line(0,1.1 0,3.3); rect(-1.5,2.5 1.5,6); "
            "rect(-1.5,3.3 1.5,3.8); spring(0,3.8 0,6,0.9,5); sdash(-1.5,3 -3,3)"
        ),
        "X(-3,3)W shaft(0,0)E",
    ),
    "gear": (
        "Gear between two shafts",
        "shaft(-2,0 -1,0); shaft(1,0 2,0); rect(-1,-2 1,2); line(-1,0 1,0)",
        "1(-2,0)W 2(2,0)E",
    ),
}

MANNERS: dict[str, Manner] = {
    "pump_fixed": Manner(
        labels={
            "driven": LabelPlace(-22.0, -38.0, "right", lifted=1.12),
            "": LabelPlace(-18.0, 29.0, "right", rows=1.0),
        }
    ),
    **dict.fromkeys(  # three rows, beside a meter's name
        ("pump_comp", "pump_ls"), Manner(labels={"driven": LabelPlace(-48.0, -52.0, "right", lifted=1.12)})
    ),
    "pump_hst": Manner(labels={"": LabelPlace(-38.0, 56.0, "right", rows=1.0)}),
    "pump_tandem": Manner(labels={"": LabelPlace(88.0, 6.0, "left")}),
    **dict.fromkeys(
        ("motor_uni", "motor_bidir", "motor_var"), Manner(labels={"": LabelPlace(-50.0, -26.0, "right", rows=0.35)})
    ),
    "e_motor": Manner(labels={"": LabelPlace(0.0, -54.0, "centre")}),
    "engine": Manner(labels={"": LabelPlace(0.0, 4.0, "left", "left", "bottom", rows=1.0)}),
    "coupling": Manner(labels={"": LabelPlace(0.0, 4.0, "centre", below="bottom", rows=1.0)}),
    "gear": Manner(labels={"": LabelPlace(0.0, -6.0, "centre", below="top", lifted=1.15)}),
}
