"""The catalogue of kinds, for people and for matching names."""

from inventory.catalogue import UNLISTED
from inventory.lists.kind_names import KindNames
from inventory.models import ItemKind


def kind_names() -> KindNames:
    """Give all names of all kinds of the company, ready for matching."""
    pairs = [
        (name, kind.code)
        for kind in ItemKind.objects.all()
        for name in (kind.name, kind.code.replace("-", " "), *kind.words)
    ]
    return KindNames(pairs, UNLISTED)
