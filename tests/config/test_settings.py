"""Settings come from the environment alone; production refuses to start half configured."""

import os
import re
import subprocess
import sys

import pytest

from config.embedded.directories import CHECKOUT

PRODUCTION = {
    "TIERWRIGHT_ENV": "production",
    "TIERWRIGHT_SECRET_KEY": "k" * 40,
    "TIERWRIGHT_ALLOWED_HOSTS": "moves.example",
}


def settings_under(**variables: str) -> "subprocess.CompletedProcess[str]":
    kept = {key: os.environ[key] for key in ("PATH", "HOME") if key in os.environ}
    told = "import config.settings as s; print(s.DEBUG, s.ALLOWED_HOSTS, s.SECURE_SSL_REDIRECT)"
    return subprocess.run(
        [sys.executable, "-c", told],
        cwd=CHECKOUT,
        env=kept | variables,
        capture_output=True,
        text=True,
        check=False,
    )


def test_development_needs_no_variable() -> None:
    read = settings_under()

    assert (read.returncode, read.stdout.split()[0]) == (0, "True"), read.stderr


def test_an_empty_variable_is_no_address() -> None:
    assert settings_under(DATABASE_URL="", REDIS_URL="").returncode == 0


def test_production_starts_with_a_key_and_hosts() -> None:
    read = settings_under(**PRODUCTION)

    assert read.stdout.strip() == "False ['moves.example'] True", read.stderr


@pytest.mark.parametrize(
    ("variable", "value"),
    [
        ("TIERWRIGHT_SECRET_KEY", ""),
        ("TIERWRIGHT_SECRET_KEY", "short"),
        ("TIERWRIGHT_ALLOWED_HOSTS", ""),
        ("TIERWRIGHT_DEBUG", "true"),
        ("TIERWRIGHT_ENV", "prodution"),
        ("DATABASE_URL", "sqlite:///moves.db"),
    ],
)
def test_production_refuses_and_names_the_variable(variable: str, value: str) -> None:
    read = settings_under(**PRODUCTION | {variable: value})

    assert read.returncode != 0
    assert variable in read.stderr.splitlines()[-1]


def test_the_example_lists_every_variable() -> None:
    source = (CHECKOUT / "config" / "settings.py").read_text()
    read = set(re.findall(r'env\.\w+\(\s*"([A-Z_]+)"', source)) | {"NUMBA_CACHE_DIR"}
    listed = set(re.findall(r"^([A-Z_]+)=", (CHECKOUT / ".env.example").read_text(), re.M))

    assert listed == read
