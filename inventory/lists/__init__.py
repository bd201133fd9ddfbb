"""Inventory lists read into plain data: no database, every fault found at once."""

from inventory.lists.csv_form import parse_csv
from inventory.lists.parsed import ParsedLane, ParsedList, ParsedPiece, ParsedVault
from inventory.lists.request_form import parse_request

__all__ = [
    "ParsedLane",
    "ParsedList",
    "ParsedPiece",
    "ParsedVault",
    "parse_csv",
    "parse_request",
]
