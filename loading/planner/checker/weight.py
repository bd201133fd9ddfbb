"""R12: payload, supports, and the load's middle. Statics with whole numbers and fractions."""

from collections.abc import Iterator
from fractions import Fraction

from loading.planner.checker.layout import Layout
from loading.planner.checker.report import Broken

PAYLOAD_SLACK_G = 50
SUPPORT_SLACK_G = 500


def total_g(layout: Layout) -> int:
    return sum(layout.item(tag).weight_g for tag in layout.pieces)


def broken(layout: Layout) -> Iterator[Broken]:
    truck, total = layout.request.truck, total_g(layout)
    if total > truck.payload_g + PAYLOAD_SLACK_G:
        message = f"{total / 1000:.1f} kg on a payload of {truck.payload_g / 1000:g} kg"
        yield Broken("R12", "payload", message, total / 1000)
    for support, gross in zip(truck.supports, supports_g(layout), strict=True):
        kg = float(gross) / 1000
        if gross < -SUPPORT_SLACK_G:
            yield Broken("R12", f"{support.name} lifted", f"{support.name} is lifted", -kg)
        if gross > support.limit_g + SUPPORT_SLACK_G:
            message = f"{support.name} carries {kg:.0f} kg, limit {support.limit_g / 1000:g} kg"
            yield Broken("R12", support.name, message, kg)
    yield from _middle(layout, total)


def supports_g(layout: Layout) -> tuple[Fraction, Fraction]:
    """What each support carries, its tare included: the load's moment about the first one."""
    one, other = layout.request.truck.supports
    twice_moment = sum(
        layout.item(tag).weight_g * (2 * body.at[0] + body.size[0] - 2 * one.x_mm)
        for tag, body in layout.pieces.items()
    )
    on_other = Fraction(twice_moment, 2 * (other.x_mm - one.x_mm))
    return one.tare_g + total_g(layout) - on_other, other.tare_g + on_other


def twice_moment_off_middle(layout: Layout) -> int:
    """Twice the load's moment about the truck's middle line, in g mm; positive to the right."""
    width = layout.request.truck.interior_mm[1]
    return sum(
        layout.item(tag).weight_g * (2 * body.at[1] + body.size[1] - width)
        for tag, body in layout.pieces.items()
    )


def _middle(layout: Layout, total: int) -> Iterator[Broken]:
    width = layout.request.truck.interior_mm[1]
    off = abs(twice_moment_off_middle(layout))
    # off / (2 total) > width / 20
    if 4 * total > layout.request.truck.payload_g and 10 * off > total * width:
        message = f"the load lies {off / (2 * total):.0f} mm off the middle"
        yield Broken("R12", "middle", message, off / 2000)
