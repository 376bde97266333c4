"""Restoring: after only --set-password, of a newer form, of a damaged copy, into a store that is used; all or nothing."""

import shutil
import sqlite3


def attack(ctx):
    with ctx.server() as server:
        job = server.edit(server.job(), 1).json()
        server.done("PATCH", "/api/shop", {"name": "old shop"})
    server.instead("--set-password", text="the old password\n")
    backup = ctx.folder / "backup.sqlite"
    assert server.instead("--backup", backup).returncode == 0
    for name, where in ctx.both():
        fresh = ctx.server(f"{name} fresh", **where)
        assert fresh.instead("--set-password", text="the new password\n").returncode == 0
        done = fresh.instead("--restore", backup)
        assert done.returncode == 0, f"{name}: after --set-password: {done.stderr}"
        with fresh:
            assert fresh.done("GET", "/api/shop")["name"] == "old shop"
            answer = fresh.call("POST", "/api/session", {"password": "the new password"})
            assert answer.status == 200, f"{name}: the password that was set does not hold: {answer.status}"
            cookie = {"Cookie": answer.headers["set-cookie"].split(";")[0]}
            found = fresh.done("GET", f"/api/jobs/{job['id']}", headers=cookie)
            assert found["version"] == job["version"]
        done = fresh.instead("--restore", backup)
        assert done.returncode == 2 and "already" in done.stderr, f"{name}: over a used store: {done.stderr}"
    # A copy of a newer program.
    newer = ctx.folder / "newer.sqlite"
    shutil.copy(backup, newer)
    with sqlite3.connect(newer) as database:
        database.execute("INSERT INTO migrations (number) VALUES (99)")
    target = ctx.server("of newer")
    done = target.instead("--restore", newer)
    assert done.returncode == 2 and "newer program" in done.stderr, done.stderr
    assert not (target.data / "shop.sqlite").exists(), "a refused restore left a store"
    # Copies with one value changed, one row taken out, and cut short.
    changes = {
        "label": "UPDATE revisions SET label = label || 'x' WHERE number = 2",
        "time": "UPDATE jobs SET updated = updated + 1",
        "content": "UPDATE contents SET bytes = zeroblob(10) WHERE hash = (SELECT MIN(hash) FROM contents)",
        "document": "DELETE FROM documents WHERE name = 'job.toml' AND revision = (SELECT MIN(revision) FROM documents)",
    }
    for what, statement in changes.items():
        damaged = ctx.folder / f"{what}.sqlite"
        shutil.copy(backup, damaged)
        with sqlite3.connect(damaged) as database:
            database.execute(statement)
        done = target.instead("--restore", damaged)
        assert done.returncode == 2 and "damaged" in done.stderr, f"{what}: {done.stderr}"
        assert not (target.data / "shop.sqlite").exists(), f"{what}: a refused restore left a store"
    short = ctx.folder / "short.sqlite"
    short.write_bytes(backup.read_bytes()[: backup.stat().st_size // 2])
    assert target.instead("--restore", short).returncode == 2
    assert target.instead("--restore", ctx.folder / "none.sqlite").returncode == 2
    assert not (target.data / "shop.sqlite").exists(), "a refused restore left a store"
    return "12 cases"
