"""PostgreSQL stops, stalls and comes back: said within 3 s, with host and database and never the password; no restart."""

import os
import signal
import subprocess
import time

from harness import Postgres, wait

SECRET = "not-a-real-password"


def told(answer, seconds, port):
    assert answer.status == 503, f"{answer.status} {answer.body[:300]}"
    message = answer.error()["message"]
    assert f"127.0.0.1:{port}" in message and "shop1" in message and SECRET not in message, message
    assert "fault" not in message and seconds < 3.5, f"{seconds:.1f} s: {message}"


def timed(call):
    begun = time.perf_counter()
    answer = call()
    return answer, time.perf_counter() - begun


def attack(ctx):
    slowest = 0.0
    with Postgres(ctx.folder) as postgres:
        url = postgres.database()
        with ctx.server(database=url) as server:
            job = server.edit(server.job(), 1).json()
            postgres.stop()
            for call in (
                lambda: server.edit(job, 2),
                lambda: server.call("GET", "/api/jobs"),
                lambda: server.call("GET", "/api/health"),
            ):
                answer, seconds = timed(call)
                told(answer, seconds, postgres.port)
                slowest = max(slowest, seconds)
            postgres.start()
            wait("health", lambda: server.call("GET", "/api/health").status == 200, 10)
            answer = server.edit(job, 2)
            assert answer.status == 200, f"after the database is back: {answer.status} {answer.body[:300]}"
            # It stalls: connections stand and nothing is answered. The process that starts the others is stopped first.
            stalled = [postgres.process.pid]
            os.kill(postgres.process.pid, signal.SIGSTOP)
            for pid in children(postgres.process.pid):
                os.kill(pid, signal.SIGSTOP)
                stalled.append(pid)
            try:
                # Health goes by a write of the last second, and one may have ended just before.
                time.sleep(1.1)
                answer, seconds = timed(lambda: server.call("GET", "/api/health"))
                told(answer, seconds, postgres.port)
                slowest = max(slowest, seconds)
            finally:
                for pid in stalled:
                    os.kill(pid, signal.SIGCONT)
            wait("health", lambda: server.call("GET", "/api/health").status == 200, 20)
            job = server.done("GET", f"/api/jobs/{job['id']}")
            assert server.edit(job, 3).status == 200
            assert SECRET not in server.log(), "the password is in the log"
            # A start without a database, and one with a parameter that nobody knows.
            postgres.stop()
            command = [server.program, "serve", "--port", "0", "--database"]
            started, seconds = timed(lambda: subprocess.run([*command, url], capture_output=True, text=True, timeout=20))
            assert started.returncode == 2 and "cannot be reached" in started.stderr, started
            assert SECRET not in started.stderr and seconds < 4, started.stderr
            started = subprocess.run([*command, f"{url}?pasword=hunter"], capture_output=True, text=True, timeout=20)
            assert started.returncode == 2 and "pasword" in started.stderr and "hunter" not in started.stderr, started
            return f"named within {slowest:.1f} s; {server.figures()}"


def children(pid):
    found = subprocess.run(["pgrep", "-P", str(pid)], capture_output=True, text=True).stdout
    return [int(p) for p in found.split()]
