"""The one way in for people of the house: add one, change what they may do, let them go."""

import logging
from collections.abc import Iterable
from typing import Any

from axes.utils import reset
from django.contrib.auth.models import Group, User
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from customers.people import name_of
from customers.versions import save_unless_changed
from fittings.accounts.hands import drop_pin
from fittings.accounts.sessions import end_sessions_of
from fittings.accounts.watching import name_tried
from fittings.config.access import EVERYONE, OWNER
from fittings.models import PersonChange, SignInRules

logger = logging.getLogger("ledger.accounts")

LONGEST = 300  # characters of one entry


@transaction.atomic
def add_person(
    *,
    username: str,
    first_name: str,
    last_name: str,
    password: str,
    roles: Iterable[str],
    email: str = "",
    by: User | None,
) -> User:
    """Add someone who can sign in, with at least one role; ``by`` nobody at the machine itself."""
    person = User(username=username, first_name=first_name, last_name=last_name, email=email)
    person.set_password(password)
    person.full_clean()
    try:
        with transaction.atomic():
            person.save()
    except IntegrityError as error:  # someone took the name meanwhile
        raise ValidationError({"username": "Someone already signs in with this name."}) from error
    _set_roles(person, roles)
    said = f"let in as {_work_of(person)}" + ("" if by else ", at the machine")
    _note(person, name_of(person), [said], by or person)
    return person


@transaction.atomic
def change_person(
    *,
    person: User,
    first_name: str,
    last_name: str,
    roles: Iterable[str],
    active: bool,
    password: str = "",
    email: str | None = None,
    by: User,
) -> User:
    """Change name, roles, whether they may sign in and, when given, e-mail and password.

    Who may no longer sign in, or has a new password, is signed out everywhere at once and has no
    PIN any more; a new password also lets them try again when too many wrong ones have shut their
    name. It leaves their second factor as it is: that is removed by a button of its own. The last
    owner who can sign in stays an owner: a house nobody can review or open again is refused.
    """
    _keep_one_owner(person, still_owner=active and OWNER in set(roles))
    before, another = _told(User.objects.get(pk=person.pk)), False
    person.first_name, person.last_name, person.is_active = first_name, last_name, active
    if email is not None:
        person.email = email
    if password:
        another = not person.check_password(password)  # the same form sent twice is one change
        person.set_password(password)
    person.full_clean()
    person.save()
    _set_roles(person, roles)
    if not active or password:
        end_sessions_of(person)
        drop_pin(person=person)
    if password:
        reset(username=name_tried(None, {"username": person.username}))
    rows = zip(_told(person), before, strict=True)
    said = [words for (now, words), (old, _) in rows if now != old]
    _note(person, str(before[0][0]), [*said, *(["new password"] if another else [])], by)
    return person


def _note(person: User, name: str, said: Iterable[str], by: User) -> None:
    """An entry of what was changed of who had that name; none where nothing was."""
    if told := "; ".join(said):
        PersonChange(person=person, said=f"{name}: {told}"[:LONGEST], by=by).save(force_insert=True)
        logger.info("person=%s changed by=%s", person.pk, by.pk)


def _told(person: User) -> list[tuple[object, str]]:
    """What can be changed of somebody, and what is said of it once it is. No address is told."""
    work, name = _work_of(person), name_of(person)
    may = "may sign in again" if person.is_active else "may not sign in any more"
    return [
        (name, f"called {name}"),
        (work, f"works as {work}"),
        (person.is_active, may),
        (person.email, "another e-mail"),
    ]


def _work_of(person: User) -> str:
    return ", ".join(person.groups.order_by("name").values_list("name", flat=True))


def _keep_one_owner(person: User, *, still_owner: bool) -> None:
    if still_owner or not person.groups.filter(name=OWNER).exists():
        return
    others = User.objects.filter(groups__name=OWNER, is_active=True).exclude(pk=person.pk)
    if not others.exists():
        raise ValidationError("The house needs at least one owner who can sign in.")


def _set_roles(person: User, roles: Iterable[str]) -> None:
    wanted = set(roles)
    if not wanted or wanted - EVERYONE:
        raise ValidationError({"roles": "Choose at least one kind of work."})
    person.groups.set(Group.objects.filter(name__in=wanted))


@transaction.atomic
def change_sign_in_rules(*, version: int, values: dict[str, Any]) -> None:
    """Change how long a sign-in lasts, from the next one on.

    ``ChangedMeanwhileError`` when another owner did so first.
    """
    save_unless_changed(SignInRules.get(), version=version, values=values)
