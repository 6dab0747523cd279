"""What the house holds of a person: shown, handed over, erased, and kept no longer than its rule.

holdings.py    the one table of what is held of a customer, with the words people write freely
exporting.py   all of it in one file a person can read
standing.py    what is open and stands in the way of erasing
erasing.py     the services that erase, each with its entry
way_past.py    SQL for migrations: how far the guards let an erasure go
sweeping.py    what is left on the disk after it: picture files, freed space, sessions
remembered.py  the erased numbers outside the database, for older copies brought back
keeping.py     the owner's rule and who is due by it
watching.py    the middleware that keeps who saw whom
audit.py       who saw and who changed what
"""
