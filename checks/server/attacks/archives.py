"""Archives that unpack to far more than they are, hold very many files, or lie about what they hold."""

import io
import struct
import time
import zipfile
import zlib

from harness import SMALL_JOB, together


def archive(files):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as made:
        for name, content in files.items():
            made.writestr(name, content)
    return out.getvalue()


def claims(count, size_of_directory=0):
    """A file that ends as an archive of so many files (ZIP64) does, its directory being `size_of_directory` entries."""
    name = b"a.stl"
    entry = struct.pack("<4s4B4HL2L5H2L", b"PK\1\2", 20, 0, 20, 0, 0, 0, 0, 0, 0, 0, 0, len(name), 0, 0, 0, 0, 0, 0) + name
    directory = entry * size_of_directory
    end64 = struct.pack("<4sQ2H2L4Q", b"PK\6\6", 44, 45, 45, 0, 0, count, count, len(directory), 0)
    locator = struct.pack("<4sLQL", b"PK\6\7", 0, len(directory), 1)
    end = struct.pack("<4s4H2LH", b"PK\5\6", 0, 0, 0xFFFF, 0xFFFF, 0xFFFFFFFF, 0xFFFFFFFF, 0)
    return directory + end64 + locator + end


def short_claim(content):
    """An archive whose directory says that its one file is short."""
    made = bytearray(archive({"job.toml": content}))
    at = made.index(b"PK\1\2")
    struct.pack_into("<L", made, at + 24, 100)
    return bytes(made)


def facets(count):
    """A binary STL of a flat strip of triangles."""
    facet = struct.Struct("<12fH")
    rows = (facet.pack(0, 0, 1, i, 0, 0, i + 1, 0, 0, i, 1, 0, 0) for i in range(count))
    return bytes(80) + struct.pack("<L", count) + b"".join(rows)


def attack(ctx):
    blanks = b" " * (4 << 20)
    bomb = archive({"job.toml": SMALL_JOB, **{f"{i}.stl": bytes(31 << 20) for i in range(12)}})
    hostile = {
        "384 MB in 374 kB": bomb,
        "a text of blanks": archive({"job.toml": blanks}),
        "30 000 files": archive({f"{i}.stl": b"" for i in range(30_000)}),
        "1.9 M entries claimed": claims(1_900_000, 1_900_000),
        "2**40 entries claimed": claims(1 << 40),
        "a length that is not true": short_claim(b"x" * 50_000),
        "not packed at all": b"PK\3\4" + bytes(100_000),
    }
    head = {"Content-Type": "application/zip"}
    with ctx.server() as server:
        longest = 0
        for name, body in hostile.items():
            begun = time.perf_counter()
            answer = server.call("POST", "/api/jobs/import", body, head)
            longest = max(longest, time.perf_counter() - begun)
            assert answer.status in (413, 422) and answer.error()["message"], f"{name}: {answer.status} {answer.body[:200]!r}"
        assert longest < 5, f"{longest:.1f} s"
        begun = time.perf_counter()
        answers = together(12, lambda _: server.call("POST", "/api/jobs/import", bomb, head).status)
        twelve = time.perf_counter() - begun
        assert set(answers) <= {422, 503}, answers
        # Real ones are still read, several at a time.
        real = archive({"bay/job.toml": SMALL_JOB, "bay/scan.stl": facets(200_000)})
        answers = together(6, lambda _: server.call("POST", "/api/jobs/import", real, head).status)
        assert set(answers) <= {201, 503} and 201 in answers, answers
        peak = server.peak()
        assert peak < 1000, f"{peak:.0f} MB"
        return f"{len(hostile)} archives, the longest {longest:.2f} s; twelve at once {twelve:.2f} s; {server.figures()}"
