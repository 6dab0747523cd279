"""One-time codes: of a device, new every half minute (RFC 6238), and on paper when it is lost.

The seed is made from the house's secret key and a salt (the deterministic way of RFC 4226, 7.5), so
that a copy of the database alone opens nothing. It is new with each salt.
"""

import hashlib
import hmac
import secrets
from base64 import b32encode

from pyotp import OTP, TOTP

PERIOD = 30  # seconds a code holds: the usual time step of RFC 6238, 5.2
DIGITS = 6
SEED_BYTES = 20  # the length of an HMAC-SHA-1 key that RFC 4226, 4 (R6) recommends
# A clock half a minute off either way still opens. RFC 6238, 5.2 asks for one step back at most for
# the network's delay; the step ahead is for a shop's computer that no time server sets right.
LEEWAY = 1
PAPER_CODES = 8
PAPER_BYTES = 15  # 120 bits: beyond guessing, so that a plain hash is safe to keep (ASVS 6.5.2)
READ_ALIKE = str.maketrans("018", "OIB")  # not in base32 (RFC 4648), and easily written for these


def seed(secret_key: str, salt: str) -> bytes:
    """The 20 bytes that house and device share."""
    purpose = f"second factor:{salt}".encode()
    return hmac.digest(secret_key.encode(), purpose, "sha256")[:SEED_BYTES]


def code_at(key: bytes, seconds: int, *, digits: int = DIGITS, digest: str = "sha1") -> str:
    """The code of a moment, ``seconds`` since 1970 (UTC): RFC 6238 with its step of 30 s."""
    return _codes(key, digits, digest).generate_otp(seconds // PERIOD)


def step_of(key: bytes, code: str, *, seconds: int, after: int) -> int | None:
    """The time step whose code this is, if it holds now and comes after step ``after``; else None.

    A step once used goes in as ``after``: its code, and any older, opens nothing a second time.
    """
    now, codes = seconds // PERIOD, _codes(key, DIGITS, "sha1")
    fitting = [
        step
        for step in range(max(now - LEEWAY, after + 1), now + LEEWAY + 1)
        if hmac.compare_digest(codes.generate_otp(step).encode(), code.encode())
    ]
    return fitting[0] if fitting else None


def device_address(key: bytes, *, person: str, house: str) -> str:
    """What the square code tells an authenticator: an ``otpauth`` address with the seed in it."""
    address: str = TOTP(_base32(key)).provisioning_uri(name=person, issuer_name=house)
    return address


def written_seed(key: bytes) -> str:
    """The seed to type where nothing can be scanned: base32 in groups of four."""
    return _in_fours(_base32(key))


def paper_code() -> str:
    """A code to keep on paper: 24 letters and digits in groups of four."""
    return _in_fours(b32encode(secrets.token_bytes(PAPER_BYTES)).decode())


def fingerprint(paper: str) -> str:
    """What is kept of a code on paper, however it was typed: SHA-256 of its letters alone."""
    letters = "".join(sign for sign in paper.upper() if sign.isascii() and sign.isalnum())
    return hashlib.sha256(letters.translate(READ_ALIKE).encode()).hexdigest()


def _codes(key: bytes, digits: int, digest: str) -> OTP:
    return TOTP(_base32(key), digits=digits, digest=getattr(hashlib, digest))


def _base32(key: bytes) -> str:
    return b32encode(key).decode().rstrip("=")


def _in_fours(letters: str) -> str:
    return " ".join(letters[start : start + 4] for start in range(0, len(letters), 4))
