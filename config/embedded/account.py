"""The account PostgreSQL runs under: it refuses root, and an id without a name.

In both cases there is a user namespace in which we look like the account nobody, which every
system has; as root, also that account itself. Containers may bar the first; the second cannot
read a checkout under /root.
"""

import os
import pwd
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

from config.embedded.errors import AccountRefusedError


@dataclass(frozen=True, slots=True)
class Account:
    """How to start a program: words put before its command, and who must own its files."""

    prefix: tuple[str, ...] = ()
    owner: tuple[int, int] | None = None


def postgres_account(program: Path, directory: Path) -> Account:
    """The first account under which `program` runs and can reach `directory`'s parent."""
    if os.geteuid() != 0 and _has_name(os.geteuid()):
        return Account()
    tried = []
    for account in _accounts():
        command = [*account.prefix, str(program), "--version"]
        trial = subprocess.run(command, capture_output=True, text=True, check=False)
        if trial.returncode == 0 and _reaches(account, directory.parent):
            return account
        tried.append(f"{account.prefix[0]}: {trial.stderr.strip()[-200:] or 'no way to its files'}")
    raise AccountRefusedError("; ".join(tried) or "neither unshare nor setpriv is installed")


def _has_name(uid: int) -> bool:
    try:
        return bool(pwd.getpwuid(uid))
    except KeyError:
        return False


def _accounts() -> list[Account]:
    found = []
    nobody = pwd.getpwnam("nobody")
    if unshare := shutil.which("unshare"):
        found.append(Account((unshare, "--user", f"--map-user={nobody.pw_uid}")))
    if os.geteuid() == 0 and (setpriv := shutil.which("setpriv")):
        words = (f"--reuid={nobody.pw_uid}", f"--regid={nobody.pw_gid}", "--clear-groups")
        found.append(Account((setpriv, *words), (nobody.pw_uid, nobody.pw_gid)))
    return found


def _reaches(account: Account, directory: Path) -> bool:
    command = [*account.prefix, "test", "-x", str(directory)]
    return subprocess.run(command, capture_output=True, check=False).returncode == 0
