"""What somebody typed and sent after their sign-in had ended, carried through signing in again.

It goes with the pages of signing in, signed, and is kept nowhere: who signs in sends it with one
more tap, as themselves. Passwords, PINs, codes and files are not carried.
"""

from dataclasses import asdict, dataclass
from typing import Any

from django.core import signing
from django.http import HttpRequest

SALT = "carried"
LONGEST = 12 * 60 * 60  # seconds it may wait for somebody
MOST_LETTERS = 64 * 1024
SECRET = {"pin", "again", "code"}  # and any password
NEVER = {"csrfmiddlewaretoken", "carried"}


@dataclass(frozen=True)
class Carried:
    """A form on its way: its address, its fields in order, whose it is ("" when nobody knows)."""

    to: str
    fields: list[list[str]]
    by: str = ""
    without: bool = False  # files that were sent with it must be chosen again
    secret: bool = False  # a password, PIN or code was, and must be typed again

    def sealed(self) -> str:
        return signing.dumps(asdict(self), salt=SALT, compress=True)

    @property
    def shown(self) -> list[tuple[str, str]]:
        """What stands in it, for people: no ids, no empty fields."""
        hidden = {"entry_id", "form_id", "version", "next"}
        return [
            (name.replace("_", " ").replace("-", " ").capitalize(), value)
            for name, value in self.fields
            if value.strip() and name not in hidden
        ]


def taken_along(request: HttpRequest, by: str) -> Carried | None:
    """What a form says, to be carried; a lone button says something too. None for too much."""
    left = {name for name in request.POST if name in SECRET or "password" in name}
    fields = [
        [name, value]
        for name, values in request.POST.lists()
        if name not in left | NEVER
        for value in values
    ]
    if sum(len(name) + len(value) for name, value in fields) > MOST_LETTERS:
        return None
    secret = any(request.POST[name] for name in left)
    return Carried(request.get_full_path(), fields, by, without=bool(request.FILES), secret=secret)


def opened(sealed: str) -> Carried | None:
    """What was sealed, if it is ours, whole and not too old."""
    try:
        said: dict[str, Any] = signing.loads(sealed, salt=SALT, max_age=LONGEST)
    except signing.BadSignature:
        return None
    return Carried(**said)


def carried_in(request: HttpRequest) -> Carried | None:
    """What the page that was sent carries."""
    return opened(request.POST.get("carried", ""))
