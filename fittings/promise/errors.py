"""What the promise engine refuses, in a sentence for the person who asked."""


class PromiseError(ValueError):
    """Dates, benches or stages no promise can be made from; the message says which and why."""
