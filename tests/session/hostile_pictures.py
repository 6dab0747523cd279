"""Files that are no photograph, or one made to do harm: each a few bytes, by what it is.

How files begin is told by their formats' own documents: PNG (W3C, third edition, chunks and CRC),
JPEG (ITU-T T.81, marker segments), WebP (RFC 9649), TIFF 6.0 for EXIF's directories.
"""

import gzip
import io
import struct
import zipfile
import zlib

from PIL import Image

from fittings.session.photographs import NO_PICTURE

DAMAGED = "The picture is damaged: take it again."
TOO_MANY_POINTS = "The picture has too many points: take it smaller."
TOO_HEAVY = "The picture is larger than 20 MB: take it again at a smaller size."
PNG = b"\x89PNG\r\n\x1a\n"
ORIENTATION, WIDTH = 0x0112, 0x0100


def picture(kind="JPEG", size=(60, 40), mode="RGB", **saved):
    out = io.BytesIO()
    Image.new(mode, size).save(out, kind, **saved)
    return out.getvalue()


def chunk(name, data=b"", crc=None):
    body = name + data
    return struct.pack(">I", len(data)) + body + struct.pack(">I", crc or zlib.crc32(body))


def header(width=4, height=4, depth=8, colour=2, interlaced=0, **crc):
    return chunk(
        b"IHDR", struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, interlaced), **crc
    )


def points(rows=4, width=4):
    return chunk(b"IDAT", zlib.compress((b"\0" + b"\x80" * 3 * width) * rows))


def png(*chunks, end=True):
    return PNG + b"".join(chunks) + (chunk(b"IEND") if end else b"")


def jpeg_of(width, height, mode="RGB", **saved):
    """A JPEG whose frame says another size than its points have."""
    whole = picture(mode=mode, **saved)
    frame = next(whole.find(marker) for marker in (b"\xff\xc0", b"\xff\xc2") if marker in whole)
    return whole[: frame + 5] + struct.pack(">HH", height, width) + whole[frame + 9 :]


def webp_of(width, height):
    """An empty lossless WebP that says it is so large: fourteen bits for each side."""
    sides = struct.pack("<I", (width - 1) | (height - 1) << 14)
    body = b"WEBP" + b"VP8L" + struct.pack("<I", 10) + b"\x2f" + sides + b"\0" * 5
    return b"RIFF" + struct.pack("<I", len(body)) + body


def mistold():
    """EXIF that calls the picture's own width letters: it cannot be written back."""
    exif = Image.Exif()
    exif.update({ORIENTATION: 6, WIDTH: 60})
    long, letters = b"\x01\x00\x00\x04", b"\x01\x00\x00\x02"
    return picture(exif=exif).replace(long, letters, 1)


def looped():
    """EXIF whose first directory says that the next one is itself."""
    entry = struct.pack("<HHIHH", ORIENTATION, 3, 1, 6, 0)
    return b"Exif\0\0II*\0" + struct.pack("<I", 8) + struct.pack("<H", 1) + entry + b"\x08\0\0\0"


def zipped(name="word/document.xml"):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr(name, "<w/>")
    return out.getvalue()


def moving(kind, **saved):
    out = io.BytesIO()
    frames = [Image.new("RGB", (20, 20), colour) for colour in ("red", "green", "blue")]
    frames[0].save(out, kind, save_all=True, append_images=frames[1:], **saved)
    return out.getvalue()


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
ENTITY = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/passwd">]><x>&e;</x>'
BROAD = picture("PNG", (900, 900))
TALL = 2**31 - 1

OTHER_FILES = {
    "nothing": b"",
    "one NUL": b"\0",
    "a block of NUL": bytes(4096),
    "words": b"not a picture",
    "words in UTF-16": "not a picture".encode("utf-16"),
    "web page": b"<!doctype html><script>alert(1)</script>",
    "drawing with a script": SVG,
    "packed drawing": gzip.compress(SVG),
    "XML that asks for a file": ENTITY,
    "PostScript": b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n",
    "PDF": b"%PDF-1.7\n1 0 obj<</OpenAction 2 0 R>>\n",
    "packed folder": zipped(),
    "packed folder with a way out": zipped("../../etc/cron.d/x"),
    "program": b"\x7fELF\x02\x01\x01" + bytes(64),
    "program of another system": b"MZ\x90\0" + bytes(64),
    "shell script": b"#!/bin/sh\nrm -rf /\n",
    "code for a server": b"<?php system($_GET['c']); ?>",
    "data address": b"data:image/jpeg;base64,/9j/4AAQSkZJRg==",
    "film": b"\0\0\0\x18ftypmp42" + bytes(32),
    "sound": b"RIFF\x24\0\0\0WAVEfmt " + bytes(32),
    "film in RIFF": b"RIFF\x24\0\0\0AVI LIST" + bytes(32),
}
OTHER_PICTURES = {
    "GIF": picture("GIF"),
    "moving GIF": moving("GIF"),
    "GIF that is a script": b"GIF89a=alert(1);//" + picture("GIF")[16:],
    "TIFF": picture("TIFF"),
    "TIFF whose directory is its own next": looped()[6:],
    "BMP": picture("BMP"),
    "BMP of a billion points": picture("BMP").replace(struct.pack("<i", 60), b"\xff\xff\0\0", 1),
    "icon": picture("ICO"),
    "PPM of a billion points": b"P6 60000 60000 255\n",
    "PCX": picture("PCX"),
    "TGA": picture("TGA"),
    "SGI": picture("SGI"),
    "DDS": picture("DDS"),
    "JPEG 2000": b"\0\0\0\x0cjP  \r\n\x87\n" + bytes(32),
    "HEIC": b"\0\0\0\x18ftypheic" + bytes(32),
    "AVIF": b"\0\0\0\x18ftypavif" + bytes(32),
    "layered picture": b"8BPS\0\x01" + bytes(64),
    "XBM in C": b"#define a_width 9\n#define a_height 9\nstatic char a_bits[] = {0};",
    "metafile": b"\xd7\xcd\xc6\x9a\0\0" + bytes(64),
    "JPEG after a blank": b" " + picture(),
    "PNG sent as text": picture("PNG").replace(b"\r\n", b"\n", 1),
}
# So broken that nothing tells what they were to be.
HEADLESS = {
    "JPEG of its first bytes": picture()[:3],
    "JPEG of no height": jpeg_of(60, 0),
    "PNG of its first bytes": PNG,
    "PNG of no width": png(header(width=0), points()),
    "PNG whose header has a false sum": png(header(crc=7), points()),
    "PNG of three bits a point": png(header(depth=3), points()),
    "PNG in a colour there is not": png(header(colour=7), points()),
}
BROKEN = {
    "JPEG before its frame": picture()[:30],
    "JPEG cut in its points": picture(size=(900, 900))[:900],
    "JPEG with mistold EXIF": mistold(),
    "PNG cut in its points": BROAD[:200],
    "PNG without points": png(header()),
    "PNG with points that are none": png(header(), chunk(b"IDAT", b"\0\0\0\0")),
    "PNG with a false sum": png(header(), chunk(b"IDAT", b"x", crc=7)),
    "PNG with a chunk of two gigabytes": PNG + header() + b"\x7f\xff\xff\xffIDAT",
    "PNG with a packed word of ten megabytes": png(
        header(), chunk(b"zTXt", b"a\0\0" + zlib.compress(bytes(10_000_000), 9)), points()
    ),
    "WebP of its first bytes": picture("WEBP")[:16],
    "WebP cut in its points": picture("WEBP", (300, 300), lossless=True)[:40],
    "WebP with nothing in it": webp_of(9, 9),
}
BOMBS = {
    "PNG of 3.6 billion points": png(header(60_000, 60_000)),
    "PNG as long as there is": png(header(1, TALL)),
    "PNG of 60 million single bits": png(header(60_000, 1_000, depth=1, colour=0)),
    "PNG of sixteen bits a colour": png(header(20_000, 20_000, depth=16)),
    "interlaced PNG": png(header(20_000, 20_000, interlaced=1)),
    "PNG just above the limit": png(header(7_072, 7_071)),
    "JPEG as large as there is": jpeg_of(65_535, 65_535),
    "progressive JPEG": jpeg_of(30_000, 30_000, progressive=True),
    "JPEG in four inks": jpeg_of(30_000, 30_000, mode="CMYK"),
    "grey JPEG": jpeg_of(30_000, 30_000, mode="L"),
    "WebP as large as there is": webp_of(16_384, 16_384),
}
ODD = {
    "four inks": picture(mode="CMYK"),
    "sixteen bits of grey": picture("PNG", mode="I;16"),
    "grey with a veil": picture("PNG", mode="LA"),
    "a palette": picture("PNG", mode="P"),
    "single bits": picture("PNG", mode="1"),
    "moving PNG": moving("PNG"),
    "moving WebP": moving("WEBP"),
    "several pictures in one": moving("MPO"),
    "EXIF that leads to itself": picture(exif=looped()),
    "a packed folder behind it": picture() + zipped(),
    "a drawing in its comment": picture(comment=SVG),
}
REFUSED = {
    **{what: (content, NO_PICTURE) for what, content in OTHER_FILES.items()},
    **{what: (content, NO_PICTURE) for what, content in OTHER_PICTURES.items()},
    **{what: (content, NO_PICTURE) for what, content in HEADLESS.items()},
    **{what: (content, DAMAGED) for what, content in BROKEN.items()},
    **{what: (content, TOO_MANY_POINTS) for what, content in BOMBS.items()},
}
