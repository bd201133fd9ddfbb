"""Pictures of a plan as SVG: to scale, in light print colours, told apart in black and white."""

from loading.pictures.dock import dock_svg
from loading.pictures.lanes import lanes_svg, move_svg
from loading.pictures.tier import tier_svg
from loading.pictures.trade import TradePoint, letter, trade_svg
from loading.pictures.truck import truck_side_svg, truck_top_svg
from loading.pictures.warehouse import MovePicture, WarehousePictures, warehouse_pictures

__all__ = [
    "MovePicture",
    "TradePoint",
    "WarehousePictures",
    "dock_svg",
    "lanes_svg",
    "letter",
    "move_svg",
    "tier_svg",
    "trade_svg",
    "truck_side_svg",
    "truck_top_svg",
    "warehouse_pictures",
]
