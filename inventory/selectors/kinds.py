"""The catalogue of kinds, for people and for matching names."""

from django.db.models import Q, QuerySet

from inventory.catalogue import UNLISTED
from inventory.lists.kind_names import KindNames, name_words
from inventory.models import ItemKind


def kind_names() -> KindNames:
    """Give all names of all kinds of the company, ready for matching."""
    pairs = [
        (name, kind.code)
        for kind in ItemKind.objects.all()
        for name in (kind.name, kind.code.replace("-", " "), *kind.words)
    ]
    return KindNames(pairs, UNLISTED)


def kind_list(*, words: str = "") -> QuerySet[ItemKind]:
    """Give the kinds whose name has all the words."""
    kinds = ItemKind.objects.order_by("name")
    for word in name_words(words):
        kinds = kinds.filter(Q(name__icontains=word) | Q(words__icontains=word))
    return kinds
