"""Pure: what an event may say, and how events become a job's state.

`kinds` is the closed list of events and their payloads, `reading` parses what a phone sends,
`folding` folds them into a `state` (its handlers: `pieces`, `goods`, `vaults`, `truck`, `people`),
`conflicts` tells what contradicts the plan or what was known before, `outcome` which tasks are
done.
"""

from jobs.folding.conflicts import PlanFacts, conflict_of, plan_facts
from jobs.folding.folding import advance, apply, fold
from jobs.folding.kinds import EventKind
from jobs.folding.outcome import TaskOutcome, task_outcomes
from jobs.folding.reading import Malformed, ReportedEvent, read_event
from jobs.folding.state import FoldEvent, State, empty_state

__all__ = [
    "EventKind",
    "FoldEvent",
    "Malformed",
    "PlanFacts",
    "ReportedEvent",
    "State",
    "TaskOutcome",
    "advance",
    "apply",
    "conflict_of",
    "empty_state",
    "fold",
    "plan_facts",
    "read_event",
    "task_outcomes",
]
