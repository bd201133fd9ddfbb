"""Which branches a person may see."""

from django.contrib.auth.models import AnonymousUser
from django.db.models import QuerySet

from inventory.models import Branch, User
from inventory.permissions import branches_where


def branch_visible(*, user: User | AnonymousUser) -> QuerySet[Branch]:
    """Give the branches of which a person may read the inventory."""
    return branches_where(user=user, action="inventory.read")
