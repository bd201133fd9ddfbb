"""People as requests name them."""

from django.utils.translation import gettext as _
from rest_framework.exceptions import ValidationError

from inventory.models import User


def user_named(username: str) -> User:
    """Who signs in by that name; refused as `person` if nobody does."""
    user = User.objects.filter(username=username).first()
    if user is None:
        raise ValidationError(
            {"person": [_("nobody signs in as %(username)s") % {"username": username}]}
        )
    return user
