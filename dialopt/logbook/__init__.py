"""The logbook: storage, migrations, import and export.

`dialopt.logbook.book.Logbook` is the way in. Nothing here imports numpy, pandas or scipy: logging a shot is quick.
"""
