"""Finding goods by what somebody scans, reads off a label or remembers."""

from dataclasses import dataclass

from django.db.models import Q

from inventory.labels.codes import TagCode, TypedText, VaultCode, parse_code
from inventory.models import Branch, Item, Shipment, Vault
from inventory.selectors.stored import item_list, shipment_list, vault_list

MOST = 100


@dataclass(frozen=True, slots=True)
class Found:
    """What was found of each sort, at most `MOST` of each; `more` if pieces were left out."""

    items: tuple[Item, ...] = ()
    vaults: tuple[Vault, ...] = ()
    shipments: tuple[Shipment, ...] = ()
    more: bool = False

    @property
    def nothing(self) -> bool:
        return not (self.items or self.vaults or self.shipments)


def goods_search(*, branch: Branch, said: str) -> Found:
    """Find goods by a label's code, a tag number, a vault's code, a reference, or words of a name.

    Raises
    ------
    CodeUnreadableError : a label's code with a wrong check character.
    """
    code = parse_code(said)
    branches = Branch.objects.filter(pk=branch.pk)
    if isinstance(code, VaultCode):
        return Found(vaults=tuple(vault_list(branches=branches).filter(code__iexact=code.code)))
    if isinstance(code, TagCode):
        items = item_list(branches=branches, tag=code.number, color=code.label_color)
        return Found(items=tuple(items.filter(tags__lot_number__iexact=code.lot_number).distinct()))
    return _by_text(branch, code)


def _by_text(branch: Branch, typed: TypedText) -> Found:
    branches = Branch.objects.filter(pk=branch.pk)
    number = typed.tag_number
    items = (
        item_list(branches=branches, tag=number)
        if number
        else item_list(branches=branches, words=typed.said)
    )
    some = list(items[: MOST + 1])
    named = Q(reference__icontains=typed.said) | Q(lot_number__iexact=typed.said)
    return Found(
        items=tuple(some[:MOST]),
        vaults=tuple(vault_list(branches=branches).filter(code__icontains=typed.said)[:MOST]),
        shipments=tuple(
            shipment_list(branches=branches).filter(named | Q(shipper_name__icontains=typed.said))[
                :MOST
            ]
        ),
        more=len(some) > MOST,
    )
