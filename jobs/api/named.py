"""People as requests name them."""

from django.utils.translation import gettext as _
from rest_framework.exceptions import ValidationError

from inventory.models import User


def user_named(username: str, *, field: str) -> User:
    """Who signs in by that name; the fault of the request's `field` if nobody does."""
    user = User.objects.filter(username=username).first()
    if user is None:
        raise ValidationError({field: [_("nobody signs in as %(name)s") % {"name": username}]})
    return user
