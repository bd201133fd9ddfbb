"""Lanes of a branch, and where its vaults stand."""

from collections import Counter

from django.db import transaction
from django.utils.translation import gettext as _

from inventory.errors import PlaceRefusedError, ReferenceTakenError
from inventory.models import Branch, Lane, Vault


@transaction.atomic
def lane_create(*, branch: Branch, name: str, depth: int, levels: int) -> Lane:
    """Add a lane; the same lane twice is the same.

    Raises
    ------
    ReferenceTakenError : the branch has a lane of that name and another size.
    """
    lane, new = Lane.objects.get_or_create(
        branch=branch, name=name, defaults={"depth": depth, "levels": levels}
    )
    if not new and (lane.depth, lane.levels) != (depth, levels):
        raise ReferenceTakenError(name)
    return lane


@transaction.atomic
def vault_place(*, vault: Vault, lane: Lane | None, depth: int | None, level: int | None) -> Vault:
    """Say where a vault stands now; without a lane it stands in none.

    Raises
    ------
    PlaceRefusedError : the lane is another branch's, the place is outside it, taken, or in the air.
    """
    Branch.objects.select_for_update().get(pk=vault.branch_id)
    if lane is None:
        depth = level = None
    else:
        _refuse_place(vault, lane, depth, level)
    vault.lane, vault.depth, vault.level = lane, depth, level
    vault.save(update_fields=["lane", "depth", "level"])
    return vault


def _refuse_place(vault: Vault, lane: Lane, depth: int | None, level: int | None) -> None:
    if lane.branch_id != vault.branch_id:
        raise PlaceRefusedError(
            vault.code, _("lane %(name)s is of another branch") % {"name": lane.name}
        )
    if not depth or not level or depth > lane.depth or level > lane.levels:
        reason = _("lane %(name)s is %(depth)s deep and %(levels)s high") % {
            "name": lane.name,
            "depth": lane.depth,
            "levels": lane.levels,
        }
        raise PlaceRefusedError(vault.code, reason)
    others = {
        other.level: other.code
        for other in Vault.objects.filter(lane=lane, depth=depth).exclude(pk=vault.pk)
    }
    if level in others:
        raise PlaceRefusedError(
            vault.code, _("vault %(others)s stands there") % {"others": others[level]}
        )
    if level > 1 and level - 1 not in others:
        raise PlaceRefusedError(vault.code, _("nothing is below it there"))


@transaction.atomic
def vault_stow(*, vault: Vault, lane: Lane) -> Vault:
    """Put a vault onto the front stack of a lane, or before it where that is full.

    Raises
    ------
    PlaceRefusedError : the lane is full, or another branch's.
    """
    Branch.objects.select_for_update().get(pk=vault.branch_id)
    standing = Vault.objects.filter(lane=lane).exclude(pk=vault.pk)
    heights = Counter(standing.values_list("depth", flat=True))
    front = min((depth for depth in heights if depth is not None), default=lane.depth + 1)
    if front <= lane.depth and heights[front] < lane.levels:
        return vault_place(vault=vault, lane=lane, depth=front, level=heights[front] + 1)
    if front <= 1:
        raise PlaceRefusedError(vault.code, _("lane %(name)s is full") % {"name": lane.name})
    return vault_place(vault=vault, lane=lane, depth=front - 1, level=1)
