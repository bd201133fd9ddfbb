"""What can end the demo early."""

from pathlib import Path


class DemoError(Exception):
    """The parent of every early end."""


class ChildEndedError(DemoError):
    """A process that should have gone on has ended; the end of its log is in the message."""

    def __init__(self, name: str, log: Path) -> None:
        tail = log.read_text(errors="replace")[-2000:]
        super().__init__(f"the {name} has ended by itself:\n{tail}")


class ChildSilentError(DemoError):
    """A process does not do in time what it should; the end of its log is in the message."""

    def __init__(self, name: str, log: Path) -> None:
        tail = log.read_text(errors="replace")[-2000:]
        super().__init__(f"the {name} does not answer:\n{tail}")


class PlanFailedError(DemoError):
    """A job of the scenario got no plan."""

    def __init__(self, reference: str, status: str, problem: object) -> None:
        super().__init__(f"{reference} got no plan: {status} {problem}")
