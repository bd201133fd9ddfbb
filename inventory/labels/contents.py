"""What stands on the labels of pieces and vaults."""

from collections.abc import Iterable

from django.utils.translation import gettext as _

from inventory.labels.codes import tag_code, vault_code
from inventory.labels.sheets import Label
from inventory.models import Item, Vault


def item_labels(items: Iterable[Item]) -> list[Label]:
    """Give a label for each piece that has a tag, by lot and number. Prefetch `tags`."""
    tagged = [(item, item.current_tag) for item in items]
    labels = [
        (
            (tag.lot_number, tag.label_color, len(tag.number), tag.number),
            Label(
                code=tag_code(
                    lot_number=tag.lot_number, label_color=tag.label_color, number=tag.number
                ),
                large=tag.number,
                lines=(
                    _("lot %(lot)s, %(color)s") % {"lot": tag.lot_number, "color": tag.label_color},
                    item.name,
                    item.shipment.reference,
                ),
            ),
        )
        for item, tag in tagged
        if tag is not None
    ]
    return [label for _key, label in sorted(labels, key=lambda entry: entry[0])]


def vault_labels(vaults: Iterable[Vault]) -> list[Label]:
    """Give a label for each vault. No name of a customer stands on it."""
    return [
        Label(code=vault_code(code=vault.code), large=vault.code, lines=(_("vault"),))
        for vault in vaults
    ]
