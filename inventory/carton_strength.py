"""What a carton's certificate says that it may weigh, contents included.

Source: the box-certificate table of rail Rule 41 and motor freight Item 222, single wall: burst
strength (psi), edge crush (lb per inch) and gross weight (lb). Moving cartons mostly bear the
certificate of 65 lb, as box makers' charts tell. A label of the certificate goes before.
"""

from dataclasses import dataclass

G_PER_LB = 453.59237
USUAL_LB = 65


@dataclass(frozen=True, slots=True)
class Certificate:
    """A grade of board: burst strength, edge crush, and the gross weight that it may have."""

    burst_psi: int
    edge_crush_lb_in: int
    gross_lb: int


SINGLE_WALL = (
    Certificate(125, 23, 20),
    Certificate(150, 26, 35),
    Certificate(175, 29, 50),
    Certificate(200, 32, 65),
    Certificate(250, 40, 80),
    Certificate(275, 44, 95),
    Certificate(350, 55, 120),
)


def certificate_needed(weight_g: int) -> Certificate | None:
    """The weakest single wall for this gross weight; None where only a stronger wall will do."""
    return next((one for one in SINGLE_WALL if weight_g <= one.gross_lb * G_PER_LB), None)


def is_over_usual(weight_g: int) -> bool:
    """Whether a carton is heavier than the usual certificate allows."""
    return weight_g > USUAL_LB * G_PER_LB
