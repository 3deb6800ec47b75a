"""The HTTP door: FHIR operations for hosts that aren't in Python. It stores nothing and knows nobody.

app.py        requests in, answers out: what is asked, how much may be sent, what is logged
workers.py    processes that do the work, each stopped when it takes too long
worker.py     one of them
work.py       what it does: bytes in, bytes out, by the library's own doors
"""
