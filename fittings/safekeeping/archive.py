"""One file that holds a house: written whole, read only when every byte is what it was.

A gzip-compressed tar (POSIX.1-2001 pax). The members come first, `manifest.json` last, since only
then is each hash known; a file cut short has no manifest and is refused by that alone. Nothing in
the file says where a member is to be written: names are checked, and a member that is no plain
file, or that the manifest does not know, makes the whole file damaged.
"""

import hashlib
import io
import json
import re
import tarfile
import zlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import IO, Any, Final

FORMAT: Final = 1
MANIFEST: Final = "manifest.json"
DATABASE: Final = "database"
PHOTOGRAPHS: Final = "photographs/"
MOST_MANIFEST: Final = 64 * 1024 * 1024
CHUNK: Final = 1024 * 1024
_NAME: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*(/[A-Za-z0-9][A-Za-z0-9._-]*)*")


class DamagedError(Exception):
    """The file is not what was written; the sentence says where."""


class NewerError(Exception):
    """The file was made by a newer version of the program."""


@dataclass(frozen=True, slots=True)
class Member:
    """A file of the archive: its SHA-256 (FIPS 180-4) in hex and its bytes."""

    sha256: str
    size: int


@dataclass(frozen=True, slots=True)
class Manifest:
    """What the file holds and from where.

    `engine` is "sqlite" or "postgresql"; `migrations` the names applied, by app; `rows` how many
    rows each table held; `missing` photographs the tables named and the store no longer had.
    """

    made_at: str
    engine: str
    migrations: Mapping[str, list[str]]
    rows: Mapping[str, int]
    members: Mapping[str, Member] = field(default_factory=dict)
    missing: list[str] = field(default_factory=list)
    format: int = FORMAT


def write_archive(to: IO[bytes], manifest: Manifest, files: Iterable[tuple[str, Path]]) -> Manifest:
    """Write the files under their names, then the manifest; returns it with every hash."""
    members: dict[str, Member] = {}
    with tarfile.open(fileobj=to, mode="w:gz", compresslevel=6) as tar:
        for name, path in files:
            _checked(name)
            with path.open("rb") as source:
                hashed = _Hashing(source)
                size = path.stat().st_size
                tar.addfile(_info(name, size), hashed)
            members[name] = Member(hashed.hexdigest(), size)
        whole = replace(manifest, members=members)
        text = json.dumps(asdict(whole), sort_keys=True).encode()
        tar.addfile(_info(MANIFEST, len(text)), io.BytesIO(text))
    return whole


def unpack(source: IO[bytes], folder: Path) -> Manifest:
    """Write every member below the empty `folder`, then check all against the manifest.

    DamagedError: cut short, changed, or holding what it should not. NewerError: of a later format.
    """
    found: dict[str, Member] = {}
    text = None
    try:
        for name, stream in _members(source):
            if name == MANIFEST:
                text = stream.read(MOST_MANIFEST)
            else:
                found[name] = _keep(stream, folder / name)
    except (tarfile.TarError, OSError, EOFError, zlib.error) as problem:
        raise DamagedError(f"The file is cut short or damaged: {problem}") from problem
    if text is None:
        raise DamagedError("The file is cut short: its list of contents is missing.")
    manifest = _read_manifest(text)
    _compare(manifest.members, found)
    return manifest


def hash_of(stream: IO[bytes]) -> str:
    """The SHA-256 of what is left of the stream, in hex."""
    return hashlib.file_digest(stream, "sha256").hexdigest()  # type: ignore[arg-type]


def _members(source: IO[bytes]) -> Iterator[tuple[str, IO[bytes]]]:
    with tarfile.open(fileobj=source, mode="r:gz") as tar:
        seen: set[str] = set()
        for info in tar:
            stream = tar.extractfile(info) if info.isreg() else None
            if stream is None or info.name in seen:
                raise DamagedError(f"{info.name!r} does not belong in such a file.")
            seen.add(_checked(info.name))
            yield info.name, stream


def _keep(stream: IO[bytes], path: Path) -> Member:
    path.parent.mkdir(parents=True, exist_ok=True)
    hashed = _Hashing(stream)
    with path.open("xb") as kept:
        while chunk := hashed.read(CHUNK):
            kept.write(chunk)
    return Member(hashed.hexdigest(), path.stat().st_size)


def _read_manifest(text: bytes) -> Manifest:
    try:
        data: dict[str, Any] = json.loads(text)
        made = int(data["format"])
    except (ValueError, KeyError, TypeError) as problem:
        raise DamagedError(f"The list of contents cannot be read: {problem}") from problem
    # Before the rest is read: a later format may name other things.
    if made > FORMAT:
        raise NewerError(
            f"It has format {made}, this program knows {FORMAT}: update the program first."
        )
    try:
        data["members"] = {name: Member(**each) for name, each in data["members"].items()}
        return Manifest(**data)
    except (KeyError, TypeError, AttributeError) as problem:
        raise DamagedError(f"The list of contents cannot be read: {problem}") from problem


def _compare(said: Mapping[str, Member], found: Mapping[str, Member]) -> None:
    if not said or set(said) != set(found):
        odd = sorted(set(said) ^ set(found)) or [DATABASE]
        raise DamagedError(f"{odd[0]} is not in the file, or not on its list ({len(odd)} in all).")
    for name, member in said.items():
        if found[name] != member:
            raise DamagedError(f"{name} is not as it was written.")


def _checked(name: str) -> str:
    if not _NAME.fullmatch(name):
        raise DamagedError(f"{name!r} is no name of such a file.")
    return name


def _info(name: str, size: int) -> tarfile.TarInfo:
    info = tarfile.TarInfo(name)
    info.size, info.mode = size, 0o600
    return info


class _Hashing(io.RawIOBase):
    """A stream that hashes what is read of it."""

    def __init__(self, source: IO[bytes]) -> None:
        self._source = source
        self._hash = hashlib.sha256()

    def read(self, size: int = -1) -> bytes:
        data = self._source.read(size)
        self._hash.update(data)
        return data

    def hexdigest(self) -> str:
        return self._hash.hexdigest()
