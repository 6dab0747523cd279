"""People at work over HTTP, for tests that kill the server, fill its disk or load it.

browser.py   one signed-in browser
hands.py     what a fitter and the desk enter, and which of it was acknowledged
record.py    what the database must say afterwards
killing.py   a house that is served, worked in and killed
"""
