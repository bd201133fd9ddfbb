"""Under which names the demo is served."""

import socket
from dataclasses import dataclass

LOCAL = ("localhost", "127.0.0.1")


@dataclass(frozen=True, slots=True)
class Site:
    """A port of this machine, and, when the building may come too, the names it has there."""

    port: int
    names: tuple[str, ...] = ()

    @property
    def is_lan(self) -> bool:
        return bool(self.names)

    @property
    def hosts(self) -> tuple[str, ...]:
        return (*LOCAL, *self.names)

    @property
    def listen(self) -> str:
        return "0.0.0.0" if self.is_lan else "127.0.0.1"

    @property
    def home(self) -> str:
        if self.is_lan:
            return f"https://{self.names[0]}:{self.port}"
        return f"http://localhost:{self.port}"


def lan_names() -> tuple[str, ...]:
    """This machine's address in its network, first, and its name there.

    No packet is sent: connecting a datagram socket only asks which way one would go (the address
    is one of those kept for documentation, RFC 5737).
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        try:
            way.connect(("192.0.2.1", 9))
            address = way.getsockname()[0]
        except OSError:
            address = "127.0.0.1"
    return (address, socket.gethostname())
