"""A clock that steps back a day between two lives of the server: the backup and what is restored from it are whole."""

import glob

from harness import Skipped


def attack(ctx):
    found = sorted(glob.glob("/usr/lib/*/faketime/libfaketime.so.1"))
    if not found:
        raise Skipped("libfaketime is not installed (Debian: apt-get install libfaketime); the store's own tests hold this")
    figures = []
    for name, where in ctx.both():
        with ctx.server(name, **where) as server:
            job = server.edit(server.job(), 1).json()
            server.kill()
            # Alone in real time are sleeps: the runtime of the server counts by the other clock.
            server.env |= {"LD_PRELOAD": found[-1], "FAKETIME": "-1d", "FAKETIME_DONT_FAKE_MONOTONIC": "1"}
            server.start()
            for x in range(2, 8):
                job = server.edit(job, x).json()
            revisions = server.done("GET", f"/api/jobs/{job['id']}/revisions")["revisions"]
            assert revisions[0]["made"] < revisions[-1]["made"], "the clock did not step back"
            backup = ctx.folder / f"{name}.sqlite"
            done = server.instead("--backup", backup)
            assert done.returncode == 0, f"{name}: {done.stderr}"
            restored = ctx.server(f"{name} restored")
            done = restored.instead("--restore", backup)
            assert done.returncode == 0, f"{name}: {done.stderr}"
            with restored:
                assert restored.done("GET", f"/api/jobs/{job['id']}/revisions")["revisions"] == revisions
            figures.append(f"{name}: {server.figures()}")
    return "; ".join(figures)
