"""What a box rests on and what it presses on, in whole grams and square millimetres.

Loads are shared out by contact area, each share rounded up: what is judged light enough here is so
by the contract too.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from loading.planner.checker.areas import Rectangle, area_mm2, common, covered_mm2
from loading.planner.fitting.standing import GAP_UNDER_MM, TOLERANCE_MM, Box, Standing

# Rolls under a piece may be this thick in all (contract R4).
ROLLS_UNDER_MM = 100
DECK = -1


@dataclass(frozen=True, slots=True)
class Contact:
    """A part of a bottom (x low, x high, y low, y high) and the box under it, or DECK."""

    under: int
    part: Rectangle


class Footing:
    """Contacts and loads among what stands."""

    def __init__(self, standing: Standing) -> None:
        self.standing = standing

    def contacts(self, box: Box, under: Sequence[int]) -> list[Contact]:
        """What a box touches with its bottom; `under` are those whose tops are near enough.

        A guest on a raised floor of its opening rests on its host with all its bottom. A piece
        does not rest on a roll that is too thick.
        """
        bottom = bottom_of(box)
        if abs(box.at[2]) <= TOLERANCE_MM:
            return [Contact(DECK, bottom)]
        host = self.standing.index.get(box.inside) if box.inside is not None else None
        if host is not None and self._on_floor_of(box, host):
            return [Contact(host, bottom)]
        found = []
        for index in under:
            other = self.standing.boxes[index]
            thick = other.is_roll and not box.is_roll and other.size[2] > ROLLS_UNDER_MM
            part = common(bottom, bottom_of(other))
            if index != host and not thick and part is not None:
                found.append(Contact(index, part))
        return found

    def solid(self, box: Box, under: Sequence[int], rolls_mm: int) -> list[Contact]:
        """What holds a box up: deck, pieces and what is in the way, through up to `rolls_mm`."""
        return self._through(self.contacts(box, under), bottom_of(box), rolls_mm)

    def _through(
        self, contacts: Sequence[Contact], part: Rectangle, rolls_mm: int
    ) -> list[Contact]:
        found: list[Contact] = []
        for contact in contacts:
            seen = common(part, contact.part)
            if seen is None:
                continue
            roll = self.standing.boxes[contact.under] if contact.under != DECK else None
            if roll is None or not roll.is_roll:
                found.append(Contact(contact.under, seen))
            elif roll.size[2] <= rolls_mm:
                below = self.contacts(roll, self.standing.under[contact.under])
                found += self._through(below, seen, rolls_mm - roll.size[2])
        return found

    def _on_floor_of(self, guest: Box, host: int) -> bool:
        body = self.standing.boxes[host]
        for (x0, y0, z0), (x1, y1, _) in self.standing.openings(body.name):
            on_floor = -TOLERANCE_MM <= guest.at[2] - z0 <= GAP_UNDER_MM
            raised = z0 > body.at[2] + TOLERANCE_MM
            along = x0 - TOLERANCE_MM <= guest.at[0] and guest.end[0] <= x1 + TOLERANCE_MM
            across = y0 - TOLERANCE_MM <= guest.at[1] and guest.end[1] <= y1 + TOLERANCE_MM
            if on_floor and raised and along and across:
                return True
        return False

    @cached_property
    def rests(self) -> tuple[tuple[Contact, ...], ...]:
        """For each piece what it presses on, through rolls of any number; nothing for others."""
        height = self.standing.request.truck.interior_mm[2]
        return tuple(
            tuple(self.solid(box, self.standing.under[n], height)) if box.item else ()
            for n, box in enumerate(self.standing.boxes)
        )

    @cached_property
    def carried_g(self) -> tuple[int, ...]:
        """What rests on each box in all, directly and through others."""
        on = [0] * len(self.standing.boxes)
        order = sorted(range(len(on)), key=lambda n: -self.standing.boxes[n].at[2])
        for n in order:
            item = self.standing.boxes[n].item
            if item is not None:
                for under, grams in shared_out(self.rests[n], item.weight_g + on[n]):
                    on[under] += grams
        return tuple(on)

    def pressed_g(self, contacts: Sequence[Contact], weight_g: int) -> Mapping[int, int]:
        """What each box carries in all, of those that bear some of a further piece."""
        more: dict[int, int] = {}
        waiting: list[tuple[int, int]] = []
        self._press(contacts, weight_g, more, waiting)
        while waiting:
            _, n = heapq.heappop(waiting)
            self._press(self.rests[n], more[n], more, waiting)
        return {n: self.carried_g[n] + grams for n, grams in more.items()}

    def _press(
        self,
        contacts: Sequence[Contact],
        weight_g: int,
        more: dict[int, int],
        waiting: list[tuple[int, int]],
    ) -> None:
        for under, grams in shared_out(contacts, weight_g):
            if under not in more:
                more[under] = 0
                heapq.heappush(waiting, (-self.standing.boxes[under].at[2], under))
            more[under] += grams


def held_mm2(contacts: Sequence[Contact]) -> int:
    """How much of a bottom is held up."""
    return covered_mm2(contact.part for contact in contacts)


def shared_out(contacts: Sequence[Contact], weight_g: int) -> list[tuple[int, int]]:
    """Each box under a piece with its share of a weight by contact area; the deck is left out."""
    whole = sum(area_mm2(contact.part) for contact in contacts)
    return [
        (contact.under, -(-weight_g * area_mm2(contact.part) // whole))
        for contact in contacts
        if contact.under != DECK
    ]


def bottom_of(box: Box) -> Rectangle:
    return box.at[0], box.end[0], box.at[1], box.end[1]
