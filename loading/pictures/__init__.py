"""Pictures of a plan as SVG: to scale, in light print colours, told apart in black and white."""

from loading.pictures.tier import tier_svg
from loading.pictures.truck import truck_side_svg, truck_top_svg

__all__ = ["tier_svg", "truck_side_svg", "truck_top_svg"]
