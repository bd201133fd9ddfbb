"""What the pages of the floor show, a board per page, each in a fixed number of queries."""

from jobs.selectors.boards.day import DayLine, JobBoard, day_board, job_board
from jobs.selectors.boards.fits import FitsBoard, fits_board
from jobs.selectors.boards.hands import HandsBoard, hands_board
from jobs.selectors.boards.helper import HelperBoard, helper_board
from jobs.selectors.boards.loader import LoaderBoard, LoaderLine, loader_board
from jobs.selectors.boards.sheet import SheetBoard, sheet_board, sheet_tasks
from jobs.selectors.boards.tasks import TaskLine, tasks_board
from jobs.selectors.boards.versions import VersionsBoard, versions_board
from jobs.selectors.boards.warehouse import PullEntry, WarehouseBoard, warehouse_board
from jobs.selectors.boards.whole import WholeBoard, whole_board

__all__ = [
    "DayLine",
    "FitsBoard",
    "HandsBoard",
    "HelperBoard",
    "JobBoard",
    "LoaderBoard",
    "LoaderLine",
    "PullEntry",
    "SheetBoard",
    "TaskLine",
    "VersionsBoard",
    "WarehouseBoard",
    "WholeBoard",
    "day_board",
    "fits_board",
    "hands_board",
    "helper_board",
    "job_board",
    "loader_board",
    "sheet_board",
    "sheet_tasks",
    "tasks_board",
    "versions_board",
    "warehouse_board",
    "whole_board",
]
