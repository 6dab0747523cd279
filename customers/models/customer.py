"""Customers, what they agreed to, and the house's own settings."""

import uuid

from django.core.validators import MinLengthValidator, MinValueValidator, RegexValidator
from django.db import models
from django.urls import reverse
from django.utils import timezone

from customers.ledger import LedgerEntry
from customers.numbers import beginnings
from customers.searching import PHONE_END, digits, fold, phone_part

PREFIX = "C"  # of a customer's number
SHORTEST_PHONE = 6  # digits: fewer are no number to know a person by
readable = RegexValidator(
    r"[<>\x00-\x1f\x7f]", "Leave out < and > and hidden characters.", inverse_match=True
)
telephone = RegexValidator(
    r"\A[0-9 +()./-]*\Z", "Write the number in figures, like 01632 960 101 or +44 1632 960101."
)


class Unit(models.TextChoices):
    INCHES = "in", "inches and eighths"
    CENTIMETRES = "cm", "centimetres"


class House(models.Model):
    """The house's own settings: one row, made by a migration."""

    name = models.CharField(max_length=80, default="The house", validators=[readable])
    address = models.TextField(max_length=300, blank=True, default="")
    unit = models.CharField(max_length=2, choices=Unit.choices, default=Unit.INCHES)
    opens = models.TimeField(default="09:00")
    closes = models.TimeField(default="18:00")
    minute_cost = models.DecimalField(
        max_digits=8, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    metre_cost = models.DecimalField(
        max_digits=8, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(closes__gt=models.F("opens")), name="house_closes_after_it_opens"
            )
        ]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def get(cls) -> "House":
        """The one row, made with its defaults where a database has none yet."""
        house = cls.objects.first()
        return house or cls.objects.create()

    @classmethod
    def take_turns(cls) -> None:
        """Hold the house's row until the transaction ends: the next one who asks waits here.

        SQLite lets one writer in at BEGIN; PostgreSQL lets many, and this puts them in a row.
        """
        held = cls.objects.select_for_update(no_key=True).values_list("pk", flat=True)
        if held.first() is None:
            cls.objects.create()


def folded_name(given_name: str, family_name: str) -> str:
    """The name as it is searched: every word begins after a space."""
    return f" {fold(given_name)} {fold(family_name)}"[:200]


class CustomerQuerySet(models.QuerySet["Customer"]):
    def matching(self, text: str) -> "CustomerQuerySet":
        """Customers whose name (words in any order), number or phone is what was typed so far.

        Matching is on folded text, so ``ozge`` finds Özge; spaces and hyphens in a number do not
        matter. Fewer than two letters find nobody: a list of everyone is no answer.
        """
        text = text[:80]
        words = fold(text).split()
        if len("".join(words)) < 2:  # noqa: PLR2004 - the second letter, as said above
            return self.none()
        every_word = models.Q()
        for word in words:
            every_word &= models.Q(search_name__contains=f" {word}") | _number_or_phone(word)
        found = self.filter(every_word | _number_or_phone(text))
        return found.order_by("family_name", "given_name", "pk")

    def alike(self, given_name: str, family_name: str, phone: str) -> "CustomerQuerySet":
        """Customers of the same name or phone: perhaps the person about to be registered."""
        same = models.Q(search_name=folded_name(given_name, family_name))
        if len(digits(phone)) >= SHORTEST_PHONE:
            same |= models.Q(search_phone__endswith=digits(phone)[-PHONE_END:])
        return self.filter(same)


def _number_or_phone(text: str) -> models.Q:
    hit = models.Q()
    for beginning in beginnings(PREFIX, text):
        hit |= models.Q(number__startswith=beginning)
    if part := phone_part(text):
        hit |= models.Q(search_phone__contains=part)
    return hit or models.Q(pk__in=())  # an empty Q would let everyone in


class Customer(models.Model):
    """A person the house cuts for. ``version`` guards against two people editing at once."""

    number = models.CharField(max_length=20, unique=True, editable=False)
    serial = models.PositiveIntegerField(unique=True, editable=False)
    form_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    title = models.CharField(max_length=20, blank=True, default="", validators=[readable])
    given_name = models.CharField(max_length=60, blank=True, default="", validators=[readable])
    family_name = models.CharField(max_length=60, validators=[MinLengthValidator(1), readable])
    phone = models.CharField(max_length=30, blank=True, default="", validators=[telephone])
    email = models.EmailField(blank=True, default="")
    # Where they are fitted when somebody of the house travels there; empty for the house itself.
    town = models.CharField(max_length=60, blank=True, default="", validators=[readable])
    unit = models.CharField(max_length=2, choices=Unit.choices, blank=True, default="")
    notes = models.TextField(max_length=2000, blank=True, default="")
    search_name = models.CharField(max_length=200, editable=False, default="", db_index=True)
    search_phone = models.CharField(max_length=30, editable=False, default="", db_index=True)
    version = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    # Only the number is left of who was erased; they come again as someone new.
    erased_at = models.DateTimeField(null=True, editable=False)

    objects = CustomerQuerySet.as_manager()

    class Meta:
        ordering = ["family_name", "given_name", "pk"]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: object, **kwargs: object) -> None:
        """Keep the folded search columns true to the name and phone, whoever writes."""
        self.fold_for_finding()
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    def get_absolute_url(self) -> str:
        return reverse("folios:customer_folio", args=[self.number])

    def fold_for_finding(self) -> None:
        """The columns a customer is found by; ``bulk_create`` passes ``save`` over."""
        self.search_name = folded_name(self.given_name, self.family_name)
        self.search_phone = digits(self.phone)

    @property
    def name(self) -> str:
        """The name as spoken: title, given name, family name."""
        return " ".join(part for part in (self.title, self.given_name, self.family_name) if part)


class Consent(LedgerEntry):
    """What a customer agreed to or refused, in which words, on which day."""

    class Kind(models.TextChoices):
        FITTING_PHOTOGRAPHS = "fitting-photographs", "photographs for the workroom"
        PUBLICITY = "publicity", "photographs shown to others"
        MESSAGES = "messages", "messages about fittings"

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="consents")
    kind = models.CharField(max_length=20, choices=Kind.choices)
    given = models.BooleanField()
    given_on = models.DateField()
    wording = models.TextField(max_length=1000)

    class Meta(LedgerEntry.Meta):
        indexes = [models.Index(fields=["customer", "kind", "at"])]

    def __str__(self) -> str:
        answer = "agreed to" if self.given else "refused"
        return f"{answer} {self.get_kind_display()}"


class Changed(LedgerEntry):
    """Which of a thing's own columns somebody changed; never what they said before or after.

    The old values are no part of the record: a wrong telephone number is nobody's history.
    ``about`` is the number of a customer or garment, or "the house", which has no ``customer``.
    """

    customer = models.ForeignKey(
        Customer, null=True, on_delete=models.PROTECT, related_name="changes"
    )
    about = models.CharField(max_length=20)
    columns = models.CharField(max_length=300)

    class Meta(LedgerEntry.Meta):
        verbose_name_plural = "changed"
        indexes = [models.Index(fields=["customer", "at"])]

    def __str__(self) -> str:
        return f"{self.about}: {self.columns}"
