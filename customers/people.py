"""What the people of the house are called."""

from django.contrib.auth.models import User


def name_of(person: User | None) -> str:
    """The full name, or what they sign in by where none was entered; nothing for nobody."""
    return (person.get_full_name() or person.get_username()) if person else ""
