"""Which branches a person may see."""

from django.contrib.auth.models import AnonymousUser
from django.db.models import QuerySet

from inventory.models import Branch, User
from inventory.permissions import user_may


def branch_visible(*, user: User | AnonymousUser) -> QuerySet[Branch]:
    """Give the branches of which a person may read the inventory."""
    if not isinstance(user, User):
        return Branch.objects.none()
    near = Branch.objects.all() if user.is_superuser else Branch.objects.filter(roles__user=user)
    seen = [
        branch.pk
        for branch in near.distinct()
        if user_may(user=user, branch=branch, action="inventory.read")
    ]
    return Branch.objects.filter(pk__in=seen)
