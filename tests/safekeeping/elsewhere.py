from django.core.files.base import ContentFile
from django.core.files.storage import Storage
from django.utils import timezone


class Elsewhere(Storage):
    """A storage as those on a network are: no file of it has a path on this machine."""

    def __init__(self):
        self.files = {}

    def _open(self, name, mode="rb"):
        if name not in self.files:
            raise FileNotFoundError(name)
        return ContentFile(self.files[name][0], name)

    def _save(self, name, content):
        self.files[name] = (content.read(), timezone.now())
        return name

    def exists(self, name):
        return name in self.files

    def delete(self, name):
        self.files.pop(name, None)

    def get_modified_time(self, name):
        return self.files[name][1]

    def listdir(self, path):
        below = [name.removeprefix(path) for name in self.files if name.startswith(path)]
        folders = {name.partition("/")[0] for name in below if "/" in name}
        return sorted(folders), [name for name in below if "/" not in name]
