"""How gunicorn serves the ledger; what stands on its command line wins.

Two processes of four threads are plenty for a house with five tablets, and SQLite takes one writer
at a time anyway.
"""

bind = "127.0.0.1:8000"
worker_class = "gthread"
workers = 2
threads = 4
loglevel = "warning"
control_socket_disable = True


def post_worker_init(_worker: object) -> None:
    """Begin what a process does besides serving. Imported here: Django is loaded by now."""
    from fittings.review import ahead  # noqa: PLC0415

    ahead.begin()
