"""What people set for themselves."""

from inventory.models import User


def preferences_set(*, user: User, language: str, units: str) -> User:
    """Keep the language and units in which a person reads."""
    user.language, user.units = language, units
    user.save(update_fields=["language", "units"])
    return user
