"""The file that holds a house: whole, or refused."""

import dataclasses
import gzip
import io
import tarfile

import pytest

from fittings.safekeeping import archive
from fittings.safekeeping.archive import DamagedError, Manifest, NewerError, unpack, write_archive

ABOUT = Manifest(
    made_at="2026-11-25T18:00:00+00:00",
    engine="sqlite",
    migrations={"customers": ["0001_initial"]},
    rows={"customers_customer": 3},
)


@pytest.fixture
def made(tmp_path):
    """Two members, and the bytes of the archive that holds them."""
    database, picture = tmp_path / "d", tmp_path / "p"
    database.write_bytes(bytes(range(256)) * 40)
    picture.write_bytes(b"\xff\xd8 a picture \xff\xd9")
    to = io.BytesIO()
    write_archive(to, ABOUT, [("database", database), ("photographs/ab/cd.jpg", picture)])
    return to.getvalue()


def packed(*members):
    """An archive of (TarInfo, bytes) that no `write_archive` would make."""
    to = io.BytesIO()
    with tarfile.open(fileobj=to, mode="w:gz") as tar:
        for info, data in members:
            info.size = len(data)
            tar.addfile(info, io.BytesIO(data))
    return to.getvalue()


def cut_short(made, place):
    return made[:place]


def change(made, place):
    return made[:place] + bytes([made[place] ^ 0x55]) + made[place + 1 :]


def test_what_is_written_is_read_back(made, tmp_path):
    read = unpack(io.BytesIO(made), tmp_path / "out")

    assert dataclasses.replace(read, members={}) == ABOUT
    assert read.members["database"].size == 256 * 40
    assert (tmp_path / "out/photographs/ab/cd.jpg").read_bytes() == (tmp_path / "p").read_bytes()


@pytest.mark.parametrize("spoil", [cut_short, change], ids=["cut short", "changed"])
def test_spoilt_file_is_refused_or_lost_nothing(made, tmp_path, spoil):
    # Bytes of gzip's header, such as the time, and the padding at the end say nothing.
    passed = []
    places = range(0, len(made), max(1, len(made) // 80))
    for place in places:
        out = tmp_path / str(place)
        try:
            read = unpack(io.BytesIO(spoil(made, place)), out)
        except DamagedError:
            continue
        passed.append(place)
        assert dataclasses.replace(read, members={}) == ABOUT
        assert (out / "database").read_bytes() == (tmp_path / "d").read_bytes()
    assert len(passed) < len(places) / 8


def test_changed_member_is_named(made, tmp_path):
    inside = gzip.decompress(made).replace(b"a picture", b"A picture")

    with pytest.raises(DamagedError, match=r"photographs/ab/cd.jpg is not as it was written."):
        unpack(io.BytesIO(gzip.compress(inside)), tmp_path / "out")


@pytest.mark.parametrize("name", ["../out", "/etc/x", "photographs/../../x", "a//b", ".hidden", ""])
def test_name_that_leads_elsewhere_is_refused(tmp_path, name):
    with pytest.raises(DamagedError):
        unpack(io.BytesIO(packed((tarfile.TarInfo(name), b"x"))), tmp_path / "out")
    assert not (tmp_path / "x").exists()


def test_link_is_refused(tmp_path):
    link = tarfile.TarInfo("database")
    link.type, link.linkname = tarfile.SYMTYPE, "/etc/hostname"

    with pytest.raises(DamagedError, match="'database' does not belong in such a file"):
        unpack(io.BytesIO(packed((link, b""))), tmp_path / "out")


def test_file_off_the_list_is_refused(made, tmp_path):
    with tarfile.open(fileobj=io.BytesIO(made)) as tar:
        members = [(info, tar.extractfile(info).read()) for info in tar]

    with pytest.raises(DamagedError, match="not on its list"):
        unpack(io.BytesIO(packed((tarfile.TarInfo("other"), b"x"), *members)), tmp_path / "out")


@pytest.mark.parametrize("text", [b"", b"[]", b"{}", b"null", b'{"format": "x"}', b'{"format": 1}'])
def test_list_of_no_shape_is_refused(tmp_path, text):
    with pytest.raises(DamagedError, match="cannot be read"):
        unpack(io.BytesIO(packed((tarfile.TarInfo("manifest.json"), text))), tmp_path / "out")


def test_later_format_is_refused_as_newer(tmp_path):
    text = b'{"format": 2, "members": {}, "something": "else"}'

    with pytest.raises(NewerError, match="It has format 2, this program knows 1"):
        unpack(io.BytesIO(packed((tarfile.TarInfo("manifest.json"), text))), tmp_path / "out")


def test_hash_is_sha_256_of_the_standard():
    # FIPS 180-2, appendix B.1: the message "abc".
    assert archive.hash_of(io.BytesIO(b"abc")) == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )
