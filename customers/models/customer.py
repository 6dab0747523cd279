"""Customers, what they agreed to, and the house's own settings."""

import uuid

from django.core.validators import MinLengthValidator
from django.db import models
from django.urls import reverse
from django.utils import timezone

from customers.ledger import LedgerEntry
from customers.searching import digits, fold


class Unit(models.TextChoices):
    INCHES = "in", "inches and eighths"
    CENTIMETRES = "cm", "centimetres"


class House(models.Model):
    """The house's own settings: one row, made by a migration."""

    name = models.CharField(max_length=80, default="The house")
    address = models.TextField(blank=True, default="")
    unit = models.CharField(max_length=2, choices=Unit.choices, default=Unit.INCHES)
    opens = models.TimeField(default="09:00")
    closes = models.TimeField(default="18:00")

    def __str__(self) -> str:
        return self.name

    @classmethod
    def get(cls) -> "House":
        """The one row, made with its defaults where a database has none yet."""
        house = cls.objects.first()
        return house or cls.objects.create()


class CustomerQuerySet(models.QuerySet["Customer"]):
    def matching(self, text: str) -> "CustomerQuerySet":
        """Customers whose name (words in any order), number or phone holds every word typed.

        Matching is on folded text, so ``ozge`` finds Özge. Fewer than two letters find nobody: a
        list of everyone is no answer.
        """
        wanted = fold(text)[:80].split()
        if len("".join(wanted)) < 2:  # noqa: PLR2004
            return self.none()
        found = self
        for word in wanted:
            hit = models.Q(search_name__contains=f" {word}") | models.Q(
                number__istartswith=word.replace("-", "")
            )
            if digits(word):
                hit |= models.Q(search_phone__contains=digits(word))
            found = found.filter(hit)
        return found.order_by("family_name", "given_name", "pk")


class Customer(models.Model):
    """A person the house cuts for. ``version`` guards against two people editing at once."""

    number = models.CharField(max_length=20, unique=True, editable=False)
    serial = models.PositiveIntegerField(unique=True, editable=False)
    form_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    title = models.CharField(max_length=20, blank=True, default="")
    given_name = models.CharField(max_length=60, blank=True, default="")
    family_name = models.CharField(max_length=60, validators=[MinLengthValidator(1)])
    phone = models.CharField(max_length=30, blank=True, default="")
    email = models.EmailField(blank=True, default="")
    unit = models.CharField(max_length=2, choices=Unit.choices, blank=True, default="")
    notes = models.TextField(max_length=2000, blank=True, default="")
    search_name = models.CharField(max_length=200, editable=False, default="", db_index=True)
    search_phone = models.CharField(max_length=30, editable=False, default="", db_index=True)
    version = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = CustomerQuerySet.as_manager()

    class Meta:
        ordering = ["family_name", "given_name", "pk"]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: object, **kwargs: object) -> None:
        """Keep the folded search columns true to the name and phone, whoever writes."""
        self.search_name = f" {fold(self.given_name)} {fold(self.family_name)}"[:200]
        self.search_phone = digits(self.phone)
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    def get_absolute_url(self) -> str:
        return reverse("folios:customer_folio", args=[self.number])

    @property
    def name(self) -> str:
        """The name as spoken: title, given name, family name."""
        return " ".join(part for part in (self.title, self.given_name, self.family_name) if part)


class Consent(LedgerEntry):
    """What a customer agreed to or refused, in which words, on which day."""

    class Kind(models.TextChoices):
        FITTING_PHOTOGRAPHS = "fitting-photographs", "photographs for the workroom"
        PUBLICITY = "publicity", "photographs shown to others"

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
