"""The dock between warehouse and truck: floor and spots over time, pads, and what would help."""

from loading.planner.dockside.advice import DockTrial, TimeSaved, dock_trials, time_saved
from loading.planner.dockside.forklift import (
    Call,
    Evening,
    Served,
    Shift,
    calls_of,
    evening_before,
    inbound_call,
    serve,
    without,
)
from loading.planner.dockside.pace import Pace, Span, spans, takes_s
from loading.planner.dockside.pads import PadBatch, PadMoment, PadSwap, pad_swap
from loading.planner.dockside.timeline import Moment, Timeline, Wait, timeline

__all__ = [
    "Call",
    "DockTrial",
    "Evening",
    "Moment",
    "Pace",
    "PadBatch",
    "PadMoment",
    "PadSwap",
    "Served",
    "Shift",
    "Span",
    "TimeSaved",
    "Timeline",
    "Wait",
    "calls_of",
    "dock_trials",
    "evening_before",
    "inbound_call",
    "pad_swap",
    "serve",
    "spans",
    "takes_s",
    "time_saved",
    "timeline",
    "without",
]
