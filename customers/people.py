"""What the people of the house are called, and whom the house does not know any more."""

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError

from customers.models import Customer

ERASED = "This person was erased from the ledger. Who comes again is registered as someone new."


def name_of(person: User | None) -> str:
    """The full name, or what they sign in by where none was entered; nothing for nobody."""
    return (person.get_full_name() or person.get_username()) if person else ""


def refuse_erased(customer: Customer) -> None:
    """ValidationError when nothing may be entered about the customer any more."""
    if customer.erased_at is not None:
        raise ValidationError(ERASED)
