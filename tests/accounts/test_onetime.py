"""One-time codes against the published ones of RFC 6238 and RFC 4226, and against guessing."""

import base64

import pytest
from pyotp import parse_uri

from fittings.accounts import onetime

# RFC 6238, Appendix B: eight digits, a step of 30 s. The keys are as long as the digest, by the
# reference code of Appendix A (the text of the table names one key for all three: erratum 2866).
DIGITS_OF_RFC = "1234567890" * 7
KEYS = {"sha1": 20, "sha256": 32, "sha512": 64}
PUBLISHED = [
    (59, "94287082", "46119246", "90693936"),
    (1111111109, "07081804", "68084774", "25091201"),
    (1111111111, "14050471", "67062674", "99943326"),
    (1234567890, "89005924", "91819424", "93441116"),
    (2000000000, "69279037", "90698825", "38618901"),
    (20000000000, "65353130", "77737706", "47863826"),
]
# RFC 4226, Appendix D: six digits for the counts 0 to 9.
COUNTED = [
    "755224",
    "287082",
    "359152",
    "969429",
    "338314",
    "254676",
    "287922",
    "162583",
    "399871",
    "520489",
]
KEY = b"12345678901234567890"
NOW = 1_764_000_000


@pytest.mark.parametrize(("seconds", *KEYS), PUBLISHED)
def test_codes_are_those_of_rfc_6238(seconds, sha1, sha256, sha512):
    said = [
        onetime.code_at(DIGITS_OF_RFC[:length].encode(), seconds, digits=8, digest=digest)
        for digest, length in KEYS.items()
    ]

    assert said == [sha1, sha256, sha512]


def test_codes_by_count_are_those_of_rfc_4226():
    assert [onetime.code_at(KEY, 30 * count) for count in range(10)] == COUNTED


@pytest.mark.parametrize(
    ("late", "opens"), [(-61, False), (-30, True), (0, True), (30, True), (60, False)]
)
def test_code_holds_half_a_minute_either_way(late, opens):
    code = onetime.code_at(KEY, NOW)

    step = onetime.step_of(KEY, code, seconds=NOW + late, after=0)

    assert step == (NOW // 30 if opens else None)


def test_used_step_and_older_ones_open_nothing():
    used = NOW // 30
    codes = [onetime.code_at(KEY, NOW + later) for later in (-30, 0, 30)]

    steps = [onetime.step_of(KEY, code, seconds=NOW, after=used) for code in codes]

    assert steps == [None, None, used + 1]


@pytest.mark.parametrize("code", ["", "12345", "1234567", "٢٨٧٠٨٢", "abcdef"])
def test_what_is_no_code_opens_nothing(code):
    assert onetime.step_of(KEY, code, seconds=59, after=0) is None


def test_seed_needs_the_houses_key_and_the_salt():
    seeds = {onetime.seed(key, salt) for key in ("house", "other") for salt in ("a", "b")}

    assert (len(seeds), {len(seed) for seed in seeds}) == (4, {20})


def test_device_is_told_the_same_seed_that_is_written():
    address = onetime.device_address(KEY, person="hester", house="Fitting ledger")

    read = parse_uri(address)
    written = onetime.written_seed(KEY).replace(" ", "")
    assert (read.name, read.issuer, read.secret) == ("hester", "Fitting ledger", written)
    assert base64.b32decode(written) == KEY


def test_paper_code_is_known_however_it_is_typed():
    code = onetime.paper_code()
    careless = f" {code.lower().replace(' ', '-')} ".replace("o", "0").replace("i", "1")

    assert onetime.fingerprint(careless.replace("b", "8")) == onetime.fingerprint(code)


def test_paper_codes_are_long_and_never_alike():
    codes = {onetime.paper_code() for _ in range(200)}

    assert (len(codes), {len(code.replace(" ", "")) for code in codes}) == (200, {24})
