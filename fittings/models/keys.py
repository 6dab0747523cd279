"""How people of the house get in besides by password: rules, shared tablets, PINs, factors."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

from customers.ledger import LedgerEntry


def _within(least: int, most: int) -> list[MinValueValidator | MaxValueValidator]:
    return [MinValueValidator(least), MaxValueValidator(most)]


class SignInRules(models.Model):
    """How long a sign-in lasts: one row. What holds for a sign-in is fixed when it begins."""

    idle_minutes = models.PositiveSmallIntegerField(default=120, validators=_within(5, 720))
    pin_idle_minutes = models.PositiveSmallIntegerField(default=20, validators=_within(2, 240))
    longest_hours = models.PositiveSmallIntegerField(default=12, validators=_within(1, 24))
    version = models.PositiveIntegerField(default=1)

    class Meta:
        verbose_name_plural = "sign-in rules"

    def __str__(self) -> str:
        return "rules of signing in"

    @classmethod
    def get(cls) -> "SignInRules":
        """The row, to be changed."""
        return cls.objects.get_or_create(pk=1)[0]

    @classmethod
    def holding(cls) -> "SignInRules":
        """What holds now, without making a row: signing in writes no rule."""
        return cls.objects.filter(pk=1).first() or cls(pk=1)


class PersonChange(LedgerEntry):
    """Somebody was let in or what they may do was changed: ``said`` in words, without passwords."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="changes"
    )
    said = models.CharField(max_length=300)

    def __str__(self) -> str:
        return self.said


class SharedTablet(models.Model):
    """A device several people use. It holds a secret in a cookie; here is that secret's SHA-256."""

    name = models.CharField(max_length=60)
    digest = models.CharField(max_length=64, unique=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    used_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return self.name


class Pin(models.Model):
    """A person's PIN for the shared tablets, hashed as passwords are."""

    person = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, primary_key=True, related_name="pin"
    )
    hashed = models.CharField(max_length=200)
    at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return f"PIN of {self.person_id}"


class SecondFactor(models.Model):
    """A person's authenticator: the salt of its seed, and the last time step that opened."""

    person = models.OneToOneField(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        primary_key=True,
        related_name="second_factor",
    )
    salt = models.CharField(max_length=64)
    last_step = models.BigIntegerField(default=0)
    confirmed_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"second factor of {self.person_id}"


class PaperCode(models.Model):
    """One code for the day the device is lost; gone once used."""

    factor = models.ForeignKey(SecondFactor, on_delete=models.CASCADE, related_name="paper_codes")
    digest = models.CharField(max_length=64)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["factor", "digest"], name="one_paper_code_once")
        ]

    def __str__(self) -> str:
        return f"paper code of {self.factor_id}"
