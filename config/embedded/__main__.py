"""Run a command beside the embedded servers: `python -m config.embedded [NAME] -- COMMAND …`.

Without a command the servers run until Ctrl-C. NAME is the directory in `.run` (default `dev`, the
one that the settings expect); its data is kept.
"""

import os
import signal
import subprocess
import sys

from config.embedded.errors import EmbeddedError
from config.embedded.servers import servers_started


def main(arguments: list[str]) -> int:
    """Start the servers, run the command, return its exit status; 2 when they cannot start."""
    cut = arguments.index("--") if "--" in arguments else len(arguments)
    name, command = (arguments[:cut] or ["dev"])[0], arguments[cut + 1 :]
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    try:
        with servers_started(name, keep=True) as servers:
            if command:
                variables = os.environ | servers.environment()
                return subprocess.run(command, env=variables, check=False).returncode
            print(f"DATABASE_URL={servers.database_url}\nREDIS_URL={servers.redis_url}", flush=True)
            signal.pause()
    except EmbeddedError as error:
        print(error, file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
