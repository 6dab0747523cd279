"""The ledger loaded once, which it says, and a server forked off it at each line it is given.

Loading takes two seconds, which every browser test would else pay anew. What is forked is what
`make run` starts: gunicorn, the project's own settings; its command line is this one's.
"""

import os
import signal
import sys
from importlib import import_module
from pathlib import Path

from gunicorn.app.wsgiapp import WSGIApplication


def serve() -> None:
    """Become a gunicorn at the head of a group of its own, so that all of it can be killed."""
    os.setsid()
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    os.dup2(os.open(os.devnull, os.O_RDONLY), sys.stdin.fileno())
    try:
        WSGIApplication("gunicorn [options] application").run()
    finally:
        os._exit(1)


def say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def main() -> None:
    sys.path[0] = str(Path.cwd())  # the project's top, as gunicorn itself has it
    # The application, every page's module, and how the server works.
    for name in ("fittings.config.wsgi", "fittings.config.urls", "gunicorn.workers.gthread"):
        import_module(name)
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody here waits for those killed
    say("loaded")
    for _ in sys.stdin:
        if not (child := os.fork()):
            serve()
        say(str(child))


if __name__ == "__main__":
    main()
