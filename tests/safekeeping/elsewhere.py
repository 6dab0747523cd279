from django.core.files.storage import InMemoryStorage


class Elsewhere(InMemoryStorage):
    """A storage as those on a network are: no file of it has a path on this machine."""

    def path(self, name):
        raise NotImplementedError
