"""NUL in ids, names that show nothing, blank passwords, a locked file, cookies behind TLS, clearing of old revisions."""

import sqlite3
import threading
import time

NOTHING = ["\u200b", "\u202e\u202e", "\ufeff", "\u2060 \u200b", "\u3164"]


def nul(server, name):
    for method, path, body in [
        ("GET", "/api/jobs/%00", None),
        ("GET", "/api/jobs/a%00b/revisions", None),
        ("POST", "/api/jobs/%00/undo", {"version": 1}),
        ("DELETE", "/api/shelf/%00", None),
        ("DELETE", "/api/bookings/x%00", None),
        ("GET", "/api/jobs/x/compare?a=%00&b=%00", None),
        ("POST", "/api/jobs", {"toml": "format = 1\0"}),
        ("PATCH", "/api/shop", {"name": "a\0b"}),
        ("PUT", "/api/stock", {"version": 0, "text": "\0"}),
    ]:
        status = server.call(method, path, body).status
        assert status < 500, f"{name}: {method} {path}: {status}"


def names(server):
    job = server.job()
    for blank in NOTHING:
        for method, path, body in [
            ("PATCH", f"/api/jobs/{job['id']}", {"version": job["version"], "name": blank}),
            ("POST", "/api/jobs", {"toml": "format = 1", "name": blank}),
            ("PATCH", f"/api/jobs/{job['id']}/revisions/{job['revision']['id']}", {"name": blank}),
            ("PATCH", "/api/shop", {"name": blank}),
        ]:
            answer = server.call(method, path, body)
            assert answer.status == 422, f"{method} {path} {blank!r}: {answer.status} {answer.body[:200]}"


def locked(server):
    """Another program holds the file: health says so soon, and work goes on when it is gone."""
    other = sqlite3.connect(server.data / "shop.sqlite", isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    time.sleep(1.2)
    begun = time.perf_counter()
    answer = server.call("GET", "/api/health")
    seconds = time.perf_counter() - begun
    assert answer.status == 503 and seconds < 4, f"{answer.status} after {seconds:.1f} s"
    assert server.call("GET", "/api/jobs").status == 200
    threading.Timer(0.5, lambda: other.execute("ROLLBACK")).start()
    assert server.edit(server.job(), 1).status == 200
    server.done("GET", "/api/health")


def compacted(server):
    job = server.job()
    first = server.done("GET", f"/api/jobs/{job['id']}/revisions")["revisions"][0]["id"]
    server.done("PATCH", f"/api/jobs/{job['id']}/revisions/{first}", {"name": "as measured"})
    for x in range(1, 12):
        job = server.edit(job, x).json()
    for wrong in ("", "all", "last=0"):
        assert server.instead("--compact", wrong).returncode == 2, wrong
    done = server.instead("--compact", "last=3")
    assert done.returncode == 0 and "Cleared" in done.stdout, done.stderr
    left = server.done("GET", f"/api/jobs/{job['id']}/revisions")["revisions"]
    assert [r["number"] for r in left] == [12, 11, 10, 1], left
    assert server.done("POST", f"/api/jobs/{job['id']}/undo", {"version": job["version"]})["version"] > job["version"]
    assert server.instead("--check").returncode == 0


def behind_tls(ctx):
    server = ctx.server("tls", args=["--behind-tls", "shop.lan"])
    started = server.instead("--port", "0", "--behind-tls", "shop.lan")
    assert started.returncode == 2 and "password" in started.stderr, "behind a proxy without a password"
    for weak in (" " * 8, "a b c d e f g ", "\u200b" * 9):
        assert server.instead("--set-password", text=f"{weak}\n").returncode == 2, repr(weak)
    assert server.instead("--set-password", text="a proper password\n").returncode == 0
    with server:
        head = {"Host": "shop.lan", "Origin": "https://shop.lan"}
        answer = server.call("POST", "/api/session", {"password": "a proper password"}, headers=head)
        assert answer.status == 200 and "; Secure" in answer.headers["set-cookie"], answer.headers
        assert server.call("GET", "/api/jobs", headers={"Host": "other.lan"}).status == 403


def attack(ctx):
    for name, where in ctx.both():
        with ctx.server(name, **where) as server:
            nul(server, name)
            names(server)
            compacted(server)
            if name == "sqlite":
                locked(server)
            figures = server.figures()
    behind_tls(ctx)
    return figures
