"""What a body rests on, seen straight down."""

from dataclasses import dataclass

from loading.planner.checker.areas import Rectangle, area_mm2, common, covered_mm2
from loading.planner.checker.layout import GAP_UNDER_MM, TOLERANCE_MM, Body, Kind, Layout, Mask

# Rolls under a piece may be this thick in all (R4).
FILLS_UNDER_MM = 100
DECK = -1


@dataclass(frozen=True, slots=True)
class Contact:
    """A part of a bottom (x low, x high, y low, y high) and the body under it, or DECK."""

    under: int
    part: Rectangle


class Footing:
    """Contacts among those bodies that are `present` (default: all that the plan places)."""

    def __init__(self, layout: Layout, present: Mask | None = None) -> None:
        self._layout = layout
        self._present = layout.present if present is None else present

    def contacts(self, body: Body) -> list[Contact]:
        """What the body touches directly.

        A guest on a raised floor of its opening rests on its host with all its bottom; an opening
        that begins at the ground has no floor of its own. A piece does not rest on a roll that is
        too thick.
        """
        bottom = _bottom(body)
        if abs(body.at[2]) <= TOLERANCE_MM:
            return [Contact(DECK, bottom)]
        host = self._layout.hosts.get(body.index)
        if host is not None and self._present[host] and self._on_floor_of(body, host):
            return [Contact(host, bottom)]
        found = []
        for index in self._layout.under[body.index]:
            other = self._layout.bodies[index]
            if not self._present[index] or index == host or _too_thick(body, other):
                continue
            part = common(bottom, _bottom(other))
            if part is not None:
                found.append(Contact(index, part))
        return found

    def solid(self, body: Body, fills_mm: int = FILLS_UNDER_MM) -> list[Contact]:
        """What holds the body up: deck, pieces and blocked boxes, through up to `fills_mm` of
        rolls. A roll holds only where something holds it."""
        return self._solid(body, _bottom(body), fills_mm)

    def _solid(self, body: Body, part: Rectangle, fills_mm: int) -> list[Contact]:
        found: list[Contact] = []
        for contact in self.contacts(body):
            seen = common(part, contact.part)
            if seen is None:
                continue
            other = self._layout.bodies[contact.under] if contact.under != DECK else None
            if other is None or other.kind is not Kind.FILL:
                found.append(Contact(contact.under, seen))
            elif other.size[2] <= fills_mm:
                found += self._solid(other, seen, fills_mm - other.size[2])
        return found

    def held_mm2(self, body: Body) -> int:
        """How much of its bottom is held up."""
        contacts = self.contacts(body) if body.kind is Kind.FILL else self.solid(body)
        return covered_mm2(contact.part for contact in contacts)

    def _on_floor_of(self, guest: Body, host: int) -> bool:
        body = self._layout.bodies[host]
        for (x0, y0, z0), (x1, y1, _) in self._layout.openings(body.name):
            on_floor = -TOLERANCE_MM <= guest.at[2] - z0 <= GAP_UNDER_MM
            raised = z0 > body.at[2] + TOLERANCE_MM
            along = x0 - TOLERANCE_MM <= guest.at[0] and guest.end[0] <= x1 + TOLERANCE_MM
            across = y0 - TOLERANCE_MM <= guest.at[1] and guest.end[1] <= y1 + TOLERANCE_MM
            if on_floor and raised and along and across:
                return True
        return False


def shared_out(contacts: list[Contact]) -> list[tuple[int, float]]:
    """Each contact's body with its share of the whole contact area."""
    whole = sum(area_mm2(contact.part) for contact in contacts)
    return [(contact.under, area_mm2(contact.part) / whole) for contact in contacts]


def _bottom(body: Body) -> Rectangle:
    (x, y, _), (length, width, _) = body.at, body.size
    return x, x + length, y, y + width


def _too_thick(body: Body, under: Body) -> bool:
    is_roll = under.kind is Kind.FILL
    return is_roll and body.kind is not Kind.FILL and under.size[2] > FILLS_UNDER_MM
