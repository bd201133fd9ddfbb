"""Every test session gets servers of its own, started before Django reads its settings.

With pytest-xdist only the controller starts them; the workers find their addresses in the
environment. Several sessions can run side by side in one checkout.
"""

import os
from contextlib import ExitStack

import pytest
from django.conf import settings

from config.embedded import EmbeddedError, servers_started

_running = ExitStack()


@pytest.hookimpl(tryfirst=True)
def pytest_configure(config: pytest.Config) -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    if not hasattr(config, "workerinput") and not config.option.collectonly:
        os.environ.update(_servers_environment())
    # pytest-django sets Django up after this, if the settings have been read by then.
    assert settings.DATABASES


def _servers_environment() -> dict[str, str]:
    # The pattern names every session's directory, so that leftovers of killed ones are found.
    started = servers_started(f"t{os.getpid()}", leftovers="t[0-9]*")
    try:
        return _running.enter_context(started).environment()
    except EmbeddedError as error:
        raise pytest.UsageError(str(error)) from error


def pytest_unconfigure() -> None:
    _running.close()
