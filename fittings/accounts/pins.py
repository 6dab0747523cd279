"""What makes a PIN too easy to guess. Pure: digits in, a sentence out."""

import re
from itertools import pairwise

LENGTH = 6  # digits; NIST SP 800-63B-4, 3.2.10 (from memory): at least four, better six
FEWEST_DIGITS = 3  # different ones


def why_weak(pin: str) -> str:
    """Why nobody should have this PIN; "" when it will do."""
    if not re.fullmatch(rf"[0-9]{{{LENGTH}}}", pin):
        return f"A PIN has {LENGTH} digits."
    steps = {(int(after) - int(before)) % 10 for before, after in pairwise(pin)}
    if len(steps) == 1:
        return "The same digit again and again, or digits in a row, are the first to be tried."
    if len(set(pin)) < FEWEST_DIGITS:
        return f"Use at least {FEWEST_DIGITS} different digits."
    if pin[: LENGTH // 2] == pin[LENGTH // 2 :]:
        return "The same half twice is quickly guessed."
    return ""
