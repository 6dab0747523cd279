"""Back up a house while people work, and bring it back into an empty one, every byte checked."""

import datetime
import re
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any, Final

import pyrage
from django.core.files.storage import default_storage

from fittings.config import disks
from fittings.safekeeping import archive, databases, pictures
from fittings.safekeeping.archive import DATABASE, PHOTOGRAPHS, DamagedError, Manifest, NewerError

PLAIN: Final = ".tar.gz"
SEALED: Final = ".tar.gz.age"
SCRATCH: Final = "copy-"
SET_ASIDE: Final = "before-"  # what a restore replaced
BROKEN_OFF: Final = 24 * 60 * 60  # seconds after which no copying can still be at it
SECRET: Final = re.compile(r"^AGE-SECRET-KEY-1[0-9A-Z]+$", re.MULTILINE)


class RefusedError(Exception):
    """It is not done, and nothing was changed; the sentence says why."""


def back_up(folder: Path, *, seal_for: str = "", work: Path, now: datetime.datetime) -> Path:
    """One file in `folder` with the whole house as of this moment; its path.

    `seal_for` is an age public key (age1..., the age-encryption.org/v1 format): only the secret
    key, which need not be on this machine, opens the file. What is not sealed yet lies in `work`
    alone. The file appears under its name when it is whole, or not at all. RefusedError, OSError
    or databases.DatabaseError: no file is left.
    """
    recipient = _recipient(seal_for) if seal_for else None
    name = f"ledger-{_stamp(now)}{SEALED if recipient else PLAIN}"
    if not folder.is_dir():
        raise RefusedError(f"{folder} is no folder.")
    _clear_broken_off(work, now)
    with _scratch(work) as scratch:
        plain = scratch / "plain"
        with plain.open("xb") as to:
            _write(to, scratch, now)
        if recipient:
            sealed = scratch / "sealed"
            pyrage.encrypt_file(str(plain), str(sealed), [recipient])
            plain = sealed
        return _put(plain, folder / name)


def restore(
    source: Path, *, secret_key: str = "", replace: bool = False, work: Path, now: datetime.datetime
) -> Manifest:
    """Bring the house in `source` back; all is read and checked before anything is touched.

    What is there already is refused, or with `replace` set aside in a folder below `work`. No one
    may be working on the house meanwhile. RefusedError, DamagedError and NewerError: nothing was
    changed.
    """
    keeper = databases.keeper()
    if not replace and not keeper.is_empty():
        raise RefusedError(
            "There is a house here already. Say that it is to be replaced; it is kept beside."
        )
    with _scratch(work) as scratch, _opened(source, secret_key, scratch) as stream:
        unpacked = scratch / "unpacked"
        unpacked.mkdir()
        manifest = archive.unpack(stream, unpacked)
        _refuse_unfit(manifest, keeper.engine)
        if replace:
            _set_aside(keeper, work / f"{SET_ASIDE}{_stamp(now)}")
        keeper.bring_back(unpacked / DATABASE)
        pictures.bring_back(unpacked / PHOTOGRAPHS.rstrip("/"))
    _check(manifest)
    return manifest


def drop_oldest(folder: Path, *, keep: int) -> list[Path]:
    """Delete all but the newest `keep` files that `back_up` made in `folder`; what went."""
    made = sorted(path for path in folder.glob("ledger-*") if path.name.endswith((PLAIN, SEALED)))
    gone = made[:-keep] if keep > 0 else []
    for path in gone:
        path.unlink()
    return gone


def _stamp(now: datetime.datetime) -> str:
    return f"{now.astimezone(datetime.UTC):%Y-%m-%dT%H-%M-%SZ}"


def _write(to: IO[bytes], scratch: Path, now: datetime.datetime) -> None:
    keeper = databases.keeper()
    held = keeper.copy(scratch / DATABASE)
    missing: list[str] = []

    def files() -> Iterator[tuple[str, Path]]:
        yield DATABASE, scratch / DATABASE
        for name in held.photographs:
            try:
                with default_storage.open(name) as picture, (scratch / "picture").open("wb") as out:
                    shutil.copyfileobj(picture, out)
            except FileNotFoundError:
                missing.append(name)  # deleted on request since the tables were copied, or lost
            else:
                yield f"{PHOTOGRAPHS}{name}", scratch / "picture"

    about = Manifest(
        made_at=now.isoformat(),
        engine=keeper.engine,
        migrations=held.migrations,
        rows=held.rows,
        missing=missing,
    )
    archive.write_archive(to, about, files())


def _put(made: Path, path: Path) -> Path:
    """Copy to the folder, which may be another disk, and name it only when that disk has it all.

    Older copies are taken away next: the power may fail in between.
    """
    if path.exists():
        raise RefusedError(f"{path.name} is there already.")
    part = path.with_name(f".{path.name}.part")
    try:
        shutil.copyfile(made, part)
        part.chmod(0o600)
        disks.sync(part)
        part.replace(path)
        disks.sync(path.parent)
    finally:
        part.unlink(missing_ok=True)
    return path


@contextmanager
def _scratch(work: Path) -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix=SCRATCH, dir=work) as folder:
        yield Path(folder)


def _clear_broken_off(work: Path, now: datetime.datetime) -> None:
    """Take away what a copying that was killed left: the whole house, unsealed, the erased too."""
    for folder in work.glob(f"{SCRATCH}*"):
        if now.timestamp() - folder.stat().st_mtime > BROKEN_OFF:
            shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def _opened(source: Path, secret_key: str, scratch: Path) -> Iterator[IO[bytes]]:
    plain = source
    if source.name.endswith(SEALED):
        plain = scratch / "plain"
        try:
            pyrage.decrypt_file(str(source), str(plain), [_identity(secret_key)])
        except pyrage.DecryptError as problem:
            raise DamagedError(
                f"This key does not open it, or it is damaged: {problem}"
            ) from problem
    with plain.open("rb") as stream:
        yield stream


def _recipient(text: str) -> Any:
    try:
        return pyrage.x25519.Recipient.from_str(text.strip())
    except pyrage.RecipientError as problem:
        raise RefusedError("The key to seal for must be a public one, age1...") from problem


def _identity(text: str) -> Any:
    found = SECRET.search(text)
    if not found:
        raise RefusedError("The file is sealed: give the file that holds its AGE-SECRET-KEY-1...")
    try:
        return pyrage.x25519.Identity.from_str(found.group())
    except pyrage.IdentityError as problem:
        raise RefusedError("The secret key cannot be read: is it whole?") from problem


def _refuse_unfit(manifest: Manifest, engine: str) -> None:
    if manifest.engine != engine:
        raise RefusedError(f"The file is of {manifest.engine}; this house keeps {engine}.")
    applied = {(app, name) for app, names in manifest.migrations.items() for name in names}
    newer = applied - databases.known_migrations()
    if newer:
        app, name = min(newer)
        raise NewerError(f"It is of a newer version ({app} {name}): update the program first.")


def _set_aside(keeper: databases.Keeper, folder: Path) -> None:
    folder.mkdir(mode=0o700)
    keeper.set_aside(folder)
    pictures.set_aside(folder / "photographs")


def _check(manifest: Manifest) -> None:
    """DatabaseError or DamagedError unless every row and photograph is back."""
    rows = databases.contents().rows
    odd = sorted({table for table, _ in rows.items() ^ manifest.rows.items()})
    if odd:
        raise databases.DatabaseError(f"Not every row came back: see {', '.join(odd)}.")
    for name, member in manifest.members.items():
        if name.startswith(PHOTOGRAPHS):
            with default_storage.open(name.removeprefix(PHOTOGRAPHS)) as picture:
                if archive.hash_of(picture) != member.sha256:
                    raise DamagedError(f"{name} did not come back as it was.")
