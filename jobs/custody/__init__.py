"""What became of each piece: every tag accounted for, and the log of one piece.

Pure: events and state go in as data; the log goes out as data and as EPCIS 2.0 JSON.
"""
